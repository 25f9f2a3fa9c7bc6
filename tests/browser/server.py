"""The demo workshop within a browser's reach: loaded once, copied for whoever changes it, served by a thread.

The server lives in the process that drives the browser, so that a test may hold the clock and read the tables. Copying
a loaded database takes milliseconds; emptying and loading one takes seconds.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import threading
from collections.abc import Iterator
from pathlib import Path

from django.core.cache import cache
from django.core.handlers.wsgi import WSGIHandler
from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
from django.db import connection
from django.test import override_settings

from compat.demo import workshop
from tests import environment, prepared
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
        self.shared = connection.vendor == "sqlite"
        if self.shared:
            # In the folder of the run, which all of its workers have.
            file = Path(os.environ[environment.DATABASE].removeprefix("sqlite:///")).with_name("workshop.sqlite3")
            prepared.made(file, _load)
            self.template = str(file)
        else:
            self.template = self._name("template")
            _load(self.template)

    @contextlib.contextmanager
    def copy(self) -> Iterator[str]:
        """The project uses a fresh copy for as long as this lasts; gives its name."""
        name = self._name(str(next(self.numbers)))
        prepared.copy(name, self.template)
        cache.clear()
        try:
            with prepared.used(name):
                yield name
                all_answered()
        finally:
            prepared.remove(name)

    def close(self) -> None:
        """Removes the template, but for one that others copy too, which goes with its folder."""
        if not self.shared:
            prepared.remove(self.template)

    def _name(self, what: str) -> str:
        if connection.vendor == "sqlite":
            return str(self.folder / f"{what}.sqlite3")
        # Two processes may use one server.
        return f"browser_{os.getpid()}_{what}"


def _load(name: str) -> None:
    """A new database of that name with the demo workshop in it."""
    prepared.copy(name)
    with prepared.used(name):
        workshop.load(lambda step, done, total: None)
