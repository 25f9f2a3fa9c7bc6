"""The demo workshop within a browser's reach: loaded once, copied for whoever changes it, served by a thread.

The server lives in the process that drives the browser, so that a test may hold the clock and read the tables. Copying
a loaded database takes milliseconds; emptying and loading one takes seconds.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path

import psycopg
from django.core.cache import cache
from django.core.handlers.wsgi import WSGIHandler
from django.core.management import call_command
from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
from django.db import connection, connections
from django.test import override_settings
from psycopg.sql import SQL, Identifier

from compat.demo import workshop
from tests.browser.slow import Slowed

HOST = "127.0.0.1"


class Quiet(WSGIRequestHandler):
    """Answers without a line for each request."""

    def log_message(self, format: str, *args: object) -> None:
        pass

    def handle(self) -> None:
        with _counted():
            super().handle()


# Connections that a thread still answers, even if the browser has gone: the copy must not go before them.
_open = {"now": 0}
_changed = threading.Condition()


@contextlib.contextmanager
def _counted() -> Iterator[None]:
    _count(1)
    try:
        yield
    finally:
        _count(-1)


def _count(step: int) -> None:
    with _changed:
        _open["now"] += step
        _changed.notify_all()


def all_answered(seconds: float = 30) -> None:
    """Waits until no thread answers any more. For use once every browser has closed."""
    with _changed:
        _changed.wait_for(lambda: not _open["now"], seconds)


@contextlib.contextmanager
def serving() -> Iterator[str]:
    """Serves the project, static files and all, from a thread; gives the address."""
    server = ThreadedWSGIServer((HOST, 0), Quiet)
    # A file that somebody edits meanwhile is served as it is; its old length would make the browser wait for the rest.
    with override_settings(WHITENOISE_AUTOREFRESH=True):
        server.set_app(Slowed(WSGIHandler()))
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    try:
        yield f"http://{HOST}:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


class Databases:
    """A database with the demo workshop in it, and copies of that one."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.numbers = itertools.count(1)
        self.template = self._name("template")
        self._make(self.template)
        with used(self.template):
            call_command("migrate", verbosity=0)
            workshop.load(lambda step, done, total: None)

    @contextlib.contextmanager
    def copy(self) -> Iterator[str]:
        """The project uses a fresh copy for as long as this lasts; gives its name."""
        name = self._name(str(next(self.numbers)))
        self._make(name, self.template)
        cache.clear()
        try:
            with used(name):
                yield name
                all_answered()
        finally:
            self._remove(name)

    def close(self) -> None:
        """Removes the template."""
        self._remove(self.template)

    def _name(self, what: str) -> str:
        if connection.vendor == "sqlite":
            return str(self.folder / f"{what}.sqlite3")
        # Two processes may use one server.
        return f"browser_{os.getpid()}_{what}"

    def _make(self, name: str, template: str | None = None) -> None:
        if connection.vendor == "postgresql":
            which = SQL("CREATE DATABASE {} TEMPLATE {}")
            on_server(which.format(Identifier(name), Identifier(template or "template1")))
        elif template:
            # Its last connection has put its log into the file.
            shutil.copyfile(template, name)

    def _remove(self, name: str) -> None:
        if connection.vendor == "postgresql":
            on_server(SQL("DROP DATABASE {} WITH (FORCE)").format(Identifier(name)))
        else:
            for end in ("", "-wal", "-shm"):
                Path(name + end).unlink(missing_ok=True)


def on_server(statement: psycopg.sql.Composed) -> None:
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
