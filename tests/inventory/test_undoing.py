"""Undoing a line of a delivery: reversed in the ledger, once, and never against what lies in the drawer."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from functools import partial
from typing import Any

import pytest
from django.db import connection

from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds.models import Hold, Purpose
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.people.actors import Actor
from inventory.receiving.models import Delivery, DeliveryLine
from inventory.receiving.selectors import TakenLine, last_deliveries, lines_of, next_number, usual_drawer
from inventory.receiving.services import add_delivery_line, count_balance, start_delivery
from inventory.receiving.undoing import LONGEST_REASON, Undone, undo_line
from inventory.stock import replay
from inventory.stock.models import Balance, Condition, Lot, Movement
from inventory.stock.services import NewLot, drawer_called
from tests import factories, people
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def true_shelf(request: pytest.FixtureRequest) -> Iterator[None]:
    yield
    assert replay.faults() == []
    assert held_faults() == []


def taken_in(quantity: int = 40, *, lot: str = "L-1", part: Any = None, **words: Any) -> DeliveryLine:
    """A line of the delivery D-1."""
    clerk = people.clerk()

    def work() -> DeliveryLine:
        delivery = Delivery.objects.filter(number="D-1").first() or start_delivery(
            number="D-1", supplier="", note="", received_on=factories.MONDAY, actor=clerk
        )
        new = NewLot(part or factories.shim(), drawer_called("A-01"), quantity, factories.MONDAY, lot, **words)
        return add_delivery_line(delivery=delivery, new=new, actor=clerk)

    return use_case(work)


def undo(line: DeliveryLine, reason: str = "wrong bag", actor: Actor | None = None) -> Undone:
    return use_case(
        lambda: undo_line(delivery=line.delivery_id, line=line.pk, reason=reason, actor=actor or people.lead())
    )


def refused(line: DeliveryLine, reason: str = "wrong bag") -> DomainError:
    """The error of undoing, which may have changed nothing."""
    before = Movement.objects.count(), list(Lot.objects.values_list("number", "retired_at"))
    with pytest.raises(DomainError) as raised:
        undo(line, reason)
    assert before == (Movement.objects.count(), list(Lot.objects.values_list("number", "retired_at")))
    return raised.value


def test_undoing_reverses_the_first_movement_and_names_who_and_why(clock: HeldClock) -> None:
    line = taken_in(40, unit_cost_minor=85, currency="EUR")
    first = Movement.objects.get()
    clock.advance(hours=1)
    done = undo(line, " wrong bag ")
    assert (done.line.pk, done.shortened, done.left) == (line.pk, [], 0)
    last = Movement.objects.latest("pk")
    assert (last.reverses, last.on_hand_delta, last.on_hand, last.held_delta) == (first, -40, 0, 0)
    assert (last.person, last.reason, last.at) == (people.lead().person, "wrong bag", clock.time)
    assert (last.cause_kind, last.cause_id) == ("delivery", str(line.delivery_id))
    assert (last.unit_cost_minor, last.currency) == (85, "EUR")


def test_the_lot_is_retired_and_its_number_stays_used(clock: HeldClock) -> None:
    line = taken_in(lot="L-1")
    undo(line)
    assert Lot.objects.get().retired_at == clock.time
    with pytest.raises(DomainError) as raised:
        taken_in(lot="L-1")
    assert raised.value.code == "conflict"


def test_an_undone_lot_is_not_offered() -> None:
    part = factories.shim(number="S-1")
    undo(taken_in(part=part))
    with pytest.raises(DomainError) as raised:
        factories.held(Wanted(1, part="S-1"))
    assert raised.value.code == "out_of_stock"


def test_a_line_is_undone_once() -> None:
    line = taken_in()
    undo(line, actor=people.clerk())
    error = refused(line)
    assert (error.code, error.data) == ("line_undone", {"lot": "L-1", "who": "Runa Feldmark"})


def test_a_line_of_which_some_were_counted_away_is_not_undone() -> None:
    line = taken_in(40)
    use_case(lambda: count_balance(lot="L-1", drawer="A-01", counted=31, actor=people.clerk()))
    error = refused(line)
    assert error.code == "line_not_whole"
    assert error.data == {"lot": "L-1", "drawer": "A-01", "brought": 40, "there": 31}
    assert "Count the drawer instead" in error.text


def test_what_a_count_found_beyond_the_line_stays_and_keeps_the_lot() -> None:
    line = taken_in(40)
    use_case(lambda: count_balance(lot="L-1", drawer="A-01", counted=43, actor=people.clerk()))
    assert undo(line).left == 3
    assert Balance.objects.get().on_hand == 3
    assert Lot.objects.get().retired_at is None


def test_holds_on_the_pieces_lose_them_and_are_named() -> None:
    line = taken_in(10)
    web = factories.held(Wanted(4, lot="L-1"))
    job = factories.held(Wanted(5, lot="L-1"), actor=people.lead(), purpose=Purpose.JOB)
    done = undo(line)
    lost = {(one.hold.pk, one.by, one.owner) for one in done.shortened}
    assert lost == {(web.hold.pk, 4, "web shop"), (job.hold.pk, 5, "Maive Orlund")}
    assert set(Hold.objects.values_list("state", flat=True)) == {"short"}
    assert Balance.objects.values_list("on_hand", "held").get() == (0, 0)


def test_holds_lose_no_more_than_they_must() -> None:
    line = taken_in(10)
    use_case(lambda: count_balance(lot="L-1", drawer="A-01", counted=13, actor=people.clerk()))
    held = factories.held(Wanted(5, lot="L-1"))
    assert [(one.hold.pk, one.by) for one in undo(line).shortened] == [(held.hold.pk, 2)]
    assert Balance.objects.values_list("on_hand", "held").get() == (3, 3)


def test_a_lapsed_hold_gives_its_pieces_back_and_is_not_called_short(clock: HeldClock) -> None:
    line = taken_in(10)
    factories.held(Wanted(5, lot="L-1"), minutes=5)
    clock.advance(minutes=6)
    assert undo(line).shortened == []
    assert Hold.objects.get().state == "lapsed"


@pytest.mark.parametrize("reason", ["", "  ", "x" * (LONGEST_REASON + 1)])
def test_undoing_needs_a_reason_that_can_be_kept(reason: str) -> None:
    error = refused(taken_in(), reason)
    assert (error.code, error.errors[0].field) == ("invalid", "reason")


@pytest.mark.parametrize(("delivery", "line"), [(0, 999), (999, 0)])
def test_an_unknown_line_and_one_of_another_delivery_are_not_found(delivery: int, line: int) -> None:
    known = taken_in()
    key, whose = line or known.pk, delivery or known.delivery_id
    with pytest.raises(DomainError) as raised:
        use_case(lambda: undo_line(delivery=whose, line=key, reason="why", actor=people.lead()))
    assert raised.value.code == "not_found"


@pytest.mark.race
@pytest.mark.django_db(transaction=True)
def test_of_several_who_undo_at_once_one_does() -> None:
    line, lead = taken_in(), people.lead()
    start, ended = threading.Barrier(4), list[str]()

    def run() -> None:
        try:
            start.wait(120)
            undo(line, actor=lead)
            ended.append("undone")
        except DomainError as error:
            ended.append(error.code)
        finally:
            connection.close()

    crowd = [threading.Thread(target=run) for _ in range(4)]
    for one in crowd:
        one.start()
    for one in crowd:
        one.join(120)
    assert sorted(ended) == ["line_undone"] * 3 + ["undone"]
    assert Movement.objects.filter(reverses__isnull=False).count() == 1


# --- reading


def first_page(delivery: Delivery) -> list[TakenLine]:
    """The newest lines of a delivery."""
    return lines_of(delivery, page="1", size=50)[0]


def test_lines_are_read_newest_first_with_who_undid_them(clock: HeldClock) -> None:
    first = taken_in(40, lot="L-1", part=factories.shim(thickness_mm=0.15), readings_um=[149, 150])
    taken_in(5, lot="L-2", part=factories.nut())
    undo(first, "went back")
    newest, oldest = first_page(first.delivery)
    assert [(one.place, one.line.lot.number) for one in (newest, oldest)] == [(2, "L-2"), (1, "L-1")]
    assert (newest.undone, newest.measured, newest.who, newest.at) == (None, None, "Runa Feldmark", clock.time)
    assert oldest.measured is not None and oldest.measured.mean_um == pytest.approx(149.5)
    assert oldest.undone is not None
    assert (oldest.undone.who, oldest.undone.why) == ("Maive Orlund", "went back")


def test_reading_lines_costs_the_same_for_few_and_many(django_assert_num_queries: Any) -> None:
    part = factories.shim()
    line = taken_in(part=part)
    with django_assert_num_queries(5):
        first_page(line.delivery)
    for number in range(2, 8):
        taken_in(lot=f"L-{number}", part=part)
    undo(line)
    with django_assert_num_queries(5):
        assert len(first_page(line.delivery)) == 7


def test_the_last_deliveries_count_lines_and_pieces_without_undone_ones(django_assert_num_queries: Any) -> None:
    line = taken_in(40, lot="L-1")
    taken_in(5, lot="L-2")
    undo(line)
    clerk = people.clerk()
    use_case(lambda: start_delivery(number="D-2", supplier="", note="", received_on=None, actor=clerk))
    with django_assert_num_queries(2):
        newest, oldest = last_deliveries(20)
    assert (newest.delivery.number, newest.lines, newest.pieces, newest.undone) == ("D-2", 0, 0, 0)
    assert (oldest.delivery.number, oldest.lines, oldest.pieces, oldest.undone) == ("D-1", 1, 5, 1)
    assert [one.delivery.number for one in last_deliveries(1)] == ["D-2"]


@pytest.mark.parametrize(
    ("taken", "free"),
    [
        ([], "D300304-1"),
        (["D300304-1", "D300304-10"], "D300304-11"),
        (["D300303-4"], "D300304-1"),
        (["D300304-x"], "D300304-1"),
    ],
)
def test_the_next_number_is_free_on_its_day(taken: list[str], free: str) -> None:
    for number in taken:
        use_case(partial(start_delivery, number=number, supplier="", note="", received_on=None, actor=people.clerk()))
    assert next_number(factories.MONDAY) == free


def test_the_usual_drawer_is_where_the_newest_lot_lies() -> None:
    part = factories.shim()
    assert usual_drawer(part=part, condition="new") == ""
    factories.stocked(part, 5, drawer="A-01", lot="L-1")
    factories.stocked(part, 5, drawer="A-02", lot="L-2", received_on=factories.MONDAY.replace(day=5))
    factories.stocked(part, 5, drawer="T-01", condition=Condition.TAKE_OFF)
    assert usual_drawer(part=part, condition="new") == "A-02"
    assert usual_drawer(part=part, condition="take_off") == "T-01"
    use_case(lambda: count_balance(lot="L-2", drawer="A-02", counted=0, actor=people.clerk()))
    assert usual_drawer(part=part, condition="new") == "A-01"
