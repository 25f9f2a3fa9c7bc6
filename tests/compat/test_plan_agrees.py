"""Plans on a database against the single questions: the same figures get the same answer."""

from __future__ import annotations

import random
from datetime import date, timedelta
from typing import Any

import pytest

from compat.plans.checked import PlanIn
from compat.plans.document import asked_plan
from compat.plans.plan import make_plan
from compat.questions import asks
from tests import factories
from tests.api.conftest import STACKS, Json, damper_document, lay_in, saved_damper

pytestmark = pytest.mark.django_db
DAMPERS = 60


def about(dice: random.Random, nominal: float, spread: float = 0.2) -> Any:
    """A length near this one, exact or a range; now and then unknown."""
    middle = round(nominal + dice.uniform(-spread, spread), 3)
    half = dice.choice((0.0, 0.0, 0.01, 0.05))
    if dice.random() < 0.05:
        return None
    return {"min": round(middle - half, 3), "max": round(middle + half, 3), "nominal": middle} if half else middle


def some_damper(dice: random.Random, code: str) -> str:
    """A model of damper_document() with an end of its own."""
    relief = dice.choice((True, True, True, True, False, None))
    document = damper_document(
        code,
        shoulder_to_lip_mm=about(dice, dice.choice((22.0, 22.4, 23.0)), 0.05),
        full_thread_start_mm=about(dice, dice.choice((24.0, 24.0, 24.0, 26.0, 28.0))),
        shaft_end_mm=about(dice, dice.choice((42.0, 42.0, 42.0, 38.0, 30.0))),
        hole_mm=about(dice, dice.choice((5.0, 5.0, 5.0, 8.0, 10.3))),
        thread=dice.choice(("M12x1.25", "M12x1.25", "M12x1.25", "M12x1.5", "M10x1")),
        hand=dice.choice(("right", "right", "right", "left")),
        tolerance_class=dice.choice(("6g", "6g", "6g", None)),
        property_class=dice.choice(("8.8", "8.8", "8.8", "10.9", None)),
        thread_relief=relief,
        relief_diameter_mm=None if relief is False else about(dice, 10.0),
    )
    main = document["valves"][0]
    main["base_plates"]["rebound"]["height_mm"] = about(dice, 4.0, 0.1)
    main["piston_height_mm"] = about(dice, 12.0, 0.1)
    return saved_damper(document)


def stock_nuts(dice: random.Random) -> None:
    """Nuts of two threads in several heights, some with a chamfer that nobody has read."""
    for number, thread in enumerate(("M12x1.25", "M12x1.25", "M12x1.5", "M12x1.5", "M12x1.25")):
        nut = factories.nut(
            thread,
            number=f"N-{number}",
            height_mm=dice.choice((10.8, 10.0, 6.0)),
            chamfer_mm=dice.choice((0.6, 0.7, None)),
            hand="left" if number == 4 else "right",
            locking=dice.choice(("compound", "none", "compound", "prevailing")),
        )
        factories.stocked(nut, 3, received_on=date(2029, 1, 1) + timedelta(days=dice.randrange(300)))


def planned(code: str, **more: Any) -> Json:
    checked = PlanIn(data={"damper": code, "stacks": STACKS, **more})
    checked.is_valid(raise_exception=True)
    return make_plan(asked_plan(checked.validated_data)).document


def test_a_plan_and_the_single_questions_never_disagree(db: None) -> None:
    dice = random.Random(12)
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in [*STACKS["compression"], *STACKS["rebound"]]}.values())
    stock_nuts(dice)
    seen = set()
    for number in range(DAMPERS):
        code = some_damper(dice, f"D-{number}")
        more = {} if dice.random() < 0.5 else {"nut_readings": {"chamfer_mm": dice.choice((0.5, 0.9))}}
        plan = planned(code, **more)
        nut = plan["nut"]
        if nut["question"]:
            _nut_agrees(plan, nut)
        _stack_agrees(code, plan)
        seen.add((plan["verdict"], nut["verdict"]))
    # A test that only ever saw one verdict would say nothing.
    assert {verdict for _, verdict in seen} == {"fits", "cannot_tell", "does_not_fit"}
    assert {verdict for verdict, _ in seen} == {"fits", "cannot_tell", "does_not_fit"}


def _nut_agrees(plan: Json, nut: Json) -> None:
    """nut-on-shaft by itself says the same, and the plan is never better than it."""
    alone = asks.ask("nut-on-shaft", nut["question"])
    assert alone["verdict"] == nut["verdict"]
    del alone["values"]["near_misses"]
    assert alone["values"] == nut["values"]
    own = {one["code"] for one in alone["findings"] if one["severity"] != "note"}
    assert own <= {one["code"] for one in plan["answer"]["findings"]}
    order = ("fits", "cannot_tell", "does_not_fit")
    assert order.index(plan["verdict"]) >= order.index(nut["verdict"])
    if plan["verdict"] == "fits":
        assert nut["verdict"] == "fits"


def _stack_agrees(code: str, plan: Json) -> None:
    """The stack question with the lots drawn has the plan's height, and the spacer question its window."""
    lots: Json = {side: [] for side in STACKS}
    for line in plan["lines"]:
        size = {name: line[name] for name in ("od_mm", "thickness_mm", "bore_mm")}
        lots[line["side"]] += [{**size, "quantity": lot["quantity"], "lot": lot["lot"]} for lot in line["lots"]]
    alone = asks.ask("stack", {"damper": code, "stacks": lots})
    main = plan["answer"]["values"]["main"]
    for name in ("height_mm", "fixed_mm", "add_mm"):
        assert alone["values"][name] == main[name], name
    assert {one["code"] for one in alone["findings"]} <= {one["code"] for one in plan["answer"]["findings"]}
    if not (plan["spacer"] or {}).get("lines"):
        assert alone["values"]["nut_underside_mm"] == main["nut_underside_mm"]
