"""O-rings, bands, seal heads, bushes and fluids on the pages: in words, found by what is typed, made, and with their
unit."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.models import Part
from inventory.common.transactions import use_case
from inventory.counter.browsing.part_words import size_line
from inventory.holds.requests import Wanted
from inventory.receiving.models import Delivery
from inventory.receiving.selectors import last_deliveries
from inventory.receiving.services import add_delivery_line, start_delivery
from inventory.stock.services import NewLot, drawer_called
from tests import factories, people
from tests.visiting import signed_in, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def clerk(client: Browser) -> Browser:
    return signed_in(client, people.clerk())


def words(part: Part) -> str:
    return size_line(KINDS[part.kind].table._default_manager.get(part=part))


def test_a_part_is_called_by_what_is_known_of_it() -> None:
    assert words(factories.oring(size="222", compound="NBR", hardness="70")) == "222, 37.69 x 3.53 mm, NBR 70"
    assert words(factories.oring(40, 3)) == "40 x 3 mm"
    assert words(factories.band(material="PTFE_bronze")) == "bore 46 mm, 9.8 x 1.5 mm, PTFE bronze"
    assert words(factories.band()) == "bore 46 mm, 9.8 x 1.5 mm"
    assert words(factories.seal_head()) == "shaft 12 mm, body 46 mm, 25 mm high"
    assert words(factories.bush(inner_class="F7", outer_class="p6")) == "12 x 14 x 10 mm, F7, p6"
    assert words(factories.bush()) == "12 x 14 x 10 mm"
    assert words(factories.fluid(base="mineral_oil", grade="ISO VG 15")) == "damper oil, mineral oil, ISO VG 15"
    assert words(factories.fluid("locking_compound", unit="g", base="other")) == "locking compound"


@pytest.mark.parametrize(
    ("kind", "title", "unit"),
    [
        ("oring", "O-ring", ""),
        ("band", "Band (piston ring)", ""),
        ("seal_head", "Seal head", ""),
        ("bush", "Bush", ""),
        ("fluid", "Fluid or consumable", " ml"),
    ],
)
def test_each_kind_is_a_list_on_the_shelf_and_each_part_has_its_page(
    clerk: Browser, kind: str, title: str, unit: str
) -> None:
    part = factories.oring(compound="NBR") if kind == "oring" else getattr(factories, kind)()
    factories.stocked(part, 12, lot="L-1", drawer="S-01", cure_date="2026-Q1")
    shown = text_of(clerk.get(f"/shelf?kind={kind}"))
    assert title in shown
    assert re.search(rf"{part.number} {kind} {part.number} 12{unit} 12{unit} ", shown)
    page = text_of(clerk.get(f"/parts/{part.number}"))
    assert words(part) in page and "12 on hand" in page
    assert f"S-01 12{unit} 12{unit} L-1" in page


def test_what_is_in_millilitres_says_so_wherever_it_is_shown(clerk: Browser) -> None:
    part = factories.fluid(number="F-1")
    factories.stocked(part, 950, lot="L-1", drawer="T-01")
    hold = factories.held(Wanted(part="F-1", quantity=200), actor=people.storefront()).hold.pk
    assert "750 ml 950 ml 200 ml L-1" in text_of(clerk.get("/drawers/T-01"))
    assert "750 ml 950 ml 200 ml" in text_of(clerk.get("/lots/L-1"))
    assert "200 ml for a web order" in text_of(clerk.get("/parts/F-1"))
    assert "T-01 200 ml" in text_of(clerk.get(f"/holds/{hold}"))
    assert "F-1 750 ml T-01 0 ml" in text_of(clerk.get("/find", {"q": "fluid"}))
    count = clerk.get("/drawers/T-01?count").content.decode()
    assert '<span class="soft">ml' in count


@pytest.mark.parametrize(
    ("typed", "maker", "sizes"),
    [
        ("37.69x3.53", "oring", (37.69, 3.53)),
        ("46x9,8x1,5", "band", (46, 9.8, 1.5)),
        ("12x46x25", "seal_head", (12, 46, 25)),
        ("12x14x10", "bush", (12, 14, 10)),
    ],
)
def test_a_part_is_found_by_its_lengths(clerk: Browser, typed: str, maker: str, sizes: tuple[float, ...]) -> None:
    part = getattr(factories, maker)(*sizes, number="X-1")
    shown = text_of(clerk.get("/find", {"q": typed}))
    assert "Of this size" in shown and words(part) in shown


@pytest.mark.parametrize("typed", ["222", "-222", "o-ring 222"])
def test_an_oring_is_found_by_its_dash_number(clerk: Browser, typed: str) -> None:
    factories.oring(number="X-o-ring", size="222")
    factories.oring(number="Y-o-ring", size="223")
    shown = text_of(clerk.get("/find", {"q": typed}))
    assert "X-o-ring" in shown and "Y-o-ring" not in shown


# --- making them while a delivery is taken in


@pytest.fixture
def delivery() -> Delivery:
    return use_case(
        lambda: start_delivery(number="D-1", supplier="", note="", received_on=factories.MONDAY, actor=people.clerk())
    )


def made(browser: Browser, delivery: Delivery, kind: str, **typed: str) -> Any:
    address = reverse("delivery", args=[delivery.pk]) + f"?make={kind}"
    return browser.post(address, {"once": "m-1", "number": "X-1", "name": "", **typed})


def units(browser: Browser, delivery: Delivery, kind: str) -> list[str]:
    html = browser.get(reverse("delivery", args=[delivery.pk]) + f"?make={kind}").content.decode()
    return re.findall(r'<option value="([^"]+)"', html.partition('name="unit"')[2].partition("</select>")[0])


def test_a_new_part_offers_the_units_of_its_kind(clerk: Browser, delivery: Delivery) -> None:
    assert units(clerk, delivery, "fluid") == ["ml", "g"]
    assert units(clerk, delivery, "oring") == ["piece"]


def test_an_oring_is_made_from_what_is_typed(clerk: Browser, delivery: Delivery) -> None:
    typed = {"size": "222", "ring_id_mm": "37,69", "section_mm": "3,53", "compound": "NBR", "hardness": "70"}
    assert made(clerk, delivery, "oring", unit="piece", **typed).status_code == 303
    assert Part.objects.get().name == "O-ring 222, 37.69 x 3.53 mm, NBR 70"


def test_a_fluid_is_made_in_its_own_unit_and_in_no_other(clerk: Browser, delivery: Delivery) -> None:
    refused = made(clerk, delivery, "fluid", unit="piece", use="grease")
    assert refused.status_code == 422 and not Part.objects.exists()
    assert made(clerk, delivery, "fluid", unit="g", use="grease").status_code == 303
    assert Part.objects.get().unit == "g"


def test_the_list_of_deliveries_counts_pieces_alone(delivery: Delivery, clerk: Browser) -> None:
    def add(part: Part, quantity: int, lot: str) -> None:
        def work() -> None:
            new = NewLot(part, drawer_called("S-01"), quantity, factories.MONDAY, lot)
            add_delivery_line(delivery=delivery, new=new, actor=people.clerk())

        use_case(work)

    add(factories.fluid(), 1000, "L-1")
    assert [(one.lines, one.pieces) for one in last_deliveries(5)] == [(1, 0)]
    add(factories.oring(), 25, "L-2")
    assert [(one.lines, one.pieces) for one in last_deliveries(5)] == [(2, 25)]
    assert "1000 ml" in text_of(clerk.get(reverse("delivery", args=[delivery.pk])))
