"""A connection between clients and the service that loses, doubles and delays, by a seed.

Every request may be lost on its way in, be passed on and have its reply lost, be passed on twice at once, or be kept
back and passed on after its sender has given up on it. What is kept back is passed on at the latest by `release`.
"""

from __future__ import annotations

import contextlib
import http.client
import json
import random
import threading
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


class Lost(Exception):
    """No reply came."""


# More than these are not kept back at once: where more are, one goes first.
MOST_KEPT = 40


# Where in its own write the process that serves a request can end, in their order (tests/concurrency/dying.py).
PLACES = ("key", "hold", "movement", "answer", "commit", "reply")


@dataclass(frozen=True, slots=True)
class Reply:
    status: int
    body: Any
    replayed: bool


@dataclass(frozen=True, slots=True)
class Request:
    key: str
    path: str
    body: Any
    secret: str
    # Where the process that serves it ends; nowhere when it is empty.
    dies_at: str = ""


def send(address: tuple[str, int], request: Request) -> Reply:
    """Sends a request straight to the service. Raises Lost where no whole reply came back."""
    connection = http.client.HTTPConnection(*address, timeout=30)
    headers = {
        "Authorization": f"Bearer {request.secret}",
        "Content-Type": "application/json",
        "Idempotency-Key": request.key,
        **({"X-Dies-At": request.dies_at} if request.dies_at else {}),
    }
    try:
        connection.request("POST", f"/api/v1{request.path}", json.dumps(request.body), headers)
        answer = connection.getresponse()
        body = json.loads(answer.read() or b"null")
        return Reply(answer.status, body, answer.headers.get("Idempotency-Replayed") == "true")
    except (OSError, http.client.HTTPException, ValueError) as error:
        raise Lost from error
    finally:
        connection.close()


class Faulty:
    """The faults of one run. `send` is what a client has for a network."""

    def __init__(self, address: Callable[[], tuple[str, int]], seed: int) -> None:
        self.address, self.draw = address, random.Random(seed)
        self.kept: list[Request] = []
        self.lock = threading.Lock()
        self.faults: Counter[str] = Counter()

    def send(self, request: Request) -> Reply:
        with self.lock:
            fault = self.draw.choices(
                ["none", "lost", "reply lost", "twice", "kept back", "one kept back goes first"], [4, 2, 3, 2, 5, 4]
            )[0]
            if fault == "kept back" and len(self.kept) >= MOST_KEPT:
                fault = "one kept back goes first"
            self.faults[fault] += 1
            early = self.kept.pop(self.draw.randrange(len(self.kept))) if fault[:3] == "one" and self.kept else None
            if fault == "kept back":
                self.kept.append(request)
        if fault in {"lost", "kept back"}:
            raise Lost
        if early is not None:
            self._pass_on(early)
        if fault == "twice":
            twin = threading.Thread(target=self._pass_on, args=[request])
            twin.start()
            try:
                return send(self.address(), request)
            finally:
                twin.join()
        reply = send(self.address(), request)
        if fault == "reply lost":
            raise Lost
        return reply

    def release(self) -> None:
        """Passes on all that was kept back; nobody waits for the replies any more."""
        while self.kept:
            self._pass_on(self.kept.pop())

    def _pass_on(self, request: Request) -> None:
        with contextlib.suppress(Lost):
            send(self.address(), request)
