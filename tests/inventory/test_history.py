"""What the ledger rests on stays as it was written, for who writes SQL too; the rest of those rows still changes."""

from __future__ import annotations

import os
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction

from inventory.catalogue.kinds.registry import KINDS
from inventory.common import guarding
from inventory.common.transactions import use_case
from inventory.holds.requests import Wanted
from inventory.receiving.services import add_delivery_line, count_balance, start_delivery
from inventory.stock.models import Reading
from inventory.stock.services import NewLot, drawer_called
from inventory.stock.withdrawing import withdraw_readings
from tests import factories, people
from tests.environment import ENGINE

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _written() -> None:
    """One row in each table that is guarded, of the part S-1, and the part S-2 without a lot."""
    part = factories.shim(number="S-1")
    factories.shim(number="S-2")
    clerk = people.clerk()
    factories.stocked(part, 10, lot="L-1", readings_um=(149, 150))
    factories.held(Wanted(3, lot="L-1"))
    use_case(lambda: count_balance(lot="L-1", drawer="A-01", counted=9, actor=clerk))
    reading = Reading.objects.order_by("pk")[0].pk
    use_case(lambda: withdraw_readings(lot="L-1", readings=[reading], reason="another bag's", actor=clerk))
    delivery = use_case(lambda: start_delivery(number="D-1", supplier="", note="", received_on=None, actor=clerk))
    new = NewLot(part, drawer_called("A-01"), 5, delivery.received_on, "L-2")
    use_case(lambda: add_delivery_line(delivery=delivery, new=new, actor=clerk))


def run(sql: str, *values: Any) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)


def refused(sql: str, words: str = "frozen") -> None:
    with pytest.raises(DatabaseError, match=words), transaction.atomic():
        run(sql)


SIZES_OF = "WHERE part_id = (SELECT id FROM inventory_part WHERE number = '{}')"


@pytest.mark.parametrize(
    "change",
    [
        "inventory_lot SET part_id = (SELECT id FROM inventory_part WHERE number = 'S-2')",
        "inventory_lot SET condition = 'take_off'",
        "inventory_lot SET number = 'L-9'",
        f"inventory_shim SET thickness_um = 200 {SIZES_OF.format('S-1')}",
        f"inventory_shim SET od_um = od_um + 1 {SIZES_OF.format('S-1')}",
        "inventory_part SET unit = 'g' WHERE number = 'S-1'",
        "inventory_part SET kind = 'nut' WHERE number = 'S-1'",
        "inventory_part SET number = 'S-9' WHERE number = 'S-1'",
        "inventory_reading SET thickness_um = 200",
        "inventory_readingwithdrawal SET reason = 'none'",
        "inventory_holdline SET asked = 9",
        "inventory_holdline SET balance_id = balance_id + 1",
        "inventory_count SET counted = 10",
        "inventory_deliveryline SET quantity = 6",
    ],
)
def test_what_history_rests_on_does_not_change(change: str) -> None:
    refused(f"UPDATE {change}")


@pytest.mark.parametrize("table", ["lot", "shim", "reading", "readingwithdrawal", "holdline", "count", "deliveryline"])
def test_what_history_rests_on_is_not_removed(table: str) -> None:
    refused(f"DELETE FROM inventory_{table}")


@pytest.mark.parametrize(
    "change",
    [
        "inventory_lot SET source = 'a drawer', cure_date = '', retired_at = NULL",
        "inventory_part SET name = 'Another'",
        f"inventory_shim SET thickness_um = 200 {SIZES_OF.format('S-2')}",
        "inventory_part SET number = 'S-9' WHERE number = 'S-2'",
        # An object saved with all its columns, as they are.
        "inventory_lot SET id = id, number = number, part_id = part_id, condition = condition, source = 'B'",
        "inventory_part SET number = number, kind = kind, unit = unit, name = 'B'",
    ],
)
def test_the_rest_still_changes(change: str) -> None:
    run(f"UPDATE {change}")


def test_every_kind_of_part_has_its_sizes_guarded() -> None:
    tables = {kind.table._meta.db_table for kind in KINDS.values()}
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            wanted = {
                f"{word}_{table}_{verb}" for word in ("sizes", "whole") for table in tables for verb in ("update",)
            }
        else:
            cursor.execute("SELECT tgname FROM pg_trigger")
            wanted = {f"sizes_{table}" for table in tables}
        assert wanted <= {row[0] for row in cursor.fetchall()}
    assert guarding.wrong() == {}


@pytest.mark.skipif(os.environ[ENGINE] != "sqlite", reason="PostgreSQL's columns hold whole numbers by their type")
@pytest.mark.parametrize(
    "half",
    [
        "UPDATE inventory_holdline SET quantity = 2.5",
        f"UPDATE inventory_shim SET thickness_um = 150.5 {SIZES_OF.format('S-2')}",
        "INSERT INTO inventory_count (balance_id, counted, expected, at) SELECT 1, 2.5, 9, '2030-01-01'",
        "INSERT INTO inventory_reading (lot_id, thickness_um, taken_at) SELECT 1, 149.5, '2030-01-01'",
    ],
)
def test_sqlite_takes_no_halves(half: str) -> None:
    refused(half, "whole numbers")


def test_what_a_ring_is_made_of_may_be_told_while_it_is_unknown_and_nothing_else() -> None:
    factories.stocked(factories.oring(number="R-1", compound="unknown"), 4, lot="L-8")
    of = SIZES_OF.format("R-1")
    refused(f"UPDATE inventory_oring SET ring_id_um = ring_id_um + 1 {of}")
    refused(f"UPDATE inventory_oring SET compound = 'NBR', ring_id_um = ring_id_um + 1 {of}")
    run(f"UPDATE inventory_oring SET compound = 'NBR' {of}")
    refused(f"UPDATE inventory_oring SET compound = 'FKM' {of}")
    refused(f"UPDATE inventory_oring SET compound = 'unknown' {of}")
