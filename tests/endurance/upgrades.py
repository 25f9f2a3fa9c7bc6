"""`migrate` while others write: from the tables before the newest with 8 writers of the service, and from each older
database with 8 writers who post as every version has done."""

from __future__ import annotations

import contextlib
import itertools
import random
import sqlite3
import subprocess
import sys
import threading
import time
import uuid
from collections import Counter
from collections.abc import Callable
from typing import Any

import psycopg

from tests import snapshots
from tests.benchmarks.figures import Figure
from tests.concurrency.workers import service
from tests.endurance.kills import none_of
from tests.endurance.places import place
from tests.endurance.shops import (
    WRITERS,
    Follower,
    Writers,
    explained_movements,
    faults_of,
    feed_faults,
    keys_of,
    listed,
    stock,
)

MIGRATIONS = sorted(file.stem for file in (snapshots.ROOT / "inventory" / "migrations").glob("[0-9]*.py"))
SNAPSHOTS = tuple(sorted(file.name.removesuffix(".sqlite3.gz") for file in snapshots.FOLDER.glob("*.sqlite3.gz")))
# `migrate` says that the shelf was too busy and that nothing has happened; how often it is run again.
MOST_TRIES = 20
LOCK_S = 3
PAUSE_S = 0.05
STARTS_TOO_EARLY = "of an older version than this program"


def run_newest(engine: str, *, writes: int, seed: int = 1) -> list[Figure]:
    """From the tables before the newest to the newest, and once more, with 8 writers of a service that goes on."""
    tries: list[int] = []
    with place(engine) as where:
        url = where.fresh("workshop")
        snapshots.manage(url, "migrate", "--verbosity", "0")
        keys = keys_of(url)
        with service(url) as served:
            delivery = stock(served.address, keys)
            snapshots.manage(url, "migrate", "inventory", MIGRATIONS[-2], "--verbosity", "0")
            writers = Writers(lambda: served.address, keys, seed, delivery)
            follower = Follower(lambda: served.address, keys.storefront)
            with writers, follower:
                for _ in range(2):
                    writers.until(writes)
                    tries.append(migrated(url))
                    writers.until(writes)
            snapshots.manage(url, "check", "--database", "default")
            movements = explained_movements(url)
            faults = faults_of(writers.told, served.address, keys) + feed_faults(follower, url, served.address, keys)
    return [
        Figure(f"migrate from {MIGRATIONS[-2]}", tries[0], "tries", f"at most {MOST_TRIES}", True),
        Figure("migrate with nothing to do", tries[1], "tries", f"at most {MOST_TRIES}", True),
        Figure("commands answered", len(writers.told), "", "printed", True),
        Figure("answers 503", writers.statuses[503], "", "printed", True),
        Figure("movements", movements, "", "printed", True),
        *none_of("answers 500", writers.errors),
        *none_of("lost, half or twice", faults),
    ]


def run_older(engine: str, *, writes: int, seed: int = 1, names: tuple[str, ...] = ()) -> list[Figure]:
    """Each older database, or the named ones."""
    return [figure for name in names or SNAPSHOTS for figure in _older(engine, name, writes, seed)]


def _older(engine: str, name: str, writes: int, seed: int) -> list[Figure]:
    with place(engine) as where:
        url = where.snapshot(name)
        early = refusal_of(url)
        posters = Posters(url, seed)
        with posters:
            posters.until(writes)
            tries = migrated(url)
            posters.until(writes)
        snapshots.manage(url, "check", "--database", "default")
        keys = keys_of(url)
        with service(url) as served:
            writers = Writers(lambda: served.address, keys, seed, stock(served.address, keys))
            follower = Follower(lambda: served.address, keys.storefront)
            with writers, follower:
                writers.until(writes)
            posted = listed(served.address, "/movements", keys.clerk, f"&cause_kind={KIND}")
            faults = faults_of(writers.told, served.address, keys) + feed_faults(follower, url, served.address, keys)
    there = {row["cause"]["id"] for row in posted}
    return [
        Figure(f"{name}: a service too early refuses", float(STARTS_TOO_EARLY in early), "", "1",
               STARTS_TOO_EARLY in early),
        Figure(f"{name}: migrate", tries, "tries", f"at most {MOST_TRIES}", True),
        Figure(f"{name}: posted before, meanwhile, after", len(posters.posted), "", "printed", True),
        Figure(f"{name}: of them lost or double", len(there ^ posters.posted) + len(posted) - len(there), "", "0",
               there == posters.posted and len(posted) == len(there)),
        *none_of(f"{name}: errors of posters", posters.errors),
        *none_of(f"{name}: answers 500", writers.errors),
        *none_of(f"{name}: lost, half or twice", faults),
    ]  # fmt: skip


