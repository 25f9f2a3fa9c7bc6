"""Databases of both engines that a run makes, copies, puts back and has killed; all of it goes when the run ends."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import psycopg
from psycopg.sql import SQL, Identifier

from tests import postgres, snapshots

ENGINES = ("sqlite", "postgresql")
PATIENCE_S = 60.0


class Sqlite:
    """A folder with files."""

    engine = "sqlite"

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def fresh(self, name: str) -> str:
        """The address of a database that has no tables yet."""
        return f"sqlite:///{self.folder / name}.sqlite3"

    def snapshot(self, name: str) -> str:
        """A database as an earlier state of the project left it."""
        folder = self.folder / name
        folder.mkdir(mode=0o700)
        return snapshots.restore_sqlite(snapshots.FOLDER / f"{name}.sqlite3.gz", folder)

    def copy(self, url: str) -> Path:
        """A copy of a database at work, as docs/howto/back-up-and-check.md makes it."""
        copy = self.folder / "copy.sqlite3"
        connection = sqlite3.connect(self._file(url))
        connection.execute("VACUUM INTO ?", [str(copy)])
        connection.close()
        return copy

    def away(self, url: str) -> None:
        """Moves the database away, as before a copy is put in its place."""
        aside = self.folder / "aside"
        aside.mkdir()
        for file in self.folder.glob(f"{self._file(url).name}*"):
            file.rename(aside / file.name)

    def put_back(self, copy: Path, url: str) -> str:
        """Puts the copy where the database was; gives its address."""
        shutil.copy(copy, self._file(url))
        self._file(url).chmod(0o600)
        return url

    def _file(self, url: str) -> Path:
        return Path(url.removeprefix("sqlite:///"))


class Postgresql:
    """A server of its own, whose processes may be killed. `another` starts a second one, as a new machine would."""

    engine = "postgresql"

    def __init__(self, url: str, folder: Path, stack: contextlib.ExitStack, *, durable: bool) -> None:
        self.url, self.folder, self.stack, self.durable = url, folder, stack, durable

    def fresh(self, name: str) -> str:
        """The address of a database that has no tables yet."""
        return self._made(self.url, name)

    def snapshot(self, name: str) -> str:
        """A database as an earlier state of the project left it."""
        url = self._made(self.url, name.replace("-", "_"))
        snapshots.restore_postgresql(snapshots.FOLDER / f"{name}.postgresql.sql.gz", url)
        return url

    def copy(self, url: str) -> Path:
        """A copy of a database at work, as docs/howto/back-up-and-check.md makes it."""
        copy = self.folder / "copy.dump"
        _run("pg_dump", "--format=custom", f"--file={copy}", url)
        return copy

    def away(self, url: str) -> None:
        """Drops the database with whoever is connected, and makes it anew without tables."""
        name = url.rpartition("/")[2]
        with psycopg.connect(self.url, autocommit=True) as connection:
            connection.execute(SQL("DROP DATABASE {} WITH (FORCE)").format(Identifier(name)))
        self._made(self.url, name)

    def put_back(self, copy: Path, url: str) -> str:
        """Puts the copy into a database; gives its address."""
        _run("pg_restore", "--no-owner", "--single-transaction", f"--dbname={url}", str(copy))
        return url

    def another(self, name: str) -> str:
        """The address of a database without tables in a new server, which counts transactions from the beginning."""
        return self._made(self.stack.enter_context(postgres.running()), name)

    # --- the server's own processes, found by their data folder

    def keeper(self) -> int:
        """The process that keeps the server's others."""
        return int((self.data / "postmaster.pid").read_text().split()[0])

    @property
    def data(self) -> Path:
        return self.folder / "data"

    def wait_until_gone(self) -> None:
        """Returns once no process works in the data folder any more."""
        until = time.monotonic() + PATIENCE_S
        while any(_works_in(process, self.data) for process in Path("/proc").glob("[0-9]*")):
            assert time.monotonic() < until, "a process of the killed server does not end"
            time.sleep(0.02)

    def start_again(self) -> None:
        """Starts the server after all of its killed processes have gone; returns once it answers."""
        # A killed one that nobody has looked for yet still counts as running.
        for left in (self.data / "postmaster.pid", *self.folder.glob(".s.PGSQL.*")):
            left.unlink(missing_ok=True)
        server = postgres.serve(self.folder, durable=self.durable)
        self.stack.callback(postgres.stop, server)
        self.wait_until_it_answers()

    def wait_until_it_answers(self) -> None:
        until = time.monotonic() + PATIENCE_S
        while True:
            try:
                psycopg.connect(self.url).close()
            except psycopg.OperationalError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.05)
            else:
                return

    @staticmethod
    def _made(url: str, name: str) -> str:
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(SQL("CREATE DATABASE {}").format(Identifier(name)))
        return f"{url.rpartition('/')[0]}/{name}"


Place = Sqlite | Postgresql


@contextlib.contextmanager
def place(engine: str, *, durable: bool = False) -> Iterator[Place]:
    """A place for databases of an engine. `durable`: what was committed outlives the killing of the server."""
    with contextlib.ExitStack() as stack:
        if engine == "sqlite":
            folder = stack.enter_context(tempfile.TemporaryDirectory(prefix="shelf-endure-"))
            yield Sqlite(Path(folder))
        else:
            url = stack.enter_context(postgres.running(durable=durable))
            yield Postgresql(url, postgres.socket_folder(url), stack, durable=durable)


def _works_in(process: Path, folder: Path) -> bool:
    """Whether a process has the folder as its own; one that is gone has none."""
    try:
        return (process / "cwd").readlink() == folder
    except OSError:
        return False


def _run(program: str, *words: str) -> None:
    command = [str(postgres.installed() / "bin" / program), *words]
    done = subprocess.run(command, capture_output=True, text=True, env={"PATH": os.defpath, "LC_ALL": "C"})
    if done.returncode:
        raise RuntimeError(f"{program}: {done.stderr}")
