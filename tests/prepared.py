"""An empty shelf that is migrated once and copied from then on: to copy it takes milliseconds, to migrate it seconds.

Its name carries the digest of whatever decides what is in it, so a changed source gives another one. On SQLite it is a
file that later runs find too; on PostgreSQL it lives as long as its server.
"""

from __future__ import annotations

import contextlib
import fcntl
import functools
import hashlib
import os
import shutil
import sqlite3
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
from django.core.management import call_command
from django.db import connection, connections
from psycopg.sql import SQL, Composed, Identifier

ROOT = Path(__file__).resolve().parent.parent
# Ignored by git, and emptied with the rest of what pytest keeps.
KEPT = ROOT / ".pytest_cache" / "shelves"
FORGOTTEN_S = 24 * 3600.0
# Any number, the same for all who make it on one server.
LOCK = 20260704


@functools.cache
def digest() -> str:
    """Twelve signs that change with the project's tables, guards and libraries."""
    found = hashlib.sha256(f"{sys.version} {sqlite3.sqlite_version}".encode())
    for path in [ROOT / "requirements.lock", *sorted((ROOT / "inventory").rglob("*.py"))]:
        found.update(f"{path.relative_to(ROOT)}\0".encode() + path.read_bytes())
    return found.hexdigest()[:12]


def shelf() -> str:
    """The name of the migrated, empty database, to copy and never to write to; made where there is none yet."""
    return _on_server() if connection.vendor == "postgresql" else _in_file()


def copy(name: str, source: str | None = None) -> None:
    """A new database of that name, like the other one or else like the empty shelf."""
    source = source or shelf()
    if connection.vendor == "postgresql":
        on_server(SQL("CREATE DATABASE {} TEMPLATE {}").format(Identifier(name), Identifier(source)))
        return
    # Its last connection has put its log into the file.
    shutil.copyfile(source, name)
    os.chmod(name, 0o600)


def remove(name: str) -> None:
    """The database of that name is gone, whoever is connected."""
    if connection.vendor == "postgresql":
        on_server(SQL("DROP DATABASE {} WITH (FORCE)").format(Identifier(name)))
        return
    for end in ("", "-wal", "-shm"):
        Path(name + end).unlink(missing_ok=True)


def on_server(statement: Composed) -> None:
    """Runs a statement about databases, from a database that stays."""
    with psycopg.connect(os.environ["DATABASE_URL"], autocommit=True) as other:
        other.execute(statement)


@contextlib.contextmanager
def used(name: str) -> Iterator[None]:
    """Every thread connects to this database; before and afterwards to the one that was set."""
    # One dict that the connections of all threads share.
    settings = connection.settings_dict
    before = settings["NAME"]
    let_go()
    settings["NAME"] = name
    try:
        yield
    finally:
        let_go()
        settings["NAME"] = before


def let_go() -> None:
    """Closes this thread's connection, and the pool of all threads where there is one."""
    connections.close_all()
    if connection.vendor == "postgresql":
        connection.close_pool()  # type: ignore[attr-defined]  # the PostgreSQL backend's own method


def _migrate(name: str) -> None:
    with used(name):
        call_command("migrate", verbosity=0)


def made(file: Path, fill: Callable[[str], None]) -> None:
    """The database is in the file: whoever comes first fills it, the others wait for that."""
    with file.with_name("lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not file.exists():
            begun = file.with_name("begun")
            remove(str(begun))
            fill(str(begun))
            # Only now under its name: whoever is stopped in between leaves nothing that is half filled.
            begun.replace(file)


def _in_file() -> str:
    KEPT.mkdir(parents=True, exist_ok=True)
    file = KEPT / f"{digest()}.sqlite3"
    made(file, _migrate)
    for other in KEPT.glob("*.sqlite3"):
        if other != file and time.time() - other.stat().st_mtime > FORGOTTEN_S:
            other.unlink(missing_ok=True)
    return str(file)


def _on_server() -> str:
    name, begun = f"shelf_{digest()}", "shelf_begun"
    there = "SELECT 1 FROM pg_database WHERE datname = %s"
    with psycopg.connect(os.environ["DATABASE_URL"], autocommit=True) as other:
        other.execute("SELECT pg_advisory_lock(%s)", [LOCK])
        if not other.execute(there, [name]).fetchone():
            other.execute(SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(Identifier(begun)))
            other.execute(SQL("CREATE DATABASE {}").format(Identifier(begun)))
            _migrate(begun)
            other.execute(SQL("ALTER DATABASE {} RENAME TO {}").format(Identifier(begun), Identifier(name)))
    return name
