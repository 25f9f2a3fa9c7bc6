"""repair_ledger mends a shelf that is not true, by movements and corrections that say so; history stays as it was."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from inventory.amendments.models import Amendment
from inventory.common import guarding
from inventory.common.transactions import use_case
from inventory.holds import repairing as holds_repairing
from inventory.holds.models import HoldLine
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.holds.services import Locked, release_hold
from inventory.stock import feed, replay, triggers
from inventory.stock.models import Balance, Movement
from tests import factories, people
from tests.environment import ENGINE

pytestmark = pytest.mark.django_db

on_postgresql = pytest.mark.skipif(os.environ[ENGINE] != "postgresql", reason="its feed is ordered by transaction")


@pytest.fixture
def shelf() -> list[Balance]:
    """Three balances; of the middle one 3 and 2 of 10 are held."""
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


def run(sql: str, *values: Any) -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute(sql, values)


def repair(*words: str) -> str:
    out = StringIO()
    call_command("repair_ledger", *words, stdout=out)
    return out.getvalue()


def apply() -> str:
    people.clerk()
    return repair("--apply", "--person", "runa", "--reason", "a trigger was missing")


def rows() -> list[dict[str, Any]]:
    return [dict(row) for row in Movement.objects.order_by("pk").values()]


def state(balance: Balance) -> tuple[int, int, int]:
    balance.refresh_from_db()
    return balance.on_hand, balance.held, balance.version


def assert_mended(before: list[dict[str, Any]]) -> None:
    """The shelf is true, its history begins as it was, and it takes holds again."""
    assert rows()[: len(before)] == before
    call_command("check_ledger", stdout=StringIO())
    assert repair() == "Nothing to mend.\n"
    held = factories.held(Wanted(1, lot="L-1"))
    use_case(lambda: release_hold(hold=held.hold.pk, actor=people.storefront()))
    assert replay.faults() == held_faults() == []


def test_a_true_shelf_needs_no_mending(shelf: list[Balance]) -> None:
    before = rows()
    assert repair() == "Nothing to mend.\n"
    assert apply().startswith("Mended.")
    assert rows() == before


def unapplied(balance: Balance) -> None:
    """A hold as it was answered while the guard was missing: a movement and a line, and the balance as before."""
    last = Movement.objects.filter(balance=balance).latest("version")
    with without_guard():
        line = HoldLine.objects.filter(balance=balance).order_by("-pk")[0]
        line.hold.pk = None
        line.hold.save()
        HoldLine.objects.create(hold=line.hold, balance=balance, quantity=1, asked=1)
        last.pk, last.version, last.held, last.held_delta = None, last.version + 1, last.held + 1, 1
        last.save(force_insert=True)


def test_a_movement_that_was_never_applied_is_applied(shelf: list[Balance]) -> None:
    unapplied(shelf[1])
    before = rows()
    assert state(shelf[1]) == (10, 5, 3)
    # What it was like: every later hold of that lot breaks.
    with pytest.raises(DatabaseError), transaction.atomic():
        factories.held(Wanted(1, lot="L-1"))
    with pytest.raises(CommandError, match="nothing was changed"):
        repair()
    assert state(shelf[1]) == (10, 5, 3)
    said = apply()
    assert "lot L-1 in drawer A-01" in said
    assert state(shelf[1]) == (10, 6, 4)
    kept = Amendment.objects.get()
    assert (kept.before, kept.after) == ("10 on hand, 5 held, version 3", "10 on hand, 6 held, version 4")
    assert (kept.reason, str(kept.person)) == ("repair: a trigger was missing", "Runa Feldmark")
    assert_mended(before)


@pytest.mark.parametrize(
    "bend", ["on_hand = 12", "held = 1", "version = 2, held = 3", "version = 0, on_hand = 0, held = 0", "version = 9"]
)
def test_a_balance_that_somebody_wrote_is_its_last_movements_again(bend: str, shelf: list[Balance]) -> None:
    before = rows()
    with without_guard():
        run(f"UPDATE inventory_balance SET {bend} WHERE id = %s", shelf[1].pk)
    apply()
    assert state(shelf[1]) == (10, 5, 3)
    assert rows() == before
    assert_mended(before)


def test_a_balance_without_movements_is_empty_again(shelf: list[Balance]) -> None:
    lot = shelf[0].lot
    balance = Balance.objects.create(lot=lot, drawer=factories.drawer("B-01"))
    before = rows()
    with without_guard():
        run("UPDATE inventory_balance SET on_hand = 7 WHERE id = %s", balance.pk)
    apply()
    assert state(balance) == (0, 0, 0)
    assert_mended(before)


@pytest.mark.parametrize(("line", "held"), [(1, 3), (0, 2), (9, 10)])
def test_held_becomes_what_the_holds_say_by_a_movement(line: int, held: int, shelf: list[Balance]) -> None:
    before = rows()
    if line > 3:
        with without_guard():
            run("UPDATE inventory_holdline SET asked = 9 WHERE asked = 3")
    run(f"UPDATE inventory_holdline SET quantity = {line} WHERE asked IN (3, 9)")
    apply()
    added = rows()[len(before) :]
    assert [(row["cause_kind"], row["held_delta"], row["reason"]) for row in added] == [
        ("repair", held - 5, "repair: a trigger was missing")
    ]
    assert added[0]["person_id"] == people.clerk().person.pk  # type: ignore[union-attr]  # the clerk is a person
    assert state(shelf[1])[:2] == (10, held)
    if line == 9:
        # 9 and 2 are said to be held of 10: the newest web hold loses one.
        assert sorted(HoldLine.objects.values_list("quantity", "hold__state")) == [(1, "short"), (9, "open")]
        factories.stocked(shelf[1].lot.part, 5, lot="L-more")
        assert replay.faults() == held_faults() == []
    else:
        assert_mended(before)


def test_a_hold_that_ended_without_giving_back_gives_back(shelf: list[Balance]) -> None:
    before = rows()
    run("UPDATE inventory_hold SET state = 'released'")
    apply()
    assert state(shelf[1])[:2] == (10, 0)
    assert_mended(before)


def test_missing_and_emptied_guards_are_put_in_place(shelf: list[Balance]) -> None:
    triggers.remove()
    with pytest.raises(CommandError, match="faults"):
        repair()
    assert guarding.wrong()
    apply()
    assert guarding.wrong() == {}


def test_changed_history_is_shown_and_nothing_pretends_to_mend_it(shelf: list[Balance]) -> None:
    with without_guard():
        run("DELETE FROM inventory_movement WHERE balance_id = %s AND version = 2", shelf[1].pk)
        run("UPDATE inventory_balance SET on_hand = 4 WHERE id = %s", shelf[0].pk)
    before = rows()
    with pytest.raises(CommandError, match="1 faults are left"):
        apply()
    assert rows() == before
    assert state(shelf[0]) == (10, 0, 1)
    assert state(shelf[1]) == (10, 5, 3)


def test_it_says_who_and_why(shelf: list[Balance]) -> None:
    people.clerk()
    for words in (["--reason", "x"], ["--person", "nobody", "--reason", "x"], ["--person", "runa"]):
        with pytest.raises(CommandError, match=r"--person NAME|--reason WHY"):
            repair("--apply", *words)
    with pytest.raises(CommandError, match="at most"):
        repair("--apply", "--person", "runa", "--reason", "x" * 191)


@on_postgresql
def test_a_movement_that_the_feed_passed_over_is_announced(shelf: list[Balance]) -> None:
    with without_guard():
        run("UPDATE inventory_movement SET transaction = 0 WHERE balance_id = %s AND version = 3", shelf[1].pk)
    before = rows()
    apply()
    added = rows()[len(before) :]
    assert [row["held_delta"] for row in added] == [1, -1]
    assert all(row["transaction"] > 0 for row in added)
    assert_mended(before)


@on_postgresql
@pytest.mark.django_db(transaction=True)
def test_a_feed_behind_its_movements_is_found_and_caught_up(shelf: list[Balance]) -> None:
    with without_guard():
        run("UPDATE inventory_movement SET transaction = transaction + 3000 WHERE balance_id = %s", shelf[1].pk)
    text = feed.behind()
    assert text is not None
    assert "counts transactions from" in text
    with pytest.raises(CommandError, match="not true"):
        call_command("check_ledger", stdout=StringIO())
    apply()
    assert feed.behind() is None
    last = Movement.objects.order_by("-transaction")[0].transaction
    held: Locked = factories.held(Wanted(1, lot="L-1"))
    newest = Movement.objects.get(cause_id=str(held.hold.pk)).transaction
    assert newest > last


@on_postgresql
@pytest.mark.django_db(transaction=True)
def test_numbers_of_movements_behind_the_last_one_are_found_and_caught_up(shelf: list[Balance]) -> None:
    run("SELECT setval(pg_get_serial_sequence('inventory_movement', 'id'), 1)")
    assert "numbered from 2" in (feed.behind() or "")
    apply()
    factories.held(Wanted(1, lot="L-1"))


def test_every_fault_that_the_check_knows_is_known_here(shelf: list[Balance]) -> None:
    """What check_ledger finds and repair_ledger does not would be a shelf that no command says how to mend."""
    with without_guard():
        run("UPDATE inventory_balance SET on_hand = 12 WHERE id = %s", shelf[1].pk)
    run("UPDATE inventory_holdline SET quantity = 1 WHERE asked = 3")
    assert replay.faults()
    assert held_faults()
    assert len(holds_repairing.faults()) == 1
    apply()
    assert replay.faults() == held_faults() == []
