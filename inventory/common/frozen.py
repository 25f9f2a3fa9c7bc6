"""Rows and columns that are written once: the database refuses to change them, and some of them to be removed.

Here are the rows that are records of what was said: plans, corrections, revisions of damper models and of stacks. They
may still be removed with everything else when a database is emptied. Each room adds what its own history rests on, by
these same functions.
"""

from __future__ import annotations

from collections.abc import Sequence

from inventory.common import guarding
from inventory.common.guarding import Function, Guards

TABLES = (
    "inventory_amendment",
    "inventory_plan",
    "inventory_damperrevision",
    "inventory_stackrevision",
)
FUNCTION, FIXED = "frozen_refuse", "frozen_fixed"
_FUNCTIONS = {
    FUNCTION: Function("""
        BEGIN RAISE EXCEPTION 'frozen: % is written once', TG_TABLE_NAME USING ERRCODE = 'check_violation'; END"""),
    FIXED: Function("""
        BEGIN
            FOR place IN 0 .. TG_NARGS - 1 LOOP
                IF to_jsonb(NEW) -> TG_ARGV[place] <> to_jsonb(OLD) -> TG_ARGV[place] THEN
                    RAISE EXCEPTION 'frozen: % of % stays as it is', TG_ARGV[place], TG_TABLE_NAME
                        USING ERRCODE = 'check_violation';
                END IF;
            END LOOP;
            RETURN NEW;
        END"""),
}


def written_once(table: str) -> Guards:
    """Rows that are never changed."""
    return _refusing(f"frozen_{table}", f"BEFORE UPDATE ON {table}", f"{table} is written once")


def fixed(table: str, *columns: str) -> Guards:
    """Columns that stay as they are once the row is there."""
    names, name = ", ".join(columns), f"fixed_{table}"
    when = f"BEFORE UPDATE OF {names} ON {table}"
    quoted = ", ".join(f"'{column}'" for column in columns)
    refused = f"BEGIN SELECT RAISE(ABORT, 'frozen: {names} of {table} stay as they are'); END"
    return Guards(
        sqlite={name: f"{when} WHEN {differing(columns)}\n        {refused}"},
        functions=_FUNCTIONS,
        postgresql={name: f"{when} FOR EACH ROW EXECUTE FUNCTION {FIXED}({quoted})"},
    )


def differing(columns: Sequence[str]) -> str:
    """SQLite's words for: one of these columns is changed."""
    return " OR ".join(f'NEW."{column}" IS NOT OLD."{column}"' for column in columns)


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
