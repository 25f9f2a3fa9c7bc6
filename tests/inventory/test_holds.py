"""Holds: all lines or none, oldest first, and nobody loses pieces but in the written order."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.conf import LazySettings
from django.db import transaction

from inventory.common import clock as the_clock
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds.expiry import sweep
from inventory.holds.models import Hold, HoldLine, Purpose, State
from inventory.holds.requests import MOST_LINES, Wanted
from inventory.holds.selectors import held_faults, lapsed_by_balance, lapsed_by_part, lines_of, visible_holds
from inventory.holds.services import Locked, confirm_hold, extend_hold, release_hold
from inventory.people.actors import Actor
from inventory.receiving.services import Counted, count_balance
from inventory.stock import replay
from inventory.stock.models import Balance, Condition, Movement
from tests import factories, people
from tests.conftest import HeldClock
from tests.factories import held

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def true_shelf() -> Iterator[None]:
    yield
    assert replay.faults() == []
    assert held_faults() == []


@contextmanager
def refused(code: str) -> Iterator[pytest.ExceptionInfo[DomainError]]:
    """The block is refused with this code."""
    with pytest.raises(DomainError) as raised:
        yield raised
    assert raised.value.code == code, str(raised.value)


def given(locked: Locked) -> dict[str, int]:
    """{lot: pieces} that a hold keeps now."""
    lines = HoldLine.objects.filter(hold=locked.hold, quantity__gt=0).select_related("balance__lot")
    return {line.balance.lot.number: line.quantity for line in lines}


def state(locked: Locked) -> str:
    return Hold.objects.get(pk=locked.hold.pk).state


def on_hand_and_held(lot: str) -> tuple[int, int]:
    return Balance.objects.values_list("on_hand", "held").get(lot__number=lot)


def confirm(locked: Locked, actor: Actor | None = None) -> Locked:
    return use_case(lambda: confirm_hold(hold=locked.hold.pk, actor=actor or people.storefront()))


def extend(locked: Locked, minutes: int | None = None, actor: Actor | None = None) -> Locked:
    return use_case(lambda: extend_hold(hold=locked.hold.pk, minutes=minutes, actor=actor or people.storefront()))


def release(locked: Locked, actor: Actor | None = None) -> Locked:
    return use_case(lambda: release_hold(hold=locked.hold.pk, actor=actor or people.storefront()))


def count(lot: str, counted: int) -> Counted:
    return use_case(lambda: count_balance(lot=lot, drawer="A-01", counted=counted, actor=people.clerk()))


# --- making


def test_a_hold_sets_pieces_aside_and_leaves_them_on_hand() -> None:
    factories.stocked(factories.shim(), 40, lot="L-1")
    locked = held(Wanted(9, lot="L-1"))
    assert on_hand_and_held("L-1") == (40, 9)
    assert given(locked) == {"L-1": 9}
    movement = Movement.objects.latest("pk")
    assert (movement.on_hand_delta, movement.held_delta, movement.client) == (0, 9, people.storefront().client)
    assert (movement.cause_kind, movement.cause_id) == ("hold", str(locked.hold.pk))


def test_one_short_line_leaves_every_other_line_alone() -> None:
    factories.stocked(factories.shim(number="S-1"), 10, lot="L-1")
    factories.stocked(factories.shim(number="S-2"), 2, lot="L-2")
    before = Movement.objects.count()
    with refused("out_of_stock"):
        held(Wanted(5, part="S-1"), Wanted(3, part="S-2"), Wanted(1, lot="L-1"))
    assert Movement.objects.count() == before
    assert not Hold.objects.exists()
    assert (on_hand_and_held("L-1"), on_hand_and_held("L-2")) == ((10, 0), (2, 0))


def test_out_of_stock_says_for_each_short_line_what_is_free() -> None:
    factories.stocked(factories.shim(number="S-1"), 10, lot="L-1")
    factories.stocked(factories.shim(number="S-2"), 4, lot="L-2")
    factories.shim(number="S-3")
    held(Wanted(3, lot="L-2"))
    with refused("out_of_stock") as error:
        held(
            Wanted(2, part="S-2"),
            Wanted(10, part="S-1"),
            Wanted(5, part="S-3"),
            Wanted(9, lot="L-2"),
            actor=people.clerk(),
        )
    # The lot line comes first and is short, but what it took is not free for the part line of the same lot.
    assert error.value.data["lines"] == [
        {"line": 0, "asked": 2, "free": 0},
        {"line": 2, "asked": 5, "free": 0},
        {"line": 3, "asked": 9, "free": 1},
    ]
    assert [fault.field for fault in error.value.errors] == ["lines.0", "lines.2", "lines.3"]
    assert error.value.errors[2].message == "9 asked, 1 free"


def test_two_lines_for_one_part_do_not_share_a_piece() -> None:
    factories.stocked(factories.shim(number="S-1"), 5, lot="L-1")
    with refused("out_of_stock") as error:
        held(Wanted(3, part="S-1"), Wanted(3, part="S-1"))
    assert error.value.data["lines"] == [{"line": 1, "asked": 3, "free": 2}]
    assert given(held(Wanted(3, part="S-1"), Wanted(2, part="S-1"))) == {"L-1": 5}


def test_the_oldest_lot_is_given_first() -> None:
    part = factories.shim(number="S-1")
    factories.stocked(part, 4, lot="young", received_on=factories.MONDAY)
    factories.stocked(part, 4, lot="old", received_on=factories.MONDAY - timedelta(days=9))
    factories.stocked(part, 4, lot="twin", received_on=factories.MONDAY)
    assert given(held(Wanted(6, part="S-1"))) == {"old": 4, "young": 2}
    assert given(held(Wanted(3, part="S-1"))) == {"young": 2, "twin": 1}


def test_a_part_line_takes_new_stock_only() -> None:
    part = factories.shim(number="S-1")
    factories.stocked(
        part, 5, lot="used", condition=Condition.TAKE_OFF, received_on=factories.MONDAY - timedelta(days=9)
    )
    factories.stocked(part, 2, lot="new")
    with refused("out_of_stock") as error:
        held(Wanted(3, part="S-1"))
    assert error.value.data["lines"] == [{"line": 0, "asked": 3, "free": 2}]
    assert given(held(Wanted(3, lot="used"), Wanted(2, part="S-1"), actor=people.clerk())) == {"used": 3, "new": 2}


def test_a_lot_line_takes_that_lot_before_part_lines_choose() -> None:
    part = factories.shim(number="S-1")
    factories.stocked(part, 3, lot="old", received_on=factories.MONDAY - timedelta(days=9))
    factories.stocked(part, 3, lot="young")
    assert given(held(Wanted(3, part="S-1"), Wanted(3, lot="old"))) == {"old": 3, "young": 3}


def test_a_line_for_one_balance_is_served_although_a_line_for_its_lot_could_take_it() -> None:
    balance = factories.stocked(factories.shim(number="S-1"), 3, lot="L-1")
    other = factories.stocked(factories.shim(number="S-2"), 3, lot="L-2")
    locked = held(Wanted(2, balance=balance.pk), Wanted(1, lot="L-1"), Wanted(3, balance=other.pk))
    assert given(locked) == {"L-1": 3, "L-2": 3}


@pytest.mark.parametrize(
    ("line", "field"),
    [
        (Wanted(1), "lines.0"),
        (Wanted(1, part="S-1", lot="L-1"), "lines.0"),
        (Wanted(0, part="S-1"), "lines.0.quantity"),
        (Wanted(-1, part="S-1"), "lines.0.quantity"),
        (Wanted(1_000_001, part="S-1"), "lines.0.quantity"),
        (Wanted(1, part="no such part"), "lines.0"),
        (Wanted(1, lot="no such lot"), "lines.0"),
    ],
    ids=str,
)
def test_a_line_that_makes_no_sense_is_named(line: Wanted, field: str) -> None:
    factories.stocked(factories.shim(number="S-1"), 3, lot="L-1")
    with refused("invalid") as error:
        held(line, actor=people.clerk())
    assert [fault.field for fault in error.value.errors] == [field]


@pytest.mark.parametrize("lines", [0, MOST_LINES + 1])
def test_the_number_of_lines_has_limits(lines: int) -> None:
    with refused("invalid") as error:
        held(*[Wanted(1, part="S-1")] * lines)
    assert error.value.errors[0].field == "lines"


# --- time


def test_a_web_hold_stands_for_the_default_and_a_job_hold_has_no_end(clock: HeldClock, settings: LazySettings) -> None:
    settings.HOLD_MINUTES = 15
    factories.stocked(factories.shim(), 10, lot="L-1")
    web, job = held(Wanted(1, lot="L-1")), held(Wanted(1, lot="L-1"), actor=people.clerk(), purpose=Purpose.JOB)
    assert web.hold.expires_at == clock.time + timedelta(minutes=15)
    assert job.hold.expires_at is None
    clock.advance(days=400)
    sweep(actor=people.clerk())
    assert (state(web), state(job)) == (State.LAPSED, State.OPEN)
    assert on_hand_and_held("L-1") == (10, 1)


def test_minutes_have_a_cap_that_the_default_obeys_too(clock: HeldClock, settings: LazySettings) -> None:
    settings.HOLD_MINUTES, settings.HOLD_MINUTES_MOST = 90, 60
    factories.stocked(factories.shim(), 10, lot="L-1")
    assert held(Wanted(1, lot="L-1"), minutes=60).hold.expires_at == clock.time + timedelta(minutes=60)
    assert held(Wanted(1, lot="L-1")).hold.expires_at == clock.time + timedelta(minutes=60)
    for minutes in (61, 0, -5):
        with refused("invalid") as error:
            held(Wanted(1, lot="L-1"), minutes=minutes)
        assert error.value.errors[0].field == "minutes"


def test_a_hold_for_a_job_takes_no_minutes() -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    with refused("invalid"):
        held(Wanted(1, lot="L-1"), purpose=Purpose.JOB, minutes=5)


def test_a_lapsed_hold_counts_as_free_at_once_and_not_a_moment_before(clock: HeldClock) -> None:
    balance = factories.stocked(factories.shim(), 5, lot="L-1")
    held(Wanted(5, lot="L-1"), minutes=10)
    clock.advance(minutes=9, seconds=59)
    assert lapsed_by_balance() == {}
    with refused("out_of_stock"):
        held(Wanted(1, lot="L-1"))
    clock.advance(seconds=1)
    assert lapsed_by_balance() == {balance.pk: 5}
    assert lapsed_by_balance([balance.pk + 1]) == {}
    assert lapsed_by_part([balance.lot.part_id]) == {(balance.lot.part_id, Condition.NEW, ""): 5}
    assert given(held(Wanted(5, lot="L-1"))) == {"L-1": 5}
    assert lapsed_by_balance() == {}


def test_extending_counts_from_now(clock: HeldClock, settings: LazySettings) -> None:
    settings.HOLD_MINUTES, settings.HOLD_MINUTES_MOST = 15, 60
    factories.stocked(factories.shim(), 5, lot="L-1")
    locked = held(Wanted(5, lot="L-1"), minutes=10)
    clock.advance(minutes=8)
    assert extend(locked, 30).hold.expires_at == clock.time + timedelta(minutes=30)
    assert extend(locked).hold.expires_at == clock.time + timedelta(minutes=15)
    with refused("invalid"):
        extend(locked, 61)
    clock.advance(minutes=14)
    assert lapsed_by_balance() == {}
    clock.advance(minutes=1)
    with refused("hold_lapsed"):
        extend(locked)


@pytest.mark.parametrize("step", ["confirmed", "released", "job"])
def test_only_an_open_web_hold_is_extended(step: str) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1")
    locked = held(Wanted(1, lot="L-1"), purpose=Purpose.JOB if step == "job" else Purpose.WEB)
    if step != "job":
        {"confirmed": confirm, "released": release}[step](locked)
    with refused("hold_state"):
        extend(locked)


# --- confirm and release


def test_confirming_stops_the_lapse_and_leaves_on_hand_alone(clock: HeldClock) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1")
    locked = held(Wanted(4, lot="L-1"))
    confirm(locked)
    confirm(locked)
    clock.advance(days=30)
    sweep(actor=people.clerk())
    assert state(locked) == State.CONFIRMED
    assert on_hand_and_held("L-1") == (5, 4)


@pytest.mark.parametrize("swept", [True, False])
def test_confirming_a_lapsed_hold_takes_its_pieces_again(swept: bool, clock: HeldClock) -> None:
    factories.stocked(factories.shim(number="S-1"), 5, lot="L-1")
    factories.stocked(factories.shim(number="S-2"), 5, lot="L-2")
    locked = held(Wanted(4, lot="L-1"), Wanted(5, lot="L-2"))
    clock.advance(days=2)
    if swept:
        sweep(actor=people.clerk())
    confirm(locked)
    assert given(locked) == {"L-1": 4, "L-2": 5}
    assert (on_hand_and_held("L-1"), on_hand_and_held("L-2")) == ((5, 4), (5, 5))
    clock.advance(days=2)
    assert lapsed_by_balance() == {}


@pytest.mark.parametrize("swept", [True, False])
def test_confirming_is_refused_when_one_line_is_gone_and_then_takes_nothing(swept: bool, clock: HeldClock) -> None:
    factories.stocked(factories.shim(number="S-1"), 5, lot="L-1")
    factories.stocked(factories.shim(number="S-2"), 5, lot="L-2")
    locked = held(Wanted(4, lot="L-1"), Wanted(4, lot="L-2"))
    clock.advance(days=2)
    if swept:
        sweep(actor=people.clerk())
    held(Wanted(2, lot="L-2"), actor=people.outsider())
    with refused("hold_lapsed"):
        confirm(locked)
    assert given(locked).get("L-2", 0) in ({0} if swept else {0, 4})
    sweep(actor=people.clerk())
    assert (on_hand_and_held("L-1"), on_hand_and_held("L-2")) == ((5, 0), (5, 2))


def test_a_hold_of_which_another_claim_locked_one_line_gives_back_that_line_only(clock: HeldClock) -> None:
    factories.stocked(factories.shim(number="S-1"), 5, lot="L-1")
    factories.stocked(factories.shim(number="S-2"), 5, lot="L-2")
    locked = held(Wanted(4, lot="L-1"), Wanted(3, lot="L-2"), minutes=5)
    clock.advance(minutes=5)
    held(Wanted(5, lot="L-1"), actor=people.outsider())
    # Its other line is free for whoever asks, though nobody has given it back yet.
    assert given(locked) == {"L-2": 3}
    assert held_faults() == []
    assert sum(lapsed_by_balance().values()) == 3
    assert given(held(Wanted(5, lot="L-2"), actor=people.outsider())) == {"L-2": 5}
    assert state(locked) == State.LAPSED
    with refused("hold_lapsed"):
        confirm(locked)


def test_a_partly_given_back_hold_is_confirmed_whole_or_not_at_all(clock: HeldClock) -> None:
    factories.stocked(factories.shim(number="S-1"), 9, lot="L-1")
    factories.stocked(factories.shim(number="S-2"), 5, lot="L-2")
    locked = held(Wanted(4, lot="L-1"), Wanted(3, lot="L-2"), minutes=5)
    clock.advance(minutes=5)
    held(Wanted(5, lot="L-1"), actor=people.outsider())
    confirm(locked)
    assert given(locked) == {"L-1": 4, "L-2": 3}


def test_the_sweeper_ends_a_hold_that_others_have_partly_given_back(clock: HeldClock) -> None:
    factories.stocked(factories.shim(number="S-1"), 5, lot="L-1")
    factories.stocked(factories.shim(number="S-2"), 5, lot="L-2")
    locked = held(Wanted(4, lot="L-1"), Wanted(3, lot="L-2"), minutes=5)
    clock.advance(minutes=5)
    held(Wanted(5, lot="L-1"), actor=people.outsider())
    assert sweep(actor=people.clerk()) == 1
    assert (state(locked), given(locked)) == (State.LAPSED, {})
    assert sweep(actor=people.clerk()) == 0


def test_releasing_gives_back_and_doing_it_again_changes_nothing() -> None:
    factories.stocked(factories.shim(), 5, lot="L-1")
    locked = held(Wanted(4, lot="L-1"))
    release(locked)
    assert (state(locked), on_hand_and_held("L-1")) == (State.RELEASED, (5, 0))
    before = Movement.objects.count()
    release(locked)
    assert (state(locked), Movement.objects.count()) == (State.RELEASED, before)
    line = HoldLine.objects.get(hold=locked.hold)
    assert (line.quantity, line.asked) == (0, 4)


@pytest.mark.parametrize("step", ["open", "confirmed", "short", "lapsed", "swept", "job"])
def test_releasing_is_always_allowed(step: str, clock: HeldClock) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1")
    locked = held(Wanted(4, lot="L-1"), purpose=Purpose.JOB if step == "job" else Purpose.WEB)
    if step == "confirmed":
        confirm(locked)
    if step == "short":
        count("L-1", 2)
    if step in {"lapsed", "swept"}:
        clock.advance(days=9)
    if step == "swept":
        sweep(actor=people.clerk())
    release(locked)
    assert state(locked) in {State.RELEASED, State.LAPSED}
    assert Balance.objects.get(lot__number="L-1").held == 0


@pytest.mark.parametrize("step", [confirm, extend])
def test_a_released_hold_stays_released(step: Any) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1")
    locked = held(Wanted(4, lot="L-1"))
    release(locked)
    with refused("hold_state") as error:
        step(locked)
    assert error.value.data["state"] == State.RELEASED


class EndingClock:
    """A clock that stands just before the end of a hold and is past it from one of its readings on."""

    def __init__(self, end: datetime, readings_before: int) -> None:
        self.end, self.left = end, readings_before

    def now(self) -> datetime:
        self.left -= 1
        return self.end - timedelta(seconds=1) if self.left >= 0 else self.end


@pytest.mark.parametrize("readings_before", range(5))
@pytest.mark.parametrize("step", [confirm, extend, release])
def test_a_hold_whose_end_comes_during_a_command_is_never_held_twice(
    step: Any, readings_before: int, clock: HeldClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    locked = held(Wanted(4, lot="L-1"), minutes=5)
    actor = people.storefront()
    monkeypatch.setattr(the_clock, "now", EndingClock(clock.time + timedelta(minutes=5), readings_before).now)
    # Either side of the end is right; the ledger and the hold agree about it.
    with suppress(DomainError), transaction.atomic():
        step(locked, actor=actor)
    assert held_faults() == []
    assert Balance.objects.get().held in (0, 4)


# --- what a count takes


def test_a_count_shortens_open_web_then_confirmed_web_then_jobs_and_the_newest_first() -> None:
    factories.stocked(factories.shim(), 60, lot="L-1")
    job_old = held(Wanted(10, lot="L-1"), actor=people.tuner(), purpose=Purpose.JOB)
    paid_old, paid_new = held(Wanted(10, lot="L-1")), held(Wanted(10, lot="L-1"), actor=people.outsider())
    confirm(paid_old)
    confirm(paid_new, people.outsider())
    open_old, open_new = held(Wanted(10, lot="L-1")), held(Wanted(10, lot="L-1"))
    job_new = held(Wanted(10, lot="L-1"), actor=people.lead(), purpose=Purpose.JOB)
    order = [open_new, open_old, paid_new, paid_old, job_new, job_old]
    owners = ["web shop", "web shop", "other shop", "web shop", "Maive Orlund", "Ossian Tarn"]
    done = count("L-1", 5)
    assert [(lost.hold.pk, lost.by) for lost in done.shortened] == [
        (locked.hold.pk, 5 if locked is job_old else 10) for locked in order
    ]
    assert [lost.owner for lost in done.shortened] == owners
    assert {state(locked) for locked in order} == {State.SHORT}
    assert given(job_old) == {"L-1": 5}
    assert on_hand_and_held("L-1") == (5, 5)


def test_a_count_takes_no_more_than_it_must() -> None:
    factories.stocked(factories.shim(), 20, lot="L-1")
    old, new = held(Wanted(6, lot="L-1")), held(Wanted(6, lot="L-1"))
    done = count("L-1", 10)
    assert [(lost.hold.pk, lost.by) for lost in done.shortened] == [(new.hold.pk, 2)]
    assert (state(old), state(new)) == (State.OPEN, State.SHORT)
    assert (given(old), given(new)) == ({"L-1": 6}, {"L-1": 4})
    assert on_hand_and_held("L-1") == (10, 10)


def test_a_lapsed_hold_gives_way_before_any_that_stands(clock: HeldClock) -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    lapsed = held(Wanted(5, lot="L-1"), minutes=1)
    clock.advance(minutes=1)
    standing = held(Wanted(5, lot="L-1"))
    assert count("L-1", 5).shortened == []
    assert (state(lapsed), state(standing)) == (State.LAPSED, State.OPEN)


def test_a_short_web_hold_keeps_the_rest_until_its_time(clock: HeldClock) -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    locked = held(Wanted(6, lot="L-1"), minutes=10)
    count("L-1", 4)
    with refused("hold_state") as error:
        confirm(locked)
    assert error.value.data["state"] == State.SHORT
    clock.advance(minutes=10)
    assert sum(lapsed_by_balance().values()) == 4
    sweep(actor=people.clerk())
    assert (state(locked), on_hand_and_held("L-1")) == (State.LAPSED, (4, 0))


@pytest.mark.parametrize("swept", [True, False])
def test_a_hold_that_lost_everything_lapses_at_its_time_swept_or_not(swept: bool, clock: HeldClock) -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    locked = held(Wanted(6, lot="L-1"), minutes=10)
    count("L-1", 0)
    clock.advance(minutes=10)
    if swept:
        sweep(actor=people.clerk())
    with refused("hold_lapsed"):
        extend(locked)
    count("L-1", 6)
    confirm(locked)
    assert given(locked) == {"L-1": 6}


# --- who sees what


def test_a_storefront_sees_only_its_own_holds() -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    mine, theirs = held(Wanted(1, lot="L-1")), held(Wanted(1, lot="L-1"), actor=people.outsider())
    job = held(Wanted(1, lot="L-1"), actor=people.tuner(), purpose=Purpose.JOB)
    assert set(visible_holds(people.storefront())) == {mine.hold}
    assert set(visible_holds(people.outsider())) == {theirs.hold}
    for actor in (people.clerk(), people.tuner(), people.lead()):
        assert set(visible_holds(actor)) == {mine.hold, theirs.hold, job.hold}
    assert [line.balance.lot.number for line in lines_of([mine.hold.pk])] == ["L-1"]


@pytest.mark.parametrize("step", [confirm, extend, release])
def test_a_storefront_cannot_touch_anothers_hold_nor_learn_that_it_exists(step: Any) -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    locked = held(Wanted(1, lot="L-1"))
    with refused("not_found") as error:
        step(locked, actor=people.outsider())
    assert error.value.data == {"what": "hold", "which": str(locked.hold.pk)}
    assert state(locked) == State.OPEN
    step(locked, actor=people.lead())


@pytest.mark.parametrize("step", [confirm, extend, release])
def test_a_hold_that_is_not_there_is_not_found(step: Any) -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    locked = held(Wanted(1, lot="L-1"))
    locked.hold.pk += 1000
    with refused("not_found"):
        step(locked)


def test_retired_things_are_not_given() -> None:
    part = factories.shim(number="S-1")
    lot = factories.stocked(part, 5, lot="L-1").lot
    lot.retired_at = part.created_at
    lot.save()
    with refused("not_given_out"):
        held(Wanted(1, lot="L-1"), actor=people.clerk())
    lot.retired_at = None
    lot.save()
    part.retired_at = part.created_at
    part.save()
    with refused("not_given_out"):
        held(Wanted(1, part="S-1"))
    with refused("not_given_out"):
        held(Wanted(1, lot="L-1"), actor=people.clerk())
