"""Rows that are written once: plans, corrections, withdrawals of readings, revisions of damper models and of stacks.
The database refuses to change them.

They may still be removed with everything else when a database is emptied; a ledger is stricter (inventory/stock).
"""

from __future__ import annotations

from django.db import connections

TABLES = (
    "inventory_amendment",
    "inventory_plan",
    "inventory_damperrevision",
    "inventory_stackrevision",
    "inventory_readingwithdrawal",
)
FUNCTION = "frozen_refuse"


def install(using: str = "default") -> None:
    """Puts the triggers in place, replacing what is there; passes over tables that do not exist yet."""
    connection = connections[using]
    known = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                f"CREATE OR REPLACE FUNCTION {FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS $body$ BEGIN"
                " RAISE EXCEPTION 'frozen: % is written once', TG_TABLE_NAME USING ERRCODE = 'check_violation';"
                " END $body$"
            )
        for table in known.intersection(TABLES):
            if connection.vendor == "postgresql":
                cursor.execute(
                    f"CREATE OR REPLACE TRIGGER {name_of(table)} BEFORE UPDATE ON {table}"
                    f" FOR EACH ROW EXECUTE FUNCTION {FUNCTION}()"
                )
                continue
            cursor.execute(f"DROP TRIGGER IF EXISTS {name_of(table)}")
            cursor.execute(
                f"CREATE TRIGGER {name_of(table)} BEFORE UPDATE ON {table}"
                f" BEGIN SELECT RAISE(ABORT, 'frozen: {table} is written once'); END"
            )


def name_of(table: str) -> str:
    """The trigger of a table."""
    return f"frozen_{table}"
