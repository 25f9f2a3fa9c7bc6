"""Several processes at the same drawers, as they meet. In test_orders.py orders are forced that show each race."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.common import clock
from inventory.holds.models import HOLDING, Hold, HoldLine
from inventory.holds.selectors import held_faults
from inventory.idempotency.models import RememberedAnswer
from inventory.stock import replay
from inventory.stock.models import Balance
from tests import factories, people
from tests.concurrency import crowd
from tests.concurrency.crowd import Told

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

PROCESSES = 4


def assert_true_shelf() -> None:
    assert replay.faults() == []
    assert held_faults() == []
    assert not [balance for balance in Balance.objects.all() if not 0 <= balance.held <= balance.on_hand]


def trouble(told: list[Told]) -> list[str]:
    return [text for one in told for text in [*one.busy, *one.errors]] + replay.faults() + held_faults()


def last_pieces(pieces: int) -> None:
    people.storefront()
    part = factories.shim(number="S-1")
    for days in range(3):
        factories.stocked(part, pieces // 3, received_on=factories.MONDAY - timedelta(days=days))


def test_with_locks_the_last_pieces_are_given_once_each(database_url: str) -> None:
    last_pieces(90)
    told = crowd.run(database_url, "hold_until_empty", *[{"part": "S-1"}] * PROCESSES)
    assert trouble(told) == []
    assert sum(one.done["given"] for one in told) == 90
    assert {one.done["last"] for one in told} == {"out_of_stock"}
    assert HoldLine.objects.filter(hold__state__in=HOLDING, quantity=1).count() == 90
    assert {(balance.on_hand, balance.held) for balance in Balance.objects.all()} == {(30, 30)}
    assert_true_shelf()


def overlapping() -> list[list[str]]:
    """Lots in one order, and in the other."""
    people.clerk()
    lots = [factories.stocked(factories.shim(), 50).lot.number for _ in range(6)]
    return [lots, lots[::-1]]


def test_the_same_lots_in_opposite_orders_never_deadlock(database_url: str) -> None:
    members = [{"lots": lots, "rounds": 15} for lots in overlapping() * 2]
    told = crowd.run(database_url, "hold_and_release", *members)
    assert trouble(told) == []
    assert [one.done for one in told] == [{"rounds": 15}] * 4
    assert set(Balance.objects.values_list("on_hand", "held")) == {(50, 0)}
    # 15 rounds of holding and releasing by 4 processes, after the delivery.
    assert set(Balance.objects.values_list("version", flat=True)) == {1 + 2 * 15 * 4}


def mixed() -> list[dict[str, object]]:
    people.clerk()
    people.storefront()
    part = factories.shim(number="S-1")
    lots = [factories.stocked(part, 20, lot=f"L-{index}").lot.number for index in range(4)]
    return [{"seed": seed, "part": "S-1", "lots": lots, "rounds": 40} for seed in range(PROCESSES)]


def test_with_locks_everything_at_once_leaves_a_true_shelf(database_url: str) -> None:
    told = crowd.run(database_url, "everything", *mixed())
    assert trouble(told) == []
    assert sum(one.done["holds"] for one in told) > 0
    assert set().union(*(one.done["refused"] for one in told)) <= {"out_of_stock", "hold_state", "hold_lapsed"}
    assert_true_shelf()


def test_a_lot_that_several_take_in_at_once_is_taken_in_once(database_url: str) -> None:
    people.clerk()
    factories.shim(number="S-1")
    factories.drawer("A-01")
    told = crowd.run(database_url, "take_in_lot", *[{"part": "S-1", "lot": "L-1"}] * PROCESSES)
    assert trouble(told) == []
    assert sorted(one.done["ended"] for one in told) == ["conflict"] * 3 + ["taken in"]
    assert Balance.objects.get().on_hand == 5


def test_a_twin_in_flight_waits_and_gets_the_first_answer(database_url: str) -> None:
    last_pieces(30)
    words = {"key": "order 7", "part": "S-1", "pause_s": 0.4}
    told = crowd.run(database_url, "same_command", *[words] * 3)
    assert trouble(told) == []
    assert sorted(one.done["repeated"] for one in told) == [False, True, True]
    assert len({one.done["body"]["hold"] for one in told}) == 1
    assert (Hold.objects.count(), RememberedAnswer.objects.count()) == (1, 1)
    assert sum(balance.held for balance in Balance.objects.all()) == 1


def test_twins_of_a_command_older_than_a_day_happen_once_more_and_not_twice(database_url: str) -> None:
    last_pieces(30)
    client = people.storefront().client
    assert client is not None
    RememberedAnswer.objects.create(
        client=client,
        method="POST",
        path="/api/v1/holds",
        key="order 7",
        body_digest="0" * 64,
        status=201,
        body={"hold": 0},
        created_at=clock.now() - timedelta(hours=25),
    )
    words = {"key": "order 7", "part": "S-1", "pause_s": 0.4}
    told = crowd.run(database_url, "same_command", *[words] * 3)
    assert trouble(told) == []
    assert sorted(one.done["repeated"] for one in told) == [False, True, True]
    assert Hold.objects.count() == 1
