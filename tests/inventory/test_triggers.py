"""The database itself refuses to bend the ledger, whatever SQL reaches it."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from inventory.checks import database_is_set_up_for_a_ledger
from inventory.common import guarding
from inventory.holds.requests import Wanted
from inventory.stock import replay, triggers
from inventory.stock.models import Balance, Movement
from tests import factories
from tests.environment import ENGINE

pytestmark = pytest.mark.django_db

MOVEMENT, BALANCE = triggers.MOVEMENT, triggers.BALANCE


@pytest.fixture
def shelf() -> Iterator[Balance]:
    """Ten pieces on hand, three of them held; after the test they must still be so, and every movement as it was."""
    balance = factories.stocked(factories.shim(), 10, lot="L-1")
    factories.held(Wanted(3, lot="L-1"))
    before = rows(balance)
    yield balance
    assert rows(balance) == before
    assert replay.faults() == []
    balance.refresh_from_db()
    assert (balance.on_hand, balance.held, balance.version) == (10, 3, 2)


def rows(balance: Balance) -> list[dict[str, Any]]:
    return [dict(row) for row in balance.movements.order_by("pk").values()]


@contextmanager
def refused(words: str = "ledger") -> Iterator[None]:
    with pytest.raises(DatabaseError, match=words), transaction.atomic():
        yield


def run(sql: str, *values: Any) -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            # Checks that wait for the end of the transaction would hide what the triggers say.
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute(sql, values)


def insert(command: str = "INSERT", ending: str = "", **changes: Any) -> None:
    """Adds a movement of one piece to the shelf's balance as SQL, right in everything that `changes` leaves alone."""
    newest = Movement.objects.latest("pk")
    last: dict[str, Any] = {
        field.attname: getattr(newest, field.attname) for field in Movement._meta.concrete_fields[1:]
    }
    field = Movement._meta.get_field("posting")
    row = {
        **last,
        "posting": field.get_db_prep_save(last["posting"], connection),
        "version": last["version"] + 1,
        "on_hand_delta": 1,
        "held_delta": 0,
        "on_hand": last["on_hand"] + 1,
        **changes,
    }
    marks = ", ".join(["%s"] * len(row))
    columns = ", ".join(map(connection.ops.quote_name, row))
    run(f"{command} INTO {MOVEMENT} ({columns}) VALUES ({marks}) {ending}", *row.values())


def test_a_right_movement_is_taken_and_applied() -> None:
    # Without this the refusals below could come from a slip of the helper.
    balance = factories.stocked(factories.shim(), 10)
    insert()
    balance.refresh_from_db()
    assert (balance.on_hand, balance.held, balance.version) == (11, 0, 2)
    assert replay.faults() == []


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize("change", ["on_hand = 99", "reason = 'another'", "at = NULL", "version = version + 1"])
def test_a_movement_is_never_changed(change: str) -> None:
    with refused():
        run(f"UPDATE {MOVEMENT} SET {change}")


@pytest.mark.usefixtures("shelf")
def test_a_movement_is_never_removed() -> None:
    with refused():
        run(f"DELETE FROM {MOVEMENT}")
    with refused():
        Movement.objects.all().delete()


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(
    "wrong",
    [
        {"version": 4},
        {"version": 2},
        {"version": 0},
        {"on_hand": 12},
        {"on_hand": 11, "on_hand_delta": 2},
        {"held": 4},
        {"held": 4, "held_delta": -1},
        {"balance_id": 987654321},
    ],
    ids=str,
)
def test_a_movement_that_does_not_follow_is_refused(wrong: dict[str, int]) -> None:
    with refused():
        insert("INSERT", "", **wrong)


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(
    "beyond",
    [
        {"on_hand": 2, "on_hand_delta": -8},
        {"on_hand": -1, "on_hand_delta": -11},
        {"on_hand": 10, "on_hand_delta": 0, "held": 11, "held_delta": 8},
        {"on_hand": 10, "on_hand_delta": 0, "held": -1, "held_delta": -4},
    ],
    ids=str,
)
@pytest.mark.parametrize("command", ["INSERT", "INSERT OR IGNORE", "INSERT OR REPLACE"])
def test_held_stays_within_on_hand_however_the_movement_is_inserted(command: str, beyond: dict[str, int]) -> None:
    if connection.vendor == "postgresql":
        # PostgreSQL's word for IGNORE; it has none for REPLACE.
        command, ending = "INSERT", "ON CONFLICT DO NOTHING" if "IGNORE" in command else ""
    else:
        ending = ""
    with refused("ledger|constraint"):
        insert(command, ending, **beyond)


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize("way", ["do update", "do nothing", "INSERT OR REPLACE", "INSERT OR IGNORE", "REPLACE"])
@pytest.mark.parametrize("column", ["id", "version"])
def test_a_movement_neither_replaces_another_nor_passes_over_it(column: str, way: str) -> None:
    # Passing over counts too: the balance would change although no movement is written.
    first = Movement.objects.order_by("pk").first()
    assert first is not None
    same = {column: getattr(first, column)}
    with refused():
        if way == "do nothing":
            insert("INSERT", "ON CONFLICT DO NOTHING", **same)
        elif way == "do update" or connection.vendor == "postgresql":
            target = "id" if column == "id" else "balance_id, version"
            insert("INSERT", f"ON CONFLICT ({target}) DO UPDATE SET on_hand = excluded.on_hand", **same)
        else:
            insert(way, **same)


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(
    "change",
    [
        "on_hand = on_hand + 1",
        "on_hand = on_hand + 1, version = version + 1",
        "held = 0",
        "held = 0, version = version + 1",
        "version = version + 1",
        "version = 1, on_hand = 10, held = 0",
        "version = version",
    ],
)
def test_a_balance_changes_only_by_a_movement(change: str) -> None:
    with refused():
        run(f"UPDATE {BALANCE} SET {change}")


