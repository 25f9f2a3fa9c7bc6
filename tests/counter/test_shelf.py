"""The shelf as a grid of sizes: what is there, what is used up, what never was, and other parts as lists."""

from __future__ import annotations

import re
from functools import partial
from typing import Any

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from inventory.catalogue.services import retire_part
from inventory.common.transactions import use_case
from inventory.counter.browsing import grids
from inventory.counter.browsing.grids import Entry, laid_out
from inventory.holds.requests import Wanted
from inventory.stock.models import Condition
from tests import factories, people
from tests.conftest import HeldClock
from tests.visiting import signed_in, text_of


@pytest.fixture
def desk(client: Browser, db: None) -> Browser:
    return signed_in(client, people.tuner())


def cell(html: str, size: str) -> str:
    """The cell of a size: its class and what stands in it."""
    found = [
        one for one in re.findall(r"<td[^>]*>.*?</td>", html, re.DOTALL) if f"{size}:" in one or f" {size}<" in one
    ]
    assert len(found) == 1, size
    return str(found[0])


def entry(od_mm: float, thickness_mm: float, available: int = 5, number: str = "P") -> Entry:
    return Entry(round(od_mm * 1000), round(thickness_mm * 1000), number, available, 0)


# --- laying out, without a database


def states(*entries: Entry) -> list[list[str]]:
    return [[one.state for one in row.cells] for row in laid_out(entries).rows]


def test_a_size_between_two_others_that_no_part_has_is_a_gap_and_one_outside_is_not() -> None:
    found = states(entry(30, 0.10), entry(30, 0.30), entry(32, 0.20), entry(32, 0.30))
    assert found == [["some", "gap", "some"], ["", "some", "some"]]


def test_a_gap_is_seen_down_the_diameters_too() -> None:
    assert states(entry(30, 0.1), entry(32, 0.2), entry(34, 0.1)) == [["some", ""], ["gap", "some"], ["some", ""]]


def test_a_size_of_the_catalogue_with_nothing_available_is_none_and_not_a_gap() -> None:
    assert states(entry(30, 0.1), entry(30, 0.15, 0), entry(30, 0.2)) == [["some", "none", "some"]]


def test_two_parts_of_one_size_share_a_cell() -> None:
    grid = laid_out([entry(30, 0.1, 4, "A"), entry(30, 0.1, 0, "B")])
    assert (grid.rows[0].cells[0].available, grid.rows[0].cells[0].numbers, grid.sizes) == (4, ["A", "B"], 1)


def test_rows_and_columns_are_summed() -> None:
    grid = laid_out([entry(30, 0.1, 1), entry(30, 0.2, 2), entry(32, 0.1, 4)])
    assert ([row.total for row in grid.rows], grid.totals, grid.total) == ([3, 4], [5, 2], 7)


def test_nothing_makes_an_empty_grid() -> None:
    grid = laid_out([])
    assert (grid.rows, grid.totals, grid.total, grid.short) == ([], [], 0, 0)


# --- the page


def test_an_empty_shelf_says_what_to_do(desk: Browser) -> None:
    for actor, may in ((people.clerk(), True), (people.tuner(), False)):
        desk.force_login(actor.person)  # type: ignore[arg-type]  # an actor of a test is a person
        page = desk.get("/shelf")
        shown = page.content.decode().partition("<main")[2]
        assert "Nothing is on the shelf yet" in shown
        assert ('href="/take-in"' in shown, 'href="/take-in/opening"' in shown) == (may, may)
        assert ("Clerk and lead take deliveries in" in shown) is not may


def test_a_cell_shows_what_is_available_and_what_is_held_and_leads_to_the_part(desk: Browser) -> None:
    part = factories.shim(34, 0.15)
    factories.stocked(part, 40)
    factories.held(Wanted(quantity=3, part=part.number))
    shown = cell(desk.get("/shelf?bore=12").content.decode(), "34x0.15")
    assert f'href="/parts/{part.number}"' in shown
    assert "<b>37</b>" in shown
    assert "3 held" in shown


def test_a_lapsed_hold_counts_as_available_although_nobody_swept_it(desk: Browser, clock: HeldClock) -> None:
    part = factories.shim(34, 0.15)
    factories.stocked(part, 10)
    factories.held(Wanted(quantity=4, part=part.number), minutes=5)
    clock.advance(minutes=6)
    desk.force_login(people.tuner().person)  # type: ignore[arg-type]  # the tuner is a person
    shown = cell(desk.get("/shelf").content.decode(), "34x0.15")
    assert "<b>10</b>" in shown
    assert "held" not in shown


def test_a_size_that_is_used_up_and_one_that_no_part_has_look_different(desk: Browser) -> None:
    for thickness, pieces in ((0.10, 5), (0.20, 5), (0.30, 5)):
        factories.stocked(factories.shim(34, thickness), pieces)
    factories.shim(34, 0.15)
    factories.stocked(factories.shim(36, 0.10), 1)
    factories.stocked(factories.shim(36, 0.30), 1)
    html = desk.get("/shelf").content.decode()
    assert '<td class="none">' in cell(html, "34x0.15")
    assert "<b>0</b>" in cell(html, "34x0.15")
    gap = cell(html, "36x0.20")
    assert '<td class="gap">' in gap
    assert "no part of 36x0.20" in gap


