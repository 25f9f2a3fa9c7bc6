"""Rows and columns that are written once: the database refuses to change them, and some of them to be removed.

Here are the rows that are records of what was said: plans, corrections, revisions of damper models and of stacks. They
may still be removed with everything else when a database is emptied. Each room adds what its own history rests on, by
these same functions.
"""

from __future__ import annotations

from inventory.common import guarding
from inventory.common.guarding import Function, Guards

TABLES = (
    "inventory_amendment",
    "inventory_plan",
    "inventory_damperrevision",
    "inventory_stackrevision",
)
FUNCTION = "frozen_refuse"
_FUNCTIONS = {
    FUNCTION: Function("""
        BEGIN RAISE EXCEPTION 'frozen: % is written once', TG_TABLE_NAME USING ERRCODE = 'check_violation'; END""")
}


def written_once(table: str) -> Guards:
    """Rows that are never changed."""
    return _refusing(f"frozen_{table}", f"BEFORE UPDATE ON {table}", f"{table} is written once")


def fixed(table: str, *columns: str) -> Guards:
    """Columns that no statement may set once the row is there, not even to what they are."""
    names = ", ".join(columns)
    return _refusing(f"fixed_{table}", f"BEFORE UPDATE OF {names} ON {table}", f"{names} of {table} stay as they are")


def kept(table: str) -> Guards:
    """Rows that are never removed."""
    return _refusing(f"kept_{table}", f"BEFORE DELETE ON {table}", f"{table} is never removed")


def _refusing(name: str, when: str, words: str) -> Guards:
    return Guards(
        sqlite={name: f"{when}\n        BEGIN SELECT RAISE(ABORT, 'frozen: {words}'); END"},
        functions=_FUNCTIONS,
        postgresql={name: f"{when} FOR EACH ROW EXECUTE FUNCTION {FUNCTION}()"},
    )


for _table in TABLES:
    guarding.register(written_once(_table))
