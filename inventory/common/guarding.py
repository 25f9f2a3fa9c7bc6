"""Guards: triggers by which the database itself refuses what would falsify the shelf, whoever writes.

Each room says its guards once, by register(). They are put in place in one transaction, so that no writer ever finds
some of them missing, and only where the database's own text of them differs from what stands here: what is right
already is not touched. Because the text is compared, an emptied guard of the right name is found too.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import connections

from inventory.common.transactions import use_case

MISSING, OTHER, OFF = "is missing", "says something else than it should", "is switched off"
# One who puts guards in place waits for another one who does; the number is any that nobody else uses here.
ADVISORY_LOCK = 7_402_211


@dataclass(frozen=True, slots=True)
class Function:
    """A function of PostgreSQL that triggers call: its body in PL/pgSQL, and what is set while it runs."""

    body: str
    setting: str = ""

    def text(self, schema: str, name: str) -> str:
        """The statement that makes it, exactly as pg_get_functiondef() says it afterwards."""
        setting = f" SET {self.setting}\n" if self.setting else ""
        return (
            f"CREATE OR REPLACE FUNCTION {schema}.{name}()\n RETURNS trigger\n LANGUAGE plpgsql\n{setting}"
            f"AS $function${self.body}$function$\n"
        )


@dataclass(frozen=True, slots=True)
class Guards:
    """Guards that belong together, {trigger: what follows its name} for each engine.

    PostgreSQL's are written as pg_get_triggerdef() says them. `whole` names tables whose numbers are pieces or
    micrometres: SQLite would take halves of them, so there every column of a whole number is looked at.
    """

    sqlite: Mapping[str, str] = field(default_factory=dict)
    functions: Mapping[str, Function] = field(default_factory=dict)
    postgresql: Mapping[str, str] = field(default_factory=dict)
    whole: tuple[str, ...] = ()


_registered: list[Guards] = []


def register(guards: Guards) -> None:
    """Adds guards; the module that says them calls this once."""
    _registered.append(guards)


def install(using: str = "default") -> None:
    """Puts every guard in place whose tables are there: all in one transaction, and only those that differ.

    Raises DomainError `too_busy` when writers leave no moment for it; then everything is as it was.
    """
    connection = connections[using]

    def work() -> None:
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                put_in_place(cursor)
            else:
                _install_postgresql(cursor)

    # On SQLite the transaction begins IMMEDIATE: writers wait until every guard stands again.
    use_case(work)


def remove(using: str = "default") -> None:
    """Takes every trigger away; only the tests' emptying of tables between cases has a use for it."""
    connection = connections[using]

    def work() -> None:
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                for name in _wanted_sqlite(cursor):
                    cursor.execute(f"DROP TRIGGER IF EXISTS {name}")
                return
            for name, text in _wanted_postgresql(cursor).items():
                cursor.execute(f"DROP TRIGGER IF EXISTS {name} ON {table_of(text)}")

    use_case(work)


def wrong(using: str = "default") -> dict[str, str]:
    """{guard: what is wrong with it}, such as MISSING, in the order of their names; empty when every one stands."""
    connection = connections[using]
    with connection.cursor() as cursor:
        found = _wrong_sqlite(cursor) if connection.vendor == "sqlite" else _wrong_postgresql(cursor)
    return dict(sorted(found.items()))


def table_of(text: str) -> str:
    """The table that a trigger belongs to."""
    words = text.split()
    return words[words.index("ON") + 1]


def _there(texts: Mapping[str, str], tables: set[str]) -> dict[str, str]:
    """The triggers whose tables exist, and all those that they name."""
    return {name: text for name, text in texts.items() if set(re.findall(r"\binventory_\w{1,60}+", text)) <= tables}


# --- SQLite


def is_guard(name: str) -> bool:
    """Whether a trigger of SQLite is one of the guards, of tables that are there or not."""
    return name.startswith("whole_inventory_") or any(name in guards.sqlite for guards in _registered)


def put_in_place(cursor: Any) -> None:
    """What install() does on SQLite, in the transaction that is open."""
    wanted = _wanted_sqlite(cursor)
    for name in _wrong_sqlite(cursor):
        cursor.execute(f"DROP TRIGGER IF EXISTS {name}")
        cursor.execute(f"CREATE TRIGGER {name} {wanted[name]}")


def _wrong_sqlite(cursor: Any) -> dict[str, str]:
    wanted = _wanted_sqlite(cursor)
    cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    there = dict(cursor.fetchall())
    return {
        name: OTHER if name in there else MISSING
        for name, text in wanted.items()
        if there.get(name) != f"CREATE TRIGGER {name} {text}"
    }


