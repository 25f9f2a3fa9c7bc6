"""Checks at start: a wrong set-up fails with the cure before it can lose stock."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Any

from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.db import connections
from django.db.migrations.executor import MigrationExecutor

from inventory.common import guarding
from inventory.stock import feed

_migrating: ContextVar[bool] = ContextVar("migrating", default=False)


@contextmanager
def while_migrating() -> Iterator[None]:
    """What `migrate` itself mends, or comes before, is no reason not to migrate."""
    token = _migrating.set(True)
    try:
        yield
    finally:
        _migrating.reset(token)


@register(Tags.database)
def database_is_set_up_for_a_ledger(*, databases: Sequence[str] | None = None, **_: Any) -> list[CheckMessage]:
    """Transaction mode, isolation level, version of the tables, guards, feed and who can read the file, on the database
    that is used."""
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
        versions = _versions(alias)
        found += versions
        # Of tables of another version it is not known what their guards should say.
        if not versions and not _migrating.get():
            found += [*_guards(alias), *_feed(alias)]
    return found


def _versions(alias: str) -> list[Error]:
    """Tables made by another version of the program than this one."""
    executor = MigrationExecutor(connections[alias])
    loader = executor.loader
    known = loader.disk_migrations
    newer = sorted(
        f"{app}.{name}"
        for app, name in loader.applied_migrations
        if app in loader.migrated_apps and (app, name) not in known
    )
    if newer:
        return [
            Error(
                f"The tables are of a newer version than this program: it does not know {', '.join(newer)}.",
                hint="Start the version of the program that made them, or put back the copy made before it.",
                id="shelf.E007",
            )
        ]
    missing = [] if _migrating.get() else executor.migration_plan(loader.graph.leaf_nodes())
    if missing:
        names = ", ".join(str(migration) for migration, _ in missing[:3])
        more = f" and {len(missing) - 3} more" if len(missing) > 3 else ""
        return [
            Error(
                f"The tables are of an older version than this program: {names}{more} are not applied.",
                hint="Make a copy of the database, then run `python3 start.py manage migrate`.",
                id="shelf.E006",
            )
        ]
    return []


def _guards(alias: str) -> list[Error]:
    wrong = guarding.wrong(alias)
    if not wrong:
        return []
    said = ", ".join(f"{name} {what}" for name, what in wrong.items())
    hint = "Run `python3 start.py manage migrate`, which puts them in place, then `check_ledger`."
    return [Error(f"The database's guards do not stand as they should: {said}.", hint=hint, id="shelf.E002")]


def _feed(alias: str) -> list[Error]:
    behind = feed.behind(alias)
    if behind is None:
        return []
    hint = "Was a copy put back? Run `python3 start.py manage after_restore`. Else `repair_ledger` says what to do."
    return [Error(behind, hint=hint, id="shelf.E008")]


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