def test_a_balance_does_not_move_to_another_lot_or_drawer(shelf: Balance) -> None:
    other = factories.stocked(factories.shim(), 1, drawer="B-01")
    for change in (f"lot_id = {other.lot_id}", f"drawer_id = {other.drawer_id}", f"id = {other.pk + 1}"):
        with refused():
            run(f"UPDATE {BALANCE} SET {change} WHERE id = {shelf.pk}")


@pytest.mark.usefixtures("shelf")
def test_a_balance_is_never_removed() -> None:
    with refused():
        run(f"DELETE FROM {BALANCE}")


@pytest.mark.parametrize(("on_hand", "held", "version"), [(5, 0, 0), (5, 2, 1), (0, 0, 1)])
def test_a_balance_starts_empty(on_hand: int, held: int, version: int, shelf: Balance) -> None:
    drawer = factories.drawer("B-02")
    with refused():
        run(
            f"INSERT INTO {BALANCE} (lot_id, drawer_id, on_hand, held, version) VALUES (%s, %s, %s, %s, %s)",
            *(shelf.lot_id, drawer.pk, on_hand, held, version),
        )


def test_a_balance_is_not_replaced_by_an_empty_one(shelf: Balance) -> None:
    columns = f"{BALANCE} (id, lot_id, drawer_id, on_hand, held, version)"
    values = (shelf.pk, shelf.lot_id, shelf.drawer_id, 0, 0, 0)
    with refused():
        if connection.vendor == "sqlite":
            run(f"INSERT OR REPLACE INTO {columns} VALUES (%s, %s, %s, %s, %s, %s)", *values)
        else:
            run(
                f"INSERT INTO {columns} VALUES (%s, %s, %s, %s, %s, %s)"
                " ON CONFLICT (id) DO UPDATE SET on_hand = 0, held = 0",
                *values,
            )


@pytest.mark.usefixtures("shelf")
def test_neither_table_is_emptied() -> None:
    if connection.vendor == "sqlite":
        # There is no TRUNCATE here; emptying is a DELETE without a condition.
        statements = [f"DELETE FROM {MOVEMENT}", f"DELETE FROM {BALANCE}"]
    else:
        statements = [f"TRUNCATE {MOVEMENT}", f"TRUNCATE {BALANCE} CASCADE", f"TRUNCATE {MOVEMENT} CASCADE"]
    for statement in statements:
        with refused():
            run(statement)


def names() -> dict[str, str]:
    return triggers.SQLITE if connection.vendor == "sqlite" else triggers.POSTGRESQL


def drop(name: str) -> None:
    table = BALANCE if "balance" in name else MOVEMENT
    run(f"DROP TRIGGER {name}" if connection.vendor == "sqlite" else f"DROP TRIGGER {name} ON {table}")


@pytest.mark.parametrize("place", range(6))
def test_a_dropped_trigger_is_missed_by_name_and_comes_back_with_migrate(place: int) -> None:
    name = sorted(names())[place]
    drop(name)
    assert guarding.wrong() == {name: guarding.MISSING}
    (error,) = database_is_set_up_for_a_ledger(databases=["default"])
    assert error.id == "shelf.E002"
    assert name in str(error.msg)
    call_command("migrate", verbosity=0)
    assert guarding.wrong() == {}
    assert database_is_set_up_for_a_ledger(databases=["default"]) == []


