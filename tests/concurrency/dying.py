"""The service as gunicorn runs it, but that a request can end a process in the middle of its own write.

    X-Dies-At: movement            the worker kills itself once the first movement is inserted
    X-Dies-At: commit 4711 9       it sends signal 9 to process 4711 instead, just before its COMMIT, and goes on
    X-Dies-At: commit backend 9    ... to the server process of PostgreSQL that works for it

So where a process dies is forced, and no matter of luck. It happens once for each Idempotency-Key, and only where the
command comes that far. The folder that BORN names in the environment gets a file with the key, and one with the number
of each worker that is ready.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from django.db import connection

from inventory.project.wsgi import application as served
from tests.concurrency.faulty import PLACES

# Where it lies: behind a statement, or about the COMMIT that ends a movement.
STATEMENTS = {
    "key": "INSERT INTO inventory_rememberedanswer",
    "hold": 'INSERT INTO "inventory_hold" ',
    "movement": 'INSERT INTO "inventory_movement" ',
    "answer": 'UPDATE "inventory_rememberedanswer" ',
}
assert (*STATEMENTS, "commit", "reply") == PLACES


def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
    """The service's own, with what a request asks to end."""
    asked = environ.get("HTTP_X_DIES_AT", "").split()
    if not asked:
        return served(environ, start_response)
    place, whom, kind = [*asked, "self", str(int(signal.SIGKILL))][:3] if len(asked) == 1 else asked
    died = Path(os.environ["BORN"]) / environ["HTTP_IDEMPOTENCY_KEY"]
    moved: list[bool] = []

    def kill() -> None:
        if not died.exists():
            died.touch()
            os.kill(_pid(whom), int(kind))

    def after(execute: Any, sql: str, *rest: Any) -> Any:
        done = execute(sql, *rest)
        if sql.startswith(STATEMENTS["movement"]):
            moved.append(True)
        if place in STATEMENTS and sql.startswith(STATEMENTS[place]):
            kill()
        return done

    commit = connection.commit

    def committing() -> None:
        # Not that of another transaction of the same request, which comes before or after.
        writes = bool(moved)
        moved.clear()
        if place == "commit" and writes:
            kill()
        commit()
        if place == "reply" and writes:
            kill()

    setattr(connection, "commit", committing)  # noqa: B010  # what atomic() calls at its end
    try:
        with connection.execute_wrapper(after):
            return served(environ, start_response)
    finally:
        delattr(connection, "commit")


def _pid(whom: str) -> int:
    if whom == "self":
        return os.getpid()
    if whom == "backend":
        return int(connection.connection.info.backend_pid)
    return int(whom)


(Path(os.environ["BORN"]) / str(os.getpid())).touch()
