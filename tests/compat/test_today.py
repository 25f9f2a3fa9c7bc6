"""What can be made today: saved stacks against the shelf, and what one more piece would do."""

from __future__ import annotations

import pytest
from django.test import Client as Browser

from compat.engineering.plans.problem import StockRow
from compat.engineering.shims import Size
from compat.plans import today
from compat.plans.today import AS_WRITTEN, SHORT, UNREADABLE, WITH_STAND_INS, Made
from compat.shelf.shim_rows import Place, ShimRows
from compat.shelf.shim_wants import Family
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.dampers.services import edit_damper
from tests import people
from tests.api.conftest import (
    COMPRESSION,
    REBOUND,
    STACKS,
    Json,
    damper_document,
    lay_in,
    line,
    saved_damper,
    statements,
    stored,
)
from tests.compat.saved import saved_stack
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db
SHORT_LINE = COMPRESSION[3]
OTHERS = list({(o["od_mm"], o["thickness_mm"]): o for o in [*COMPRESSION, *REBOUND] if o != SHORT_LINE}.values())


def made(damper: str | None = None) -> dict[str, Made]:
    return {one.name: one for one in today.today(damper)}


def test_a_stack_whose_pieces_all_lie_there_is_made_as_written(shelf: str) -> None:
    saved_stack(shelf, "Trail", STACKS)
    found = made()["Trail"]
    assert (found.damper, found.valve, found.state, found.short) == (shelf, "main", AS_WRITTEN, ())


def test_a_short_stack_says_what_is_short_and_one_more_piece_would_complete_it(damper: str) -> None:
    lay_in(*OTHERS)
    saved_stack(damper, "Trail", STACKS)
    found = made()["Trail"]
    assert found.state == SHORT
    ((size, number),) = found.missing
    assert (size.od_um, size.thickness_um, number) == (28_000, 200, 1)
    (more,) = today.one_more(list(made().values()))
    assert (more["od_mm"], more["thickness_mm"], more["makes"], more["stacks"]) == (28, 0.2, 1, ["HA-46: Trail"])


def test_stand_ins_of_the_same_diameter_make_it_and_one_more_piece_would_make_it_as_written(damper: str) -> None:
    lay_in(*OTHERS, line(28, 0.16))
    saved_stack(damper, "Trail", STACKS)
    found = made()["Trail"]
    assert (found.state, found.stand_ins, found.missing) == (WITH_STAND_INS, 1, ())
    assert [one["makes"] for one in today.one_more(list(made().values()))] == [1]


def test_the_size_that_completes_most_stacks_comes_first(damper: str) -> None:
    lay_in(*OTHERS)
    for name in ("A", "B"):
        saved_stack(damper, name, STACKS)
    other = {"compression": [*COMPRESSION[:3], line(29, 0.2), COMPRESSION[4]], "rebound": REBOUND}
    saved_stack(damper, "C", other)
    found = today.one_more(list(made().values()))
    assert [(one["od_mm"], one["makes"]) for one in found] == [(28, 2), (29, 1)]


def test_two_pieces_short_are_not_completed_by_one(damper: str) -> None:
    lay_in(*OTHERS)
    saved_stack(damper, "Two", {**STACKS, "compression": [*COMPRESSION[:3], line(28, 0.2, 2), COMPRESSION[4]]})
    assert made()["Two"].short[0][1] == 2
    assert today.one_more(list(made().values())) == []


def test_stacks_do_not_take_from_each_other_here(shelf: str) -> None:
    """The question is asked for each stack by itself; a hold is what sets pieces aside."""
    for number in range(3):
        saved_stack(shelf, f"S{number}", STACKS)
    assert {one.state for one in made().values()} == {AS_WRITTEN}


def test_a_stack_that_the_damper_no_longer_has_a_valve_for_is_said_to_be_unreadable(shelf: str) -> None:
    base = damper_document()["valves"][0] | {"code": "base"}
    document = damper_document()
    both = {**document, "valves": [*document["valves"], base]}

    def edited(to: Json, revision: int) -> None:
        use_case(
            lambda: edit_damper(code=shelf, name="n", document=stored(to), revision=revision, actor=people.tuner())
        )

    edited(both, 1)
    saved_stack(shelf, "Base", STACKS, valve="base")
    edited(document, 2)
    assert made()["Base"].state == UNREADABLE


def test_one_damper_or_all(shelf: str) -> None:
    other = saved_damper(damper_document("OTHER"))
    saved_stack(shelf, "Here", STACKS)
    saved_stack(other, "There", STACKS)
    assert set(made()) == {"Here", "There"}
    assert set(made(other)) == {"There"}
    with pytest.raises(DomainError):
        made("NONE")


def test_the_number_of_statements_does_not_grow_with_the_stacks(shelf: str) -> None:
    counts = []
    for number in range(3):
        saved_stack(shelf, f"S{number}", STACKS)
        with statements() as sent:
            today.today()
        counts.append(len(sent))
    assert len(set(counts)) == 1 and counts[0] <= 7


def test_the_page_leads_from_each_stack_to_the_bench(client: Browser, damper: str) -> None:
    browser = signed_in(client, people.clerk())
    assert "No stack is saved yet" in browser.get("/buildable").content.decode()
    lay_in(*OTHERS)
    saved_stack(damper, "Trail & stones", STACKS)
    text = browser.get("/buildable?damper=HA-46").content.decode()
    assert "/bench?damper=HA-46&amp;stack=Trail+%26+stones" in text
    assert "1 of 28 x 0.20" in text
    assert "One more piece would help most" in text
    assert browser.get("/buildable?damper=NONE").status_code == 404


def _many(size: Size, lots: int) -> ShimRows:
    """So many lots of one size, of five mean thicknesses, each of one piece, the oldest first."""
    rows = [StockRow(f"{number}", size, 1, 148 + number % 5, "A", number) for number in range(lots)]
    place = {
        row.key: Place(row.key, "P", "A", "new", size, row.mean_um, 2 + (row.key == "7"), measured=True) for row in rows
    }
    return ShimRows(rows, place)


@pytest.mark.parametrize("lots", [50, 5_000])
def test_a_stack_looks_at_no_more_rows_however_many_lots_a_size_lies_in(lots: int) -> None:
    size, most = Size(30_000, 150, 12_000), 12
    found = today._ByOutline(_many(size, lots), most).of([Family(12_000, "round", (30_000,))])
    assert len(found.rows) == most + 5 == len(found.places)
    assert [row.newer_days for row in found.rows[:most]] == list(range(most)), "the oldest ones, lot by lot"
    assert sum(row.available for row in found.rows) == lots
    assert found.widest_spreads() == {size: 3}


def test_what_can_be_made_is_the_same_where_every_lot_is_looked_at(
    damper: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    lay_in(*OTHERS, line(28, 0.16), *[line(30, 0.15, 1) for _ in range(30)], *[line(24, 0.2, 1) for _ in range(30)])
    saved_stack(damper, "Trail", STACKS)
    saved_stack(damper, "Many", {**STACKS, "rebound": [*REBOUND[:2], line(30, 0.15, 20), *REBOUND[3:]]})
    fewer = made()
    monkeypatch.setattr(today, "_fewer", lambda rows, places, most: [(row, places[row.key]) for row in rows])
    assert made() == fewer