def test_a_trigger_that_is_switched_off_is_missed() -> None:
    if connection.vendor == "sqlite":
        # Triggers cannot be switched off one by one here; the nearest thing is to drop every one.
        triggers.remove()
        assert set(guarding.wrong()) >= set(triggers.SQLITE)
    else:
        run(f"ALTER TABLE {BALANCE} DISABLE TRIGGER ledger_balance_guard")
        assert guarding.wrong() == {"ledger_balance_guard": guarding.OFF}
    triggers.install()
    assert guarding.wrong() == {}


def test_installing_twice_changes_nothing(shelf: Balance) -> None:
    triggers.install()
    triggers.install()
    assert guarding.wrong() == {}
    with refused():
        run(f"UPDATE {BALANCE} SET held = 0 WHERE id = %s", shelf.pk)


def emptied(name: str) -> None:
    """A guard of the right name that guards nothing."""
    if connection.vendor == "sqlite":
        table = guarding.table_of(triggers.SQLITE[name])
        run(f"DROP TRIGGER {name}")
        run(f"CREATE TRIGGER {name} BEFORE DELETE ON {table} BEGIN SELECT 1; END")
    else:
        run(
            f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS"
            " $$ BEGIN IF TG_OP = 'DELETE' THEN RETURN OLD; END IF; RETURN NEW; END $$"
        )


@pytest.mark.parametrize("place", range(3))
def test_an_emptied_guard_of_the_right_name_is_found_and_mended(place: int, shelf: Balance) -> None:
    name = sorted(triggers.SQLITE if connection.vendor == "sqlite" else triggers.POSTGRESQL_FUNCTIONS)[place]
    emptied(name)
    shown = name if connection.vendor == "sqlite" else f"{name}()"
    assert guarding.wrong() == {shown: guarding.OTHER}
    (error,) = database_is_set_up_for_a_ledger(databases=["default"])
    assert error.id == "shelf.E002"
    assert shown in str(error.msg)
    with pytest.raises(CommandError, match="not true"):
        call_command("check_ledger")
    triggers.install()
    assert guarding.wrong() == {}
    with refused():
        run(f"UPDATE {BALANCE} SET held = 0 WHERE id = %s", shelf.pk)


def test_a_trigger_of_other_content_is_found() -> None:
    if connection.vendor == "sqlite":
        run("DROP TRIGGER ledger_movement_update")
        body = triggers.SQLITE["ledger_movement_update"].replace("BEFORE UPDATE", "BEFORE UPDATE OF reason")
        run(f"CREATE TRIGGER ledger_movement_update {body}")
        name = "ledger_movement_update"
    else:
        body = triggers.POSTGRESQL["ledger_movement_refuse"].replace("FOR EACH", "FOR EACH ROW WHEN (false) --")
        run("DROP TRIGGER ledger_movement_refuse ON inventory_movement")
        run(f"CREATE TRIGGER ledger_movement_refuse {body}\nEXECUTE FUNCTION ledger_refuse()")
        name = "ledger_movement_refuse"
    assert guarding.wrong() == {name: guarding.OTHER}


def test_what_stands_as_it_should_is_not_touched() -> None:
    changed: list[str] = []

    def noting(execute: Any, sql: str, *rest: Any) -> Any:
        if re.match("CREATE|DROP|ALTER|LOCK", sql.lstrip()):
            changed.append(sql)
        return execute(sql, *rest)

    with connection.execute_wrapper(noting):
        triggers.install()
    assert changed == []
    emptied(sorted(triggers.SQLITE if connection.vendor == "sqlite" else triggers.POSTGRESQL_FUNCTIONS)[0])
    with connection.execute_wrapper(noting):
        triggers.install()
    # SQLite: drop and create; PostgreSQL: the function alone is replaced.
    assert len(changed) == (2 if connection.vendor == "sqlite" else 1)


@pytest.mark.skipif(os.environ[ENGINE] != "sqlite", reason="PostgreSQL's columns hold whole numbers by their type")
@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize("half", [{"on_hand": 10.5, "on_hand_delta": 0.5}, {"held": 3.5, "held_delta": 0.5}], ids=str)
def test_there_are_no_half_pieces(half: dict[str, float]) -> None:
    with refused("whole numbers"):
        insert("INSERT", "", **{"on_hand": 10, "on_hand_delta": 0, **half})
