"""Checks at start: a wrong set-up fails with the cure before it can lose stock."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.db import connections

from inventory.stock import triggers


@register(Tags.database)
def database_is_set_up_for_a_ledger(*, databases: Sequence[str] | None = None, **_: Any) -> list[CheckMessage]:
    """Transaction mode, isolation level, triggers and who can read the file, on the database that is used."""
    found: list[CheckMessage] = []
    for alias in databases or []:
        connection = connections[alias]
        # The engine's own settings are only known once it is connected.
        connection.ensure_connection()
        if connection.vendor == "sqlite":
            found += _sqlite(alias)
        elif connection.vendor == "postgresql":
            found += _postgresql(alias)
        else:
            found.append(
                Error(f"{connection.vendor} is not supported.", hint="Use SQLite or PostgreSQL.", id="shelf.E001")
            )
            continue
        tables = set(connection.introspection.table_names())
        if {triggers.BALANCE, triggers.MOVEMENT} <= tables and (gone := triggers.missing(alias)):
            hint = "Run migrate; it installs them."
            found.append(Error(f"Triggers of the ledger are missing: {', '.join(gone)}.", hint=hint, id="shelf.E002"))
    return found


def open_to_others(file: Path) -> list[CheckMessage]:
    """A warning for the database file, and one for its folder, that somebody else may read or enter."""
    found: list[CheckMessage] = []
    for path, wanted in ((file.parent, "700"), (file, "600")):
        if path.stat().st_mode & 0o077:
            text = f"{path} is open to others on this machine: it holds every secret's hash and the whole ledger."
            found.append(Warning(text, hint=f"Run: chmod {wanted} {shlex.quote(str(path))}", id="shelf.W006"))
    return found


def _sqlite(alias: str) -> list[CheckMessage]:
    found: list[CheckMessage] = []
    connection = connections[alias]
    if connection.transaction_mode != "IMMEDIATE":  # type: ignore[attr-defined]  # the SQLite backend's own attribute
        hint = 'Set OPTIONS["transaction_mode"] = "IMMEDIATE".'
        found.append(Error("SQLite transactions must begin IMMEDIATE.", hint=hint, id="shelf.E003"))
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA recursive_triggers")
        if cursor.fetchone()[0] != 1:
            hint = "Without it INSERT OR REPLACE slips past the triggers; set it in init_command."
            found.append(Error("PRAGMA recursive_triggers is off.", hint=hint, id="shelf.E004"))
        cursor.execute("PRAGMA database_list")
        # Empty for a database in memory.
        file = next(row[2] for row in cursor.fetchall() if row[1] == "main")
    return found + (open_to_others(Path(file)) if file else [])


def _postgresql(alias: str) -> list[CheckMessage]:
    with connections[alias].cursor() as cursor:
        cursor.execute("SHOW transaction_isolation")
        level = cursor.fetchone()[0]
    if level == "read committed":
        return []
    hint = "The locks of this project are written for READ COMMITTED; leave default_transaction_isolation alone."
    return [Error(f"The isolation level is {level}.", hint=hint, id="shelf.E005")]
