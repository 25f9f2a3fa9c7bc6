"""A server that takes its time: what a slow wireless network adds to every answer, without slowing down the hands.

A delay within Playwright's own routes would hold the keyboard too; here it is the server's thread that waits.
"""

from __future__ import annotations

import contextlib
import time
from collections.abc import Iterable, Iterator
from typing import Any
from wsgiref.types import StartResponse, WSGIApplication, WSGIEnvironment


class Slowed:
    """An application that begins every answer but a static file so many seconds late."""

    def __init__(self, app: WSGIApplication) -> None:
        self.app = app

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        if _delay["s"] and not str(environ.get("PATH_INFO", "")).startswith("/static/"):
            time.sleep(_delay["s"])
        return self.app(environ, start_response)


_delay: dict[str, Any] = {"s": 0.0}


@contextlib.contextmanager
def added(milliseconds: int) -> Iterator[None]:
    """Every answer comes so much later for as long as this lasts."""
    _delay["s"] = milliseconds / 1000
    try:
        yield
    finally:
        _delay["s"] = 0.0