def test_new_pieces_and_take_offs_are_shown_apart_or_together(desk: Browser) -> None:
    part = factories.shim(34, 0.15)
    factories.stocked(part, 40)
    factories.stocked(part, 7, condition=Condition.TAKE_OFF)
    for condition, pieces in (("new", 40), ("take_off", 7), ("both", 47), ("other", 40)):
        html = desk.get("/shelf", {"bore": "12", "condition": condition}).content.decode()
        assert f"<b>{pieces}</b>" in cell(html, "34x0.15"), condition


def test_the_bore_with_the_most_parts_comes_first_and_every_bore_has_a_link(desk: Browser) -> None:
    factories.stocked(factories.shim(20, 0.15, 8), 1)
    for thickness in (0.1, 0.2):
        factories.stocked(factories.shim(34, thickness, 12), 1)
    html = desk.get("/shelf").content.decode()
    assert "Shims of bore 12 mm" in html
    assert re.search(r'href="\?bore=8&amp;form=round&amp;condition=new"', html)


def test_a_bore_may_be_typed_with_a_comma(desk: Browser) -> None:
    factories.stocked(factories.shim(20, 0.15, 8.5), 1)
    assert "Shims of bore 8.5 mm" in text_of(desk.get("/shelf?bore=8,5"))


def test_a_bore_that_no_shim_has_is_named_and_the_others_are_offered(desk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15, 12), 1)
    said = text_of(desk.get("/shelf?bore=13"))
    assert "No shim of the catalogue has the bore 13 mm" in said
    assert "12 mm" in said


def test_forms_are_shown_apart(desk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 5)
    factories.stocked(factories.shim(34, 0.15, form="notched"), 6)
    assert "<b>5</b>" in cell(desk.get("/shelf").content.decode(), "34x0.15")
    assert "<b>6</b>" in cell(desk.get("/shelf?form=notched").content.decode(), "34x0.15")


def test_a_retired_part_is_left_out_once_nothing_of_it_lies_there(desk: Browser) -> None:
    gone, there = factories.shim(30, 0.1), factories.shim(34, 0.15)
    factories.stocked(there, 5)
    for part in (gone, there):
        use_case(partial(retire_part, part=part))
    html = desk.get("/shelf").content.decode()
    assert "30x0.10" not in html
    assert "<b>0</b>" in cell(html, "34x0.15")


@pytest.mark.django_db
def test_the_grid_asks_the_same_three_queries_for_any_number_of_sizes(
    django_assert_num_queries: Any,
) -> None:
    for od in range(20, 40, 2):
        for thickness in (0.1, 0.15):
            factories.stocked(factories.shim(od, thickness), 3)
    with django_assert_num_queries(3):
        grid = grids.read(bore_um=12_000, form="round", conditions=["new"])
    assert grid.total == 60


def test_the_page_asks_no_more_queries_when_the_shelf_grows(desk: Browser) -> None:
    def asked(address: str) -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert desk.get(address).status_code == 200
        return len(queries)

    factories.stocked(factories.shim(34, 0.15), 3)
    factories.stocked(factories.nut(), 3)
    before = asked("/shelf"), asked("/shelf?kind=nut")
    for od in range(20, 40, 2):
        factories.stocked(factories.shim(od, 0.2), 3)
        factories.stocked(factories.nut("M10x1"), 3)
    assert (asked("/shelf"), asked("/shelf?kind=nut")) == before


@pytest.mark.parametrize(
    ("kind", "title", "said"),
    [
        ("nut", "Nut", "M12x1.25, 10 mm high"),
        ("washer", "Washer or base plate", "washer 24 x 12 x 2.5 mm"),
        ("piston", "Piston", "46 x 12 x 12 mm"),
    ],
)
def test_other_kinds_are_lists_with_their_sizes(desk: Browser, kind: str, title: str, said: str) -> None:
    makers: dict[str, Any] = {"nut": factories.nut, "washer": factories.washer, "piston": factories.piston}
    part = makers[kind]()
    factories.stocked(part, 12)
    page = desk.get(f"/shelf?kind={kind}")
    shown = text_of(page)
    assert title in shown
    assert said in shown
    assert f'href="/parts/{part.number}"' in page.content.decode()
    assert re.search(rf"{part.number} {kind} {part.number} 12 12 ", shown)


def test_threads_are_listed_by_their_numbers(desk: Browser) -> None:
    for thread in ("M12x1.5", "M8x1", "M10x1.25"):
        factories.nut(thread)
    assert re.findall(r"(M\d+x[\d.]+), 10 mm", text_of(desk.get("/shelf?kind=nut"))) == [
        "M8x1",
        "M10x1.25",
        "M12x1.5",
    ]


def test_an_unknown_kind_shows_the_grid(desk: Browser) -> None:
    factories.stocked(factories.shim(), 1)
    assert "Shims of bore 12 mm" in text_of(desk.get("/shelf?kind=bolt"))


def test_without_a_shim_there_is_no_bore_in_the_heading(desk: Browser) -> None:
    factories.stocked(factories.washer(24, 12, 2.5), 3)
    assert "Shims of bore 0" not in text_of(desk.get("/shelf"))