def migrated(url: str) -> int:
    """Runs `migrate` until it is done; how often it had to be run."""
    for tries in itertools.count(1):
        command = [sys.executable, "manage.py", "migrate", "--verbosity", "0"]
        done = subprocess.run(
            command, cwd=snapshots.ROOT, env=snapshots.environment(url), capture_output=True, text=True
        )
        if done.returncode == 0:
            return tries
        busy = any(word in done.stderr for word in ("is locked", "lock timeout", "deadlock", "too busy", "was busy"))
        assert busy and tries < MOST_TRIES, done.stderr
    raise AssertionError


def refusal_of(url: str) -> str:
    """What a service says that does not start on this database; empty where it does."""
    try:
        with service(url, 1):
            return ""
    except AssertionError as error:
        return str(error)


# --- writers who know the ledger's tables alone

KIND = "endurance"
COLUMNS = (
    "balance_id, version, on_hand_delta, held_delta, on_hand, held, person_id, reason, cause_kind, cause_id, posting,"
    ' at, currency, "transaction"'
)


class Posters:
    """Threads that post movements of a piece by the ledger's own rules, each in a transaction, as any version does."""

    def __init__(self, url: str, seed: int) -> None:
        self.url, self.seed = url, seed
        self.posted: set[str] = set()
        self.errors: list[str] = []
        self.refused: Counter[str] = Counter()
        self.over = threading.Event()

    def __enter__(self) -> Posters:
        self.threads = [threading.Thread(target=self._post_on, args=[number]) for number in range(WRITERS)]
        for thread in self.threads:
            thread.start()
        return self

    def __exit__(self, *error: object) -> None:
        self.over.set()
        for thread in self.threads:
            thread.join()

    def until(self, more: int) -> None:
        """Returns once so many more were committed."""
        wanted = len(self.posted) + more
        while len(self.posted) < wanted:
            assert not self.errors and any(thread.is_alive() for thread in self.threads), self.errors
            time.sleep(0.01)

    def _post_on(self, number: int) -> None:
        draw, turn = random.Random(f"{self.seed}/{number}"), 0
        try:
            with _connected(self.url) as execute:
                keys = [row[0] for row in execute("SELECT id FROM inventory_balance ORDER BY id", ())]
                person = execute("SELECT min(id) FROM inventory_person", ())[0][0]
                while not self.over.is_set():
                    turn += 1
                    name = f"{self.seed}-{number}-{turn}"
                    while not self._post(execute, draw.choice(keys), person, name):
                        time.sleep(0.01)
                    self.posted.add(name)
                    # As many as a busy shop has; an upgrade of a long history is another thing to try.
                    self.over.wait(PAUSE_S)
        except BaseException as error:
            self.errors.append(f"{type(error).__name__}: {error}")

    def _post(self, execute: Callable[..., list[Any]], key: int, person: int, name: str) -> bool:
        """Posts a piece more and commits; False where a lock did not come."""
        sqlite = self.url.startswith("sqlite")
        try:
            execute("BEGIN IMMEDIATE" if sqlite else "BEGIN", ())
            lock = "" if sqlite else " FOR NO KEY UPDATE"
            ((on_hand, held, version),) = execute(
                f"SELECT on_hand, held, version FROM inventory_balance WHERE id = %s{lock}", (key,)
            )
            posting = uuid.uuid4()
            values = (key, version + 1, 1, 0, on_hand + 1, held, person, "endurance", KIND, name)
            execute(
                f"INSERT INTO inventory_movement ({COLUMNS}) VALUES ({', '.join(['%s'] * 11)}, '2026-11-28', '', 0)",
                (*values, posting.hex if sqlite else posting),
            )
            execute("COMMIT", ())
        except (sqlite3.OperationalError, psycopg.errors.LockNotAvailable, psycopg.errors.DeadlockDetected) as error:
            if isinstance(error, sqlite3.OperationalError) and "locked" not in str(error):
                raise
            self.refused[type(error).__name__] += 1
            # It may not have begun.
            with contextlib.suppress(sqlite3.OperationalError):
                execute("ROLLBACK", ())
            return False
        return True


class _connected:
    """A connection of one engine or the other, as a function that executes and gives the rows."""

    def __init__(self, url: str) -> None:
        self.sqlite = url.startswith("sqlite")
        self.connection: Any = (
            sqlite3.connect(url.removeprefix("sqlite:///"), timeout=4, isolation_level=None)
            if self.sqlite
            else psycopg.connect(url, autocommit=True)
        )
        if self.sqlite:
            self.connection.execute("PRAGMA recursive_triggers=ON")
        else:
            self.connection.execute(f"SET lock_timeout = '{LOCK_S}s'")

    def __enter__(self) -> Callable[..., list[Any]]:
        def execute(sql: str, values: tuple[Any, ...]) -> list[Any]:
            done = self.connection.execute(sql.replace("%s", "?") if self.sqlite else sql, values)
            return list(done.fetchall()) if done.description else []

        return execute

    def __exit__(self, *error: object) -> None:
        self.connection.close()
