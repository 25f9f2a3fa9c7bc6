"""The service as it runs in earnest: gunicorn with several workers in processes of their own, which can be killed."""

from __future__ import annotations

import contextlib
import http.client
import os
import secrets
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
HOST = "127.0.0.1"
PATIENCE_S = 60.0


@dataclass(frozen=True, slots=True)
class Service:
    """A running service: where it listens, and the process that keeps its workers."""

    address: tuple[str, int]
    keeper: int

    def workers(self) -> list[int]:
        """The processes of its workers."""
        return [int(one) for one in Path(f"/proc/{self.keeper}/task/{self.keeper}/children").read_text().split()]

    def kill_one(self, which: int) -> None:
        """Kills one of the workers as a power cut would; the keeper starts another."""
        if found := self.workers():
            with contextlib.suppress(ProcessLookupError):
                os.kill(found[which % len(found)], signal.SIGKILL)


@dataclass(frozen=True, slots=True)
class Born:
    """Which workers of a service of tests/concurrency/dying.py are ready; `folder` is the BORN of its environment."""

    service: Service
    folder: Path

    def wait_for(self, count: int) -> None:
        """Returns once so many workers are ready to serve."""
        until = time.monotonic() + PATIENCE_S
        while sum((self.folder / str(one)).exists() for one in self.service.workers()) < count:
            assert time.monotonic() < until, "the keeper of the workers starts no other"
            time.sleep(0.02)


@contextlib.contextmanager
def service(
    url: str,
    workers: int = 3,
    *,
    application: str = "inventory.project.wsgi",
    environment: Mapping[str, str] | None = None,
) -> Iterator[Service]:
    """Serves the database at `url` until the block is left. Raises AssertionError with what is said where it refuses.

    `environment` is what else its workers find there; nobody is told to ask less often.
    """
    with socket.socket() as free:
        free.bind((HOST, 0))
        port = free.getsockname()[1]
    theirs = {**os.environ, "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "inventory.project.settings"}
    theirs |= {"SHIMSHELF_REQUESTS_PER_MINUTE": "100000000", **(environment or {})}
    theirs.setdefault("SHIMSHELF_SECRET_KEY", secrets.token_urlsafe(50))
    words = ["--workers", str(workers), "--bind", f"{HOST}:{port}", "--log-level", "critical"]
    command = [sys.executable, "-m", "gunicorn", application, *words]
    # A file and no pipe, which nobody empties: a worker that has much to say would stand still.
    with tempfile.TemporaryFile("w+") as said:
        process = subprocess.Popen(command, cwd=ROOT, env=theirs, stderr=said)
        try:
            if not _answers(process, (HOST, port)):
                said.seek(0)
                raise AssertionError(said.read() or "the service did not begin to answer")
            yield Service((HOST, port), process.pid)
        finally:
            process.terminate()
            process.wait(timeout=PATIENCE_S)


def _answers(process: subprocess.Popen[bytes], address: tuple[str, int]) -> bool:
    """Whether it begins to answer; it may end instead."""
    until = time.monotonic() + PATIENCE_S
    while process.poll() is None and time.monotonic() < until:
        connection = http.client.HTTPConnection(*address, timeout=PATIENCE_S)
        with contextlib.closing(connection), contextlib.suppress(OSError, http.client.HTTPException):
            connection.request("GET", "/api/v1/schema")
            connection.getresponse().read()
            return True
        time.sleep(0.05)
    return False
