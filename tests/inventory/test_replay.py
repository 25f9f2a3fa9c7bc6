"""check_ledger finds a shelf that is not true, and names the balance. The tests bend it with the guard taken away."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.stock import replay, triggers
from inventory.stock.models import Balance
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf() -> list[Balance]:
    """Three balances; the middle one has a delivery and two holds behind it."""
    part = factories.shim(number="S-1")
    balances = [factories.stocked(part, 10, lot=f"L-{index}") for index in range(3)]
    factories.held(Wanted(3, lot="L-1"))
    factories.held(Wanted(2, lot="L-1"))
    return balances


@contextmanager
def without_guard() -> Iterator[None]:
    triggers.remove()
    try:
        yield
    finally:
        triggers.install()


def run(sql: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql)


def check() -> str:
    out = StringIO()
    call_command("check_ledger", stdout=out)
    return out.getvalue()


def test_a_true_shelf_is_said_to_be_true(shelf: list[Balance]) -> None:
    assert check() == "The shelf is true: 5 movements explain 3 balances and every hold.\n"


def test_an_empty_shelf_is_true() -> None:
    assert check() == "The shelf is true: 0 movements explain 0 balances and every hold.\n"


BALANCE, MOVEMENT = triggers.BALANCE, triggers.MOVEMENT


@pytest.mark.parametrize(
    "bend",
    [
        f"UPDATE {BALANCE} SET on_hand = on_hand + 1 WHERE id = {{key}}",
        f"UPDATE {BALANCE} SET held = held - 1 WHERE id = {{key}}",
        f"UPDATE {BALANCE} SET version = version - 1 WHERE id = {{key}}",
        f"UPDATE {BALANCE} SET version = 0, on_hand = 0, held = 0 WHERE id = {{key}}",
        f"UPDATE {MOVEMENT} SET on_hand_delta = 11 WHERE balance_id = {{key}} AND version = 1",
        f"UPDATE {MOVEMENT} SET held = 4 WHERE balance_id = {{key}} AND version = 2",
        f"UPDATE {MOVEMENT} SET version = 7 WHERE balance_id = {{key}} AND version = 3",
        f"UPDATE {MOVEMENT} SET held = 11, held_delta = 8 WHERE balance_id = {{key}} AND version = 3",
        f"DELETE FROM {MOVEMENT} WHERE balance_id = {{key}} AND version = 1",
        f"DELETE FROM {MOVEMENT} WHERE balance_id = {{key}} AND version = 2",
        f"DELETE FROM {MOVEMENT} WHERE balance_id = {{key}} AND version = 3",
        f"DELETE FROM {MOVEMENT} WHERE balance_id = {{key}}",
    ],
)
def test_a_bent_shelf_is_found_and_its_balance_named(bend: str, shelf: list[Balance]) -> None:
    key = shelf[1].pk
    with without_guard():
        run(bend.format(key=key))
    found = replay.faults()
    assert found
    assert all(f"balance {key} " in fault for fault in found)
    with pytest.raises(CommandError, match="The shelf is not true"):
        check()


def test_movements_beyond_the_balance_are_found(shelf: list[Balance]) -> None:
    # The balance is at the version of a right movement, but there are later ones.
    key = shelf[1].pk
    with without_guard():
        run(f"UPDATE {BALANCE} SET version = 2, held = 3 WHERE id = {key}")
    assert replay.faults() == [f"balance of balance {key} at version 2 is not what its last movement says"]


def test_holds_that_say_otherwise_than_the_balance_are_found(shelf: list[Balance]) -> None:
    run("UPDATE inventory_holdline SET quantity = 1 WHERE asked = 3")
    assert replay.faults() == []
    assert held_faults() == [f"balance {shelf[1].pk} has 5 held, its holds say 3"]
    with pytest.raises(CommandError, match="1 faults in 3 balances"):
        check()


def test_a_hold_that_ended_without_giving_back_is_found(shelf: list[Balance]) -> None:
    run("UPDATE inventory_hold SET state = 'released'")
    assert held_faults() == [f"balance {shelf[1].pk} has 5 held, its holds say 0"]


def test_a_missing_trigger_makes_the_shelf_doubtful(shelf: list[Balance]) -> None:
    assert shelf
    triggers.remove()
    with pytest.raises(CommandError, match="The shelf is not true"):
        check()
