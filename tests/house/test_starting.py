"""A service does not start on a database that could lose stock, and says in one sentence what to do."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import psycopg
import pytest

from tests import postgres, snapshots
from tests.house.project import ROOT

NAME = "0006-withdrawals"
MIGRATE = "python3 start.py manage migrate"


def start(url: str) -> str:
    """What the service says when it does not start; empty when it would serve."""
    command = [sys.executable, "-c", "import inventory.project.wsgi"]
    done = subprocess.run(command, cwd=ROOT, env=snapshots.environment(url), capture_output=True, text=True)
    assert (done.returncode == 0) == (not done.stderr), done.stderr
    assert "Traceback" not in done.stderr
    return done.stderr


@contextmanager
def old_shelf(engine: str, folder: Path) -> Iterator[str]:
    """The DATABASE_URL of a shelf as an earlier version left it."""
    if engine == "sqlite":
        yield snapshots.restore_sqlite(snapshots.FOLDER / f"{NAME}.sqlite3.gz", folder)
        return
    with postgres.running() as url:
        snapshots.restore_postgresql(snapshots.FOLDER / f"{NAME}.postgresql.sql.gz", url)
        yield url


def run(url: str, sql: str) -> None:
    if url.startswith("postgresql"):
        with psycopg.connect(url) as connection:
            connection.execute(sql.encode())
    else:
        with closing(sqlite3.connect(url.removeprefix("sqlite:///"))) as file, file:
            file.execute(sql)


@pytest.mark.parametrize("engine", ["sqlite", "postgresql"])
def test_it_refuses_another_version_and_bent_guards_until_that_is_mended(engine: str, tmp_path: Path) -> None:
    with old_shelf(engine, tmp_path) as url:
        said = start(url)
        assert "older version" in said
        assert MIGRATE in said
        snapshots.manage(url, "migrate", "--verbosity", "0")
        assert start(url) == ""

        on = " ON inventory_movement" if engine == "postgresql" else ""
        run(url, f"DROP TRIGGER ledger_movement_apply{on}")
        said = start(url)
        assert "ledger_movement_apply is missing" in said
        assert MIGRATE in said
        # The very command that it names mends it; it used to be refused by the same check.
        snapshots.manage(url, "migrate", "--verbosity", "0")
        assert start(url) == ""

        run(url, "INSERT INTO django_migrations (app, name, applied) VALUES ('inventory', '9999_later', '2030-01-01')")
        said = start(url)
        assert "newer version" in said
        assert "inventory.9999_later" in said
        with pytest.raises(RuntimeError, match="newer version"):
            snapshots.manage(url, "migrate", "--verbosity", "0")


def test_it_refuses_an_empty_database(tmp_path: Path) -> None:
    assert MIGRATE in start(f"sqlite:///{tmp_path / 'empty.sqlite3'}")


def test_a_shelf_restored_in_a_new_server_is_refused_until_its_feed_has_caught_up() -> None:
    with postgres.running() as url:
        snapshots.restore_postgresql(snapshots.FOLDER / f"{NAME}.postgresql.sql.gz", url)
        # The server that the dump came from had been at work for years.
        run(url, "ALTER TABLE inventory_movement DISABLE TRIGGER ledger_movement_refuse")
        run(url, "UPDATE inventory_movement SET transaction = transaction + 5000")
        run(url, "ALTER TABLE inventory_movement ENABLE TRIGGER ledger_movement_refuse")
        snapshots.manage(url, "migrate", "--verbosity", "0")
        said = start(url)
        assert "in the feed" in said
        assert "repair_ledger" in said
        with pytest.raises(RuntimeError, match="counts transactions from"):
            snapshots.manage(url, "repair_ledger")
        words = ("--person", "runa", "--reason", "restored in a new server")
        snapshots.manage(url, "repair_ledger", "--apply", *words)
        assert start(url) == ""
        snapshots.manage(url, "check_ledger")
