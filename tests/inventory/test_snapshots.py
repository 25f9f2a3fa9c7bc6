"""Databases that shops have, as earlier states of the project left them: they migrate, and their ledgers replay."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from psycopg.sql import SQL, Identifier

from tests import postgres, snapshots

NAMES = sorted(file.name.removesuffix(".sqlite3.gz") for file in snapshots.FOLDER.glob("*.sqlite3.gz"))


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    """A PostgreSQL on which each snapshot gets a database of its own: a server takes longer to start than to fill."""
    with postgres.running() as url:
        yield url


def test_there_is_a_snapshot_of_both_engines() -> None:
    assert NAMES
    for name in NAMES:
        assert (snapshots.FOLDER / f"{name}.postgresql.sql.gz").exists()


def test_the_newest_snapshot_has_the_tables_as_they_are(tmp_path: Path) -> None:
    # Whoever changes the tables leaves a database of before for whoever changes them next.
    newest = (snapshots.ROOT / "inventory" / "migrations" / "max_migration.txt").read_text().strip()
    assert last_migration(NAMES[-1], tmp_path) == newest, "python -m tests.snapshots make NUMBER-NAME"


@pytest.mark.parametrize("name", NAMES)
def test_a_snapshot_stands_where_its_number_says(name: str, tmp_path: Path) -> None:
    assert last_migration(name, tmp_path)[:4] == name[:4]


def last_migration(name: str, folder: Path) -> str:
    """The last migration of a snapshot."""
    file = snapshots.restore_sqlite(snapshots.FOLDER / f"{name}.sqlite3.gz", folder).removeprefix("sqlite:///")
    with contextlib.closing(sqlite3.connect(file)) as connection:
        rows = connection.execute("SELECT name FROM django_migrations WHERE app = 'inventory' ORDER BY id DESC LIMIT 1")
        return str(rows.fetchone()[0])


@pytest.mark.parametrize("name", NAMES)
def test_a_shelf_on_sqlite_migrates_and_is_true(name: str, tmp_path: Path) -> None:
    url = snapshots.restore_sqlite(snapshots.FOLDER / f"{name}.sqlite3.gz", tmp_path)
    assert_true(url)


@pytest.mark.parametrize("name", NAMES)
def test_a_shelf_on_postgresql_migrates_and_is_true(name: str, server: str) -> None:
    address = server.rpartition("/")[0]
    own = f"shop_{NAMES.index(name)}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(SQL("CREATE DATABASE {}").format(Identifier(own)))
    url = f"{address}/{own}"
    snapshots.restore_postgresql(snapshots.FOLDER / f"{name}.postgresql.sql.gz", url)
    assert_true(url)


def assert_true(url: str) -> None:
    """Migrating and replaying; the figures are those of what snapshots.populate() puts there."""
    said = snapshots.migrated_and_checked(url)
    movements = int(said.removeprefix("The shelf is true: ").split()[0])
    assert movements >= 15
