"""Corrections of parts, lots and drawers, and counts of whole drawers: what is kept and what is refused."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest

from inventory.amendments.models import Amendment, Subject
from inventory.catalogue.kinds.nuts import Nut
from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.common import clock, locks
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds import amounts
from inventory.holds.amounts import Amounts
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.receiving.models import Count
from inventory.receiving.services import Counted, count_balance, count_drawer
from inventory.stock import amending, browsing, replay
from inventory.stock.amending import LotEdit, PartEdit
from inventory.stock.models import Balance, Condition, Drawer, Lot, Movement, Reading
from inventory.stock.selectors import sizes_of
from tests import factories, people
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db

SIZES = {"od_mm": "34", "thickness_mm": "0,15", "bore_mm": "12", "form": "round"}


@pytest.fixture(autouse=True)
def true_shelf() -> Iterator[None]:
    yield
    assert replay.faults() == []
    assert held_faults() == []


def read_of(part: Part) -> str:
    part.refresh_from_db()
    return amending.seen(amending.part_reads(part, sizes_of([part])[part.pk]))


def of_new(part: Part) -> Amounts:
    return amounts.of_parts([part])[part.pk, Condition.NEW]


def edit(part: Part, *, read: str = "", reason: str = "typing slip", **changed: Any) -> list[Amendment]:
    said = PartEdit(**{"name": part.name, "retired": part.retired_at is not None, **changed})
    read = read or read_of(part)
    return use_case(
        lambda: amending.edit_part(number=part.number, edit=said, read=read, reason=reason, actor=people.clerk())
    )


def refused(code: str, work: Any, *args: Any, **words: Any) -> DomainError:
    """The error of what must be refused; nothing may be kept of it."""
    before = list(Part.objects.values()), list(Shim.objects.values()), list(Lot.objects.values())
    kept = Amendment.objects.count(), Count.objects.count(), Movement.objects.count(), Reading.objects.count()
    with pytest.raises(DomainError) as raised:
        work(*args, **words)
    assert raised.value.code == code
    assert before == (list(Part.objects.values()), list(Shim.objects.values()), list(Lot.objects.values()))
    assert kept == (
        Amendment.objects.count(),
        Count.objects.count(),
        Movement.objects.count(),
        Reading.objects.count(),
    )
    return raised.value


# --- parts


def test_a_name_is_corrected_and_both_names_are_kept() -> None:
    part = factories.shim(number="S-1")
    [kept] = edit(part, name="  Shim 34 thin ")
    part.refresh_from_db()
    assert part.name == "Shim 34 thin"
    assert (kept.subject, kept.subject_id, kept.field) == (Subject.PART, part.pk, "name")
    assert (kept.before, kept.after, kept.reason) == ("shim S-1", "Shim 34 thin", "typing slip")
    assert kept.person == people.clerk().person


def test_sizes_are_corrected_while_no_lot_exists() -> None:
    part = factories.shim(30, 0.15)
    kept = edit(part, sizes={**SIZES, "form": "notched"})
    row = Shim.objects.get(part=part)
    assert (row.od_um, row.thickness_um, row.bore_um, row.form) == (34_000, 150, 12_000, "notched")
    assert {(one.field, one.before, one.after) for one in kept} == {
        ("od_mm", "30.00", "34.00"),
        ("form", "round", "notched"),
    }


def test_sizes_are_frozen_once_a_lot_exists() -> None:
    part = factories.shim(30, 0.15, number="S-1")
    factories.stocked(part, 1)
    error = refused("sizes_frozen", edit, part, sizes=SIZES)
    assert (error.status, error.data) == (409, {"which": "S-1"})
    assert "make another part" in error.text


def test_sizes_stay_frozen_when_nothing_of_the_lot_is_left() -> None:
    part = factories.shim(30, 0.15)
    balance = factories.stocked(part, 1, lot="L-1")
    use_case(lambda: count_drawer(drawer="A-01", counted={"L-1": 0}, actor=people.clerk()))
    balance.refresh_from_db()
    assert balance.on_hand == 0
    refused("sizes_frozen", edit, part, sizes=SIZES)


def test_a_compound_that_nobody_knew_may_be_told_once_lots_exist(clock: HeldClock) -> None:
    """Without it nobody can tell the age of what lies there, and nothing of it can be given out."""
    part = factories.oring(number="OR-1")
    factories.stocked(part, 20, cure_date="2029-Q1")
    assert (of_new(part).available, of_new(part).age_to_check) == (0, 20)
    [kept] = edit(part, sizes={"compound": "NBR"}, reason="the maker's bag says so")
    assert (kept.field, kept.before, kept.after, kept.reason) == (
        "compound",
        "unknown",
        "NBR",
        "the maker's bag says so",
    )
    assert kept.person == people.clerk().person
    assert (of_new(part).available, of_new(part).age_to_check) == (20, 0)
    for other in ("FKM", "unknown"):
        refused("sizes_frozen", edit, part, sizes={"compound": other})


def test_telling_the_compound_opens_no_other_size() -> None:
    part = factories.oring(number="OR-1")
    factories.stocked(part, 20, cure_date="2029-Q1")
    refused("sizes_frozen", edit, part, sizes={"compound": "NBR", "section_mm": "5.33"})
    refused("sizes_frozen", edit, part, sizes={"hardness": "70"})
    refused("invalid", edit, part, sizes={"compound": "NBR"}, reason=" ")


def test_the_same_sizes_sent_again_are_no_change_and_freeze_nothing() -> None:
    part = factories.shim(34, 0.15)
    factories.stocked(part, 1)
    [kept] = edit(part, name="Other", sizes=SIZES)
    assert kept.field == "name"


def test_sizes_that_are_none_are_named_and_nothing_is_kept() -> None:
    part = factories.shim(30, 0.15)
    error = refused("invalid", edit, part, name="Other", sizes={**SIZES, "od_mm": "11", "thickness_mm": "thin"})
    assert {one.field for one in error.errors} == {"thickness_mm"} | {"bore_mm"}


def test_a_size_that_is_not_known_may_be_added_to_another_kind() -> None:
    part = factories.part("nut", "NU-1", {"thread": "M12x1.25", "height_mm": 10})
    sizes = {"thread": "M12x1.25", "height_mm": "10", "across_flats_mm": "19"}
    [kept] = edit(part, sizes=sizes)
    assert (kept.field, kept.before, kept.after) == ("across_flats_mm", "", "19.00")
    assert Nut.objects.get(part=part).across_flats_um == 19_000


def test_a_part_is_retired_and_used_again() -> None:
    part = factories.shim()
    [kept] = edit(part, retired=True)
    part.refresh_from_db()
    assert (part.retired_at is not None, kept.field, kept.after) == (True, "state", "retired")
    first = part.retired_at
    edit(part, name="Other", retired=True)
    part.refresh_from_db()
    assert part.retired_at == first
    edit(part, retired=False)
    part.refresh_from_db()
    assert part.retired_at is None


@pytest.mark.parametrize("reason", ["", "  "])
def test_a_correction_without_a_reason_is_refused(reason: str) -> None:
    part = factories.shim()
    assert refused("invalid", edit, part, name="Other", reason=reason).errors[0].field == "reason"


def test_an_empty_name_is_refused() -> None:
    assert refused("invalid", edit, factories.shim(), name=" ").errors[0].field == "name"


def test_nothing_different_keeps_nothing_and_needs_no_reason() -> None:
    assert edit(factories.shim(), reason="") == []
    assert not Amendment.objects.exists()


def test_an_edit_of_what_somebody_else_edited_meanwhile_is_refused_with_both_values() -> None:
    part = factories.shim()
    read = read_of(part)
    edit(part, read=read, name="Hers")
    error = refused("edited_meanwhile", edit, part, read=read, name="His")
    assert [(one.field, one.message) for one in error.errors] == [("name", "reads 'Hers' now; you typed 'His'")]


def test_an_edit_that_overwrites_by_leaving_alone_is_seen_too() -> None:
    part = factories.shim(number="S-1")
    read, old = read_of(part), part.name
    edit(part, read=read, name="Hers")
    error = refused("edited_meanwhile", edit, part, read=read, name=old, retired=True)
    assert {one.field for one in error.errors} == {"name", "state"}


def test_two_people_who_made_the_same_edit_agree() -> None:
    part = factories.shim()
    read = read_of(part)
    edit(part, read=read, name="Same")
    assert edit(part, read=read, name="Same") == []


def test_a_part_that_is_none_is_not_found() -> None:
    part = factories.shim()
    part.number = "other"
    assert refused("not_found", edit, part, read="x").data == {"what": "part", "which": "other"}


# --- lots


def edit_lot(number: str = "L-1", **changed: Any) -> list[Amendment]:
    said: dict[str, Any] = {"supplier": "", "source": "", "received_on": date(2020, 1, 1), "cure_date": "", **changed}
    read = amending.seen(amending.lot_reads(browsing.lot_called(number)))
    return use_case(
        lambda: amending.edit_lot(
            number=number, edit=LotEdit(**said), read=read, reason="misread", actor=people.clerk()
        )
    )


def test_every_wrong_field_of_a_lot_is_named_at_once() -> None:
    factories.stocked(factories.shim(), 1, lot="L-1")
    error = refused("invalid", edit_lot, received_on=date(1949, 12, 31), cure_date="2026")
    assert [one.field for one in error.errors] == ["received_on", "cure_date"]


@pytest.mark.parametrize("cure_date", ["2026-Q0", "2026-Q5", "26-Q1", "x2026-Q1", "\u0662\u0660\u0662\u0666-Q1"])
def test_a_cure_date_is_a_quarter(cure_date: str) -> None:
    factories.stocked(factories.shim(), 1, lot="L-1")
    assert refused("invalid", edit_lot, cure_date=cure_date).errors[0].field == "cure_date"


@pytest.mark.parametrize("cure_date", ["2026-q1", " 2026-Q1 "])
def test_a_cure_date_is_kept_in_one_way(cure_date: str) -> None:
    factories.stocked(factories.shim(), 1, lot="L-1")
    edit_lot(cure_date=cure_date)
    assert Lot.objects.get().cure_date == "2026-Q1"


def test_the_first_day_and_today_are_days_on_which_a_lot_can_have_come_in() -> None:
    factories.stocked(factories.shim(), 1, lot="L-1")
    for day in (clock.FIRST_DAY, clock.today()):
        edit_lot(received_on=day)
        assert Lot.objects.get().received_on == day


def add_sample(readings_um: list[int]) -> None:
    use_case(lambda: amending.add_sample(number="L-1", readings_um=readings_um, actor=people.clerk()))


def test_a_sample_is_judged_alone() -> None:
    # 50 readings of 0.15 together with three of 0.20 still have a mean that belongs to 0.15.
    factories.stocked(factories.shim(34, 0.15), 1, lot="L-1", readings_um=[150] * 50)
    error = refused("other_nominal_size", add_sample, [200, 201, 199])
    assert error.data["nearest_mm"] == "0.20"


def test_a_sample_has_at_least_one_reading() -> None:
    factories.stocked(factories.shim(), 1, lot="L-1")
    error = refused("invalid", add_sample, [])
    assert error.errors[0].field == "readings_um"


def test_a_sample_of_two_sizes_is_not_kept() -> None:
    factories.stocked(factories.shim(34, 0.15), 1, lot="L-1")
    error = refused("mixed_sizes", add_sample, [150, 150, 150, 200])
    assert error.data == {"readings_mm": "0.15, 0.20", "sizes_mm": "0.15, 0.20", "nominal_mm": "0.15"}


def test_a_part_without_a_thickness_takes_no_sample() -> None:
    factories.stocked(factories.nut(), 1, lot="L-1")
    assert refused("invalid", add_sample, [150]).errors[0].message == "cannot be kept: this part has no thickness"


# --- drawers


def set_state(*, retired: bool, reason: str = "broken") -> list[Amendment]:
    return use_case(
        lambda: amending.set_drawer_state(code="A-01", retired=retired, reason=reason, actor=people.clerk())
    )


def test_a_drawer_that_was_emptied_can_be_retired() -> None:
    factories.stocked(factories.shim(), 1, lot="L-1")
    assert refused("drawer_not_empty", set_state, retired=True).data == {"which": "A-01"}
    use_case(lambda: count_drawer(drawer="A-01", counted={"L-1": 0}, actor=people.clerk()))
    [kept] = set_state(retired=True)
    assert (kept.subject, kept.field, kept.after) == (Subject.DRAWER, "state", "retired")
    assert Drawer.objects.get(code="A-01").retired_at is not None
    with pytest.raises(DomainError) as raised:
        factories.stocked(factories.shim(), 1)
    assert raised.value.code == "part_retired"


def test_retiring_twice_is_one_correction() -> None:
    factories.drawer("A-01")
    assert [len(set_state(retired=True)) for _ in range(2)] == [1, 0]


def out_of_use(balance: Balance) -> Drawer:
    """The drawer of a balance, emptied and retired."""
    count({balance.lot.number: 0})
    set_state(retired=True)
    assert Drawer.objects.get().retired_at is not None
    return Drawer.objects.get()


def test_pieces_counted_in_a_drawer_out_of_use_bring_it_back_with_an_amendment() -> None:
    balance = factories.stocked(factories.shim(), 5, lot="L-1")
    drawer = out_of_use(balance)
    count({"L-1": 3})
    drawer.refresh_from_db()
    assert drawer.retired_at is None
    last = Amendment.objects.latest("pk")
    assert (last.subject, last.subject_id, last.before, last.after) == (Subject.DRAWER, drawer.pk, "retired", "in use")
    assert (last.reason, last.person) == ("pieces were counted in it", people.clerk().person)


def test_a_single_count_brings_its_drawer_back_too() -> None:
    drawer = out_of_use(factories.stocked(factories.shim(), 5, lot="L-1"))
    use_case(lambda: count_balance(lot="L-1", drawer="A-01", counted=1, actor=people.clerk()))
    drawer.refresh_from_db()
    assert drawer.retired_at is None


def test_a_drawer_out_of_use_that_is_counted_empty_stays_so() -> None:
    drawer = out_of_use(factories.stocked(factories.shim(), 5, lot="L-1"))
    count({"L-1": 0})
    drawer.refresh_from_db()
    assert drawer.retired_at is not None


# --- counting a drawer


def count(counted: dict[str, int], drawer: str = "A-01") -> list[Counted]:
    return use_case(lambda: count_drawer(drawer=drawer, counted=counted, actor=people.clerk()))


def test_all_counts_of_a_drawer_are_kept_by_one_lock(monkeypatch: pytest.MonkeyPatch) -> None:
    for number in ("L-1", "L-2", "L-3"):
        factories.stocked(factories.shim(), 10, lot=number)
    taken: list[Any] = []
    take = locks.take

    def noted(rows: Any) -> list[Any]:
        taken.append(rows)
        return take(rows)

    monkeypatch.setattr(locks, "take", noted)
    done = count({"L-1": 9, "L-2": 10, "L-3": 12})
    assert len(taken) == 1
    assert [(one.count.expected, one.count.counted) for one in done] == [(10, 9), (10, 10), (10, 12)]
    assert sorted(Balance.objects.values_list("on_hand", flat=True)) == [9, 10, 12]


def test_a_lot_of_another_drawer_stops_the_whole_count() -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    factories.stocked(factories.shim(), 10, lot="L-2", drawer="B-01")
    assert refused("not_found", count, {"L-1": 9, "L-2": 9}).data["what"] == "lot L-2 in drawer"


def test_the_same_lot_in_another_drawer_is_left_alone() -> None:
    here = factories.stocked(factories.shim(), 10, lot="L-1")
    there = Balance.objects.create(lot=here.lot, drawer=factories.drawer("B-01"))
    count({"L-1": 4})
    there.refresh_from_db()
    assert there.on_hand == 0
    assert not Count.objects.filter(balance=there).exists()


@pytest.mark.parametrize("pieces", [-1, 1_000_001])
def test_every_impossible_count_is_named_by_its_lot(pieces: int) -> None:
    for number in ("L-1", "L-2"):
        factories.stocked(factories.shim(), 10, lot=number)
    error = refused("invalid", count, {"L-1": pieces, "L-2": pieces})
    assert [one.field for one in error.errors] == ["L-1", "L-2"]


def test_a_count_of_nothing_is_refused() -> None:
    factories.drawer("A-01")
    assert refused("invalid", count, {}).errors[0].field == "counted"


def test_a_hold_over_two_lots_loses_to_each_count() -> None:
    for number in ("L-1", "L-2"):
        factories.stocked(factories.shim(), 10, lot=number)
    hold = factories.held(Wanted(quantity=8, lot="L-1"), Wanted(quantity=8, lot="L-2")).hold
    done = count({"L-1": 5, "L-2": 6})
    assert [[(one.hold.pk, one.by) for one in each.shortened] for each in done] == [[(hold.pk, 3)], [(hold.pk, 2)]]
    hold.refresh_from_db()
    assert hold.state == "short"
