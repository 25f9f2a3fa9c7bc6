"""Rows that are written once: plans, corrections, withdrawals of readings, revisions of damper models and of stacks.
The database refuses to change them.

They may still be removed with everything else when a database is emptied; a ledger is stricter (inventory/stock).
"""

from __future__ import annotations

from inventory.common import guarding
from inventory.common.guarding import Function

TABLES = (
    "inventory_amendment",
    "inventory_plan",
    "inventory_damperrevision",
    "inventory_stackrevision",
    "inventory_readingwithdrawal",
)
FUNCTION = "frozen_refuse"


def name_of(table: str) -> str:
    """The trigger of a table."""
    return f"frozen_{table}"


def _written_once(table: str) -> str:
    return f"BEFORE UPDATE ON {table}\n        BEGIN SELECT RAISE(ABORT, 'frozen: {table} is written once'); END"


guarding.register(
    guarding.Guards(
        sqlite={name_of(table): _written_once(table) for table in TABLES},
        functions={
            FUNCTION: Function("""
        BEGIN RAISE EXCEPTION 'frozen: % is written once', TG_TABLE_NAME USING ERRCODE = 'check_violation'; END""")
        },
        postgresql={
            name_of(table): f"BEFORE UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION {FUNCTION}()" for table in TABLES
        },
    )
)
