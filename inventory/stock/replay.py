"""Replaying the ledger: every balance must be what its movements make of it."""

from __future__ import annotations

from typing import Any

from django.db import connection

from inventory.stock.models import Balance, Movement

CHAIN = f"""
    SELECT balance_id, version, 'does not follow from the one before' FROM (
        SELECT balance_id, version, on_hand, held, on_hand_delta, held_delta,
            LAG(version, 1, 0) OVER chain AS version_before,
            LAG(on_hand, 1, 0) OVER chain AS on_hand_before,
            LAG(held, 1, 0) OVER chain AS held_before
        FROM {Movement._meta.db_table} WINDOW chain AS (PARTITION BY balance_id ORDER BY version)
    ) AS replayed
    WHERE version <> version_before + 1 OR on_hand <> on_hand_before + on_hand_delta
        OR held <> held_before + held_delta OR held < 0 OR held > on_hand
"""
RESULT = f"""
    SELECT balance.id, balance.version, 'is not what its last movement says' FROM {Balance._meta.db_table} AS balance
    LEFT JOIN {Movement._meta.db_table} AS last ON last.balance_id = balance.id AND last.version = balance.version
    WHERE (balance.version = 0 AND (balance.on_hand <> 0 OR balance.held <> 0))
        OR (balance.version <> 0 AND (last.id IS NULL OR last.on_hand <> balance.on_hand OR last.held <> balance.held))
        OR EXISTS (SELECT 1 FROM {Movement._meta.db_table} AS later
                   WHERE later.balance_id = balance.id AND later.version > balance.version)
"""


def faults() -> list[str]:
    """A sentence for every movement or balance that does not add up; empty when the shelf is true."""
    found = []
    for subject, query in (("movement", CHAIN), ("balance", RESULT)):
        found += [f"{subject} of balance {row[0]} at version {row[1]} {row[2]}" for row in _rows(query)]
    return found


def broken_histories() -> set[int]:
    """Balances whose movements do not follow from one another: history was changed past the guards."""
    return {row[0] for row in _rows(CHAIN)}


def untrue_balances() -> list[int]:
    """Balances that are not what their last movement says, sorted."""
    return sorted({row[0] for row in _rows(RESULT)})


def _rows(query: str) -> list[Any]:
    with connection.cursor() as cursor:
        cursor.execute(query)
        return list(cursor.fetchall())


def counted() -> tuple[int, int]:
    """(movements, balances) that faults() looked at."""
    return Movement.objects.count(), Balance.objects.count()
