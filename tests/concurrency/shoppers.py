"""Clients that hold and give back pieces of one part, and write down every command with what they were told of it."""

from __future__ import annotations

import random
import threading
import time
from dataclasses import dataclass, field, replace
from math import inf

from tests.concurrency.faulty import Faulty, Lost, Reply, Request, send
from tests.concurrency.histories import GIVEN_BACK, NOT_KNOWN, REFUSED, TAKEN, Call

PART = "S-1"


@dataclass
class Clock:
    """One order of all that is seen."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    now: int = 0

    def tick(self) -> int:
        with self.lock:
            self.now += 1
            return self.now


@dataclass
class Shopper:
    """One client: holds some pieces and gives some back, each command under its own key, tried until it is answered."""

    name: str
    network: Faulty
    clock: Clock
    secret: str
    draw: random.Random
    tries: int = 5
    # Nothing that is taken lapses while the history is written, however long that takes.
    minutes: int = 24 * 60
    calls: list[Call] = field(default_factory=list)
    mine: list[tuple[str, int]] = field(default_factory=list)
    replayed: int = 0
    unanswered: list[tuple[int, Request]] = field(default_factory=list)

    def shop(self, commands: int, until: float = inf) -> None:
        """So many commands, or those that are begun before `until`, by time.monotonic()."""
        for number in range(commands):
            if time.monotonic() > until:
                return
            if self.mine and self.draw.random() < 0.4:
                self.give_back(f"{self.name}-{number}", *self.mine.pop())
            else:
                self.hold(f"{self.name}-{number}", self.draw.randint(1, 5))

    def hold(self, key: str, pieces: int) -> None:
        body = {"lines": [{"part": PART, "quantity": pieces}], "minutes": self.minutes}
        reply = self._send(Request(key, "/holds", body, self.secret), pieces)
        if reply is not None and reply.status == 201:
            self.mine.append((reply.body["id"], pieces))

    def give_back(self, key: str, hold: str, pieces: int) -> None:
        self._send(Request(key, f"/holds/{hold}/release", {}, self.secret), -pieces)

    def ask_again(self) -> None:
        """Sends what was never answered once more, by a connection that loses nothing: its answer ends the call."""
        for place, request in self.unanswered:
            call, reply = self.calls[place], send(self.network.address(), request)
            self.calls[place] = replace(call, told=_word(reply, call.pieces), ended=self.clock.tick())
        self.unanswered.clear()

    def _send(self, request: Request, pieces: int) -> Reply | None:
        """Sends a command until it is answered, and writes it down; None where no answer came."""
        began, reply = self.clock.tick(), self._told(request)
        if reply is None:
            self.unanswered.append((len(self.calls), request))
            self.calls.append(Call(pieces, began, NOT_KNOWN))
        else:
            self.calls.append(Call(pieces, began, _word(reply, pieces), self.clock.tick()))
        return reply

    def _told(self, request: Request) -> Reply | None:
        """The first answer that is one: done or refused. None after some tries without."""
        for _ in range(self.tries):
            try:
                reply = self.network.send(request)
            except Lost:
                continue
            if reply.status < 500:
                self.replayed += reply.replayed
                return reply
        return None


def _word(reply: Reply, pieces: int) -> str:
    """What an answer says of the pieces that were asked for."""
    if pieces < 0:
        assert reply.status == 200, reply
        return GIVEN_BACK
    assert reply.status == 201 or reply.body["code"] == "out_of_stock", reply
    return TAKEN if reply.status == 201 else REFUSED
