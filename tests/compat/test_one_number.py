"""How far a built side is from the one asked for is one figure, wherever it is said: that of the lots drawn."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from rich.console import Console

from compat.demo import telling
from compat.pages.plan.plan_view import view_of
from compat.pages.side_curves import curves_of_plan
from compat.plans.answered import answered
from compat.plans.checked import PlanIn
from compat.plans.document import asked_plan
from compat.plans.plan import make_plan
from inventory.dampers.selectors import damper_called
from tests import factories, people
from tests.api.conftest import COMPRESSION, REBOUND, STACKS, saved_damper
from tests.compat.test_bench import SWAP, ask, typed
from tests.compat.test_curve_pages import cells
from tests.compat.test_reserve import made
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db
SHORT = COMPRESSION[3]


@pytest.fixture
def shop(client: Browser) -> Browser:
    """A shelf whose lots are 4 um thinner than their names say, with a stand-in for the missing 28 x 0.20."""
    saved_damper()
    sizes = {(one["od_mm"], one["thickness_mm"]) for one in [*COMPRESSION, *REBOUND] if one != SHORT}
    for od, thickness in [*sorted(sizes), (28, 0.16)]:
        um = round(thickness * 1000) - 4
        drawer = f"D-{od:g}-{um}"
        factories.stocked(factories.shim(od, thickness, 12), 10, drawer=drawer, readings_um=[um, um, um])
    return signed_in(client, people.tuner())


def plan() -> dict[str, Any]:
    checked = PlanIn(data={"damper": "HA-46", "stacks": STACKS})
    checked.is_valid(raise_exception=True)
    return make_plan(asked_plan(checked.validated_data)).document


def test_every_place_says_the_figure_of_the_lots_drawn(shop: Browser) -> None:
    document = plan()
    (one,) = document["stand_ins"]
    drawn, nominal = one["drawn_change_percent"], one["curve_change_percent"]
    # 4 um of 0.15 to 0.20 mm are 6 to 8 % of t^3: far from the choice by nominal sizes
    assert drawn < -5 and 0 < nominal < 1
    word = f"{drawn:+.1f}"

    (curve,) = document["curves"]
    assert (curve["drawn_percent"], curve["score_percent"]) == (drawn, nominal)
    assert max((row["difference_percent"] for row in curve["curve"]), key=abs) == pytest.approx(drawn, abs=1e-3)
    for row in curve["curve"]:
        assert row["difference_percent"] == pytest.approx(100 * (row["built_mpa"] / row["asked_mpa"] - 1), abs=0.02)

    (found,) = [one for one in document["answer"]["findings"] if one["code"] == "stand_ins_by_curve"]
    assert (found["data"]["drawn_percent"], found["data"]["worst_percent"]) == (drawn, nominal)
    assert f"changes by {word} %" in found["text"]

    damper = damper_called("HA-46")
    side = next(one for one in curves_of_plan(answered(document), damper.document, {}) if one.side == "compression")
    assert side.percent == pytest.approx(drawn, abs=1e-3)
    assert f"{word} %" in side.facts[0]
    assert [row.lift_mm for row in side.rows] == pytest.approx([row["lift_mm"] for row in curve["curve"]], abs=1e-4)
    assert max((row.difference or 0.0 for row in side.rows), key=abs) == pytest.approx(drawn, abs=1e-3)
    assert side.picture is not None

    console = Console(record=True, width=400)
    telling.stand_ins(console, answered(document))
    assert f"force of this side {word} % with the lots drawn (chosen by nominal sizes: {nominal:.1f} %)" in (
        console.export_text()
    )
    assert view_of(document, damper.document, None)


def test_the_pages_say_the_figure_that_their_plot_shows(shop: Browser) -> None:
    drawn = plan()["stand_ins"][0]["drawn_change_percent"]
    said = f"force of this side {drawn:+.1f} % with the lots drawn"
    assert said in ask(shop, typed(STACKS, whole="yes"))
    kept = made()
    assert said in shop.get(f"/plans/{kept.pk}").content.decode()
    bench = shop.post(reverse("bench-curves"), typed(STACKS), headers=SWAP).content.decode()
    page = shop.get(reverse("plan-curves", kwargs={"plan": kept.pk})).content.decode()
    for text in (bench, page):
        assert f"is off by {drawn:+.1f} % from that as asked" in text
        shown = [float(row[-1]) for row in cells(text, "Compression")]
        assert max(shown, key=abs) == pytest.approx(drawn, abs=0.051)


def test_nothing_says_the_nominal_figure_alone(shop: Browser) -> None:
    for text in (ask(shop, typed(STACKS)), shop.get(f"/plans/{made().pk}").content.decode()):
        assert not re.search(r"within \d+\.\d %", text)