def _wanted_sqlite(cursor: Any) -> dict[str, str]:
    cursor.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    tables = {row[0] for row in cursor.fetchall()}
    wanted: dict[str, str] = {}
    for guards in _registered:
        wanted |= _there(guards.sqlite, tables)
        for table in tables.intersection(guards.whole):
            wanted |= _whole_numbers(cursor, table)
    return wanted


def _whole_numbers(cursor: Any, table: str) -> Iterator[tuple[str, str]]:
    """The triggers by which every column of a whole number refuses anything else but nothing."""
    cursor.execute(f"PRAGMA table_info({table})")
    columns = [row[1] for row in cursor.fetchall() if row[2].lower().startswith(("integer", "bigint"))]
    # A primary key of SQLite is whole already, and not yet drawn where it is looked at.
    looked_at = sorted(name for name in columns if name != "id")
    halves = " OR ".join(f"typeof(NEW.\"{name}\") NOT IN ('integer', 'null')" for name in looked_at)
    for when in ("INSERT", "UPDATE"):
        refusing = f"BEGIN SELECT RAISE(ABORT, 'ledger: {table} takes whole numbers only'); END"
        yield f"whole_{table}_{when.lower()}", f"BEFORE {when} ON {table} WHEN {halves}\n        {refusing}"


# --- PostgreSQL


def _install_postgresql(cursor: Any) -> None:
    cursor.execute("SELECT pg_advisory_xact_lock(%s)", [ADVISORY_LOCK])
    wanted, found = _wanted_postgresql(cursor), _wrong_postgresql(cursor)
    if not found:
        return
    # Every table at once and sorted, before anything is changed: a writer is let finish, the next one waits here.
    tables = sorted({table_of(wanted[name]) for name in found if name in wanted})
    if tables:
        cursor.execute(f"LOCK TABLE {', '.join(tables)} IN SHARE ROW EXCLUSIVE MODE")
    schema = _schema(cursor)
    for name, function in _functions().items():
        if f"{name}()" in found:
            cursor.execute(function.text(schema, name))
    for name in found:
        if name in wanted:
            cursor.execute(f"CREATE OR REPLACE TRIGGER {name} {wanted[name]}")
            if found[name] != MISSING:
                # Whether one fires outlives its being replaced.
                cursor.execute(f"ALTER TABLE {table_of(wanted[name])} ENABLE TRIGGER {name}")


def _wrong_postgresql(cursor: Any) -> dict[str, str]:
    wanted = _wanted_postgresql(cursor)
    if not wanted:
        return {}
    cursor.execute(
        "SELECT tgname, pg_get_triggerdef(pg_trigger.oid, true), tgenabled IN ('O', 'A') FROM pg_trigger"
        " JOIN pg_class ON pg_class.oid = tgrelid WHERE NOT tgisinternal AND pg_table_is_visible(pg_class.oid)"
    )
    there = {name: (text, on) for name, text, on in cursor.fetchall()}
    found: dict[str, str] = {}
    for name, text in wanted.items():
        said, on = there.get(name, ("", True))
        if said != f"CREATE TRIGGER {name} {text}":
            found[name] = OTHER if said else MISSING
        elif not on:
            found[name] = OFF
    schema = _schema(cursor)
    cursor.execute(
        "SELECT proname, pg_get_functiondef(pg_proc.oid) FROM pg_proc"
        " JOIN pg_namespace ON pg_namespace.oid = pronamespace WHERE nspname = %s AND pronargs = 0 AND prokind = 'f'",
        [schema],
    )
    functions = dict(cursor.fetchall())
    called = " ".join(wanted.values())
    for name, function in _functions().items():
        if f" {name}(" in called and functions.get(name) != function.text(schema, name):
            found[f"{name}()"] = OTHER if name in functions else MISSING
    return found


def _wanted_postgresql(cursor: Any) -> dict[str, str]:
    cursor.execute("SELECT relname FROM pg_class WHERE relkind IN ('r', 'p') AND pg_table_is_visible(oid)")
    tables = {row[0] for row in cursor.fetchall()}
    wanted: dict[str, str] = {}
    for guards in _registered:
        wanted |= _there(guards.postgresql, tables)
    return wanted


def _functions() -> dict[str, Function]:
    return {name: function for guards in _registered for name, function in guards.functions.items()}


def _schema(cursor: Any) -> str:
    cursor.execute("SELECT quote_ident(current_schema())")
    return str(cursor.fetchone()[0])
