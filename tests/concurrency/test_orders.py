"""The races by name, each in every order of its steps: first what happens without locks, in the order that shows it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection

from inventory.common import locks
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds import requests
from inventory.holds.models import HoldLine, Purpose
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.holds.services import make_hold
from inventory.stock import replay
from inventory.stock.models import Balance
from tests import factories, people
from tests.concurrency import interleaving
from tests.concurrency.interleaving import Ended, pause

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]


class Looks:
    """Who saw how many pieces free, in the order in which they looked."""

    def __init__(self) -> None:
        self.seen: list[tuple[str, int]] = []

    def holding(self, *lots: str, locked: bool = True) -> Callable[[], int]:
        """An actor that holds a piece of each lot: it looks, pauses, and takes."""

        def work() -> int:
            if not locked and connection.vendor == "sqlite":
                connection.transaction_mode = "DEFERRED"  # type: ignore[attr-defined]  # the SQLite backend's own attribute
            lines = [Wanted(1, lot=lot) for lot in lots]
            made = use_case(lambda: make_hold(lines=lines, purpose=Purpose.JOB, actor=people.clerk()))
            return int(made.hold.pk)

        return work

    def serve(self, lines: Any, balances: Any, **words: Any) -> Any:
        """What says which pieces serve, and a pause before they are taken."""
        wanted = self.real(lines, balances, **words)
        self.seen.append((interleaving.name_here(), sum(balance.free for balance in balances)))
        pause()
        return wanted

    real: Any = staticmethod(requests.serve)


@pytest.fixture
def looks(monkeypatch: pytest.MonkeyPatch) -> Looks:
    found = Looks()
    monkeypatch.setattr("inventory.common.transactions.time.sleep", interleaving.wait_a_turn)
    monkeypatch.setattr(requests, "serve", found.serve)
    people.clerk()
    return found


@pytest.fixture
def without_locks(monkeypatch: pytest.MonkeyPatch) -> None:
    """What protects a read-then-write stands aside: row locks, and the question whether it is protected."""
    monkeypatch.setattr(locks, "for_update", lambda rows: rows)
    for name, module in list(sys.modules.items()):
        if name.startswith("inventory.") and hasattr(module, "require_transaction"):
            monkeypatch.setattr(module, "require_transaction", lambda: None)


def refusals(told: dict[str, Ended]) -> list[str]:
    """Codes of what was refused in order."""
    return [one.error.code for one in told.values() if isinstance(one.error, DomainError)]


def accidents(told: dict[str, Ended]) -> list[BaseException]:
    """What was no refusal but an error."""
    return [one.error for one in told.values() if one.error and not isinstance(one.error, DomainError)]


@pytest.mark.usefixtures("without_locks")
def test_without_locks_two_see_the_last_piece_and_one_meets_with_an_accident(looks: Looks) -> None:
    factories.stocked(factories.shim(), 1, lot="L-1")
    actors = {name: looks.holding("L-1", locked=False) for name in ("a", "b")}
    told = interleaving.run(["a", "b", "a", "b"], actors)
    assert looks.seen[:2] == [("a", 1), ("b", 1)]
    # PostgreSQL's guard refuses the second; SQLite's snapshot is too old to write on, and it begins anew.
    assert accidents(told) or told["b"].busy


@pytest.mark.parametrize("order", interleaving.orders(a=2, b=2), ids="-".join)
def test_the_last_piece_is_given_once_and_the_other_is_told(order: tuple[str, ...], looks: Looks) -> None:
    factories.stocked(factories.shim(), 1, lot="L-1")
    told = interleaving.run(order, {name: looks.holding("L-1") for name in ("a", "b")})
    assert accidents(told) == []
    assert refusals(told) == ["out_of_stock"]
    # Nobody but the one who got it ever saw it free.
    assert looks.seen == [(order[0], 1)]
    assert HoldLine.objects.filter(quantity=1).count() == 1
    assert Balance.objects.get().held == 1
    assert replay.faults() == held_faults() == []


def opposite(monkeypatch: pytest.MonkeyPatch) -> None:
    """locks.take() without its order: each actor takes the rows as it named them, with a pause after the first."""
    orders = {"a": ["L-1", "L-2"], "b": ["L-2", "L-1"]}

    def take(balances: Any) -> list[Balance]:
        taken: list[Balance] = []
        for place, lot in enumerate(orders[interleaving.name_here()]):
            taken += locks.for_update(balances.filter(lot__number=lot).order_by("pk"))
            if place == 0:
                pause()
        return sorted(taken, key=lambda balance: int(balance.pk))

    monkeypatch.setattr(locks, "take", take)


def test_rows_taken_in_opposite_orders_are_a_deadlock(looks: Looks, monkeypatch: pytest.MonkeyPatch) -> None:
    for lot in ("L-1", "L-2"):
        factories.stocked(factories.shim(), 5, lot=lot)
    opposite(monkeypatch)
    actors = {name: looks.holding("L-1", "L-2") for name in ("a", "b")}
    told = interleaving.run(["a", "b", "a", "b", "a", "b"], actors)
    # There is one lock on SQLite, so no order of two; there the second never has its first.
    assert told["a"].busy or told["b"].busy
    assert accidents(told) == []
    assert replay.faults() == held_faults() == []


@pytest.mark.parametrize("order", interleaving.orders(a=2, b=2), ids="-".join)
def test_rows_taken_in_one_order_are_none(order: tuple[str, ...], looks: Looks) -> None:
    for lot in ("L-1", "L-2"):
        factories.stocked(factories.shim(), 5, lot=lot)
    lots = {"a": ("L-1", "L-2"), "b": ("L-2", "L-1")}
    told = interleaving.run(order, {name: looks.holding(*mine) for name, mine in lots.items()})
    assert accidents(told) == []
    assert refusals(told) == []
    if connection.vendor == "postgresql":
        assert [one.busy for one in told.values()] == [[], []]
    assert {balance.held for balance in Balance.objects.all()} == {2}
    assert replay.faults() == held_faults() == []
