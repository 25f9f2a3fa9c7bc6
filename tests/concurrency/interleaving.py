"""Several actors on one database, each stepping only when it is told: an interleaving is forced, never hoped for.

An actor is a function that calls pause() wherever somebody else may come between. It runs in a thread with a
connection of its own. Whoever would wait for a lock is seen to wait, by the database's own word: PostgreSQL says who
blocks whom, and SQLite, told not to wait, says that it is locked. No clock decides anything.
"""

from __future__ import annotations

import itertools
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import OperationalError, connection, connections

from inventory.common.database_trouble import is_busy

Work = Callable[[], Any]
# An actor that is told on and on without an end is a fault of the test.
MOST_TRIES = 50
LONGEST_S = 30.0
_here = threading.local()


def pause() -> None:
    """The end of an actor's step: it goes on at the next word. Nothing in a thread that is no actor."""
    actor: Actor | None = getattr(_here, "actor", None)
    if actor is not None:
        actor.done.set()
        actor.go.acquire()


def name_here() -> str:
    """The name of the actor that asks."""
    actor: Actor = _here.actor
    return actor.name


def wait_a_turn(seconds: float) -> None:
    """What use_case() does instead of waiting before it tries again: the end of a step, noted as busy."""
    actor: Actor | None = getattr(_here, "actor", None)
    assert actor is not None, "only an actor waits in these tests"
    actor.so_far.busy.append("use_case() tries again")
    pause()


@dataclass
class Ended:
    """How an actor ended: what it gave or the error, and each time that it had to begin anew because of a lock."""

    gave: Any = None
    error: BaseException | None = None
    busy: list[str] = field(default_factory=list)


class Actor:
    """A thread that does one step of its work at a word."""

    def __init__(self, name: str, work: Work, *, again: bool = True) -> None:
        self.name, self.work, self.again = name, work, again
        self.ended: Ended | None = None
        self.so_far = Ended()
        self.backend: int | None = None
        self.go, self.done, self.over = threading.Semaphore(0), threading.Event(), threading.Event()
        self.done.set()
        self.ready = threading.Event()
        self.thread = threading.Thread(target=self._live, name=name, daemon=True)

    def tell(self) -> None:
        """Lets it do its next step; it must not be in the middle of one."""
        assert self.done.is_set()
        self.done.clear()
        self.go.release()

    def waits(self) -> bool:
        """Whether it waits for somebody's lock at this moment, as PostgreSQL says; SQLite's never wait."""
        if self.backend is None:
            return False
        with connection.cursor() as cursor:
            cursor.execute("SELECT cardinality(pg_blocking_pids(%s)) > 0", [self.backend])
            return bool(cursor.fetchone()[0])

    def settle(self) -> None:
        """Returns once its step is over, or it waits for a lock."""
        for _ in itertools.takewhile(lambda tries: tries < LONGEST_S / 0.005, itertools.count()):
            if self.done.wait(0.005) or self.waits():
                return
        raise AssertionError(f"{self.name} neither ends its step nor waits for a lock")

    def _live(self) -> None:
        _here.actor = self
        try:
            connection.ensure_connection()
            with connection.cursor() as cursor:
                if connection.vendor == "sqlite":
                    cursor.execute("PRAGMA busy_timeout = 0")
                else:
                    cursor.execute("SELECT pg_backend_pid()")
                    self.backend = cursor.fetchone()[0]
            self.ready.set()
            while self.ended is None:
                self._once()
        finally:
            self.ready.set()
            connections.close_all()
            self.over.set()
            self.done.set()

    def _once(self) -> None:
        """The work from its beginning to its end, or to a lock that it does not get."""
        self.go.acquire()
        try:
            self.ended = Ended(self.work(), None, self.so_far.busy)
        except OperationalError as error:
            if not is_busy(error) or not self.again or len(self.so_far.busy) >= MOST_TRIES:
                self.ended = Ended(None, error, self.so_far.busy)
                return
            self.so_far.busy.append(str(error).strip())
            self.done.set()
        except Exception as error:
            self.ended = Ended(None, error, self.so_far.busy)


def run(order: Sequence[str], actors: dict[str, Work], *, again: bool = True) -> dict[str, Ended]:
    """Runs the actors in the order of steps, {name: how it ended}.

    A word to an actor that has ended or waits is lost; whoever has steps left after the last word does them, actor by
    actor. With `again` an actor that does not get a lock begins anew, as use_case() does; without, it ends there.
    """
    cast = {name: Actor(name, work, again=again) for name, work in actors.items()}
    for actor in cast.values():
        actor.thread.start()
        assert actor.ready.wait(LONGEST_S)
    try:
        for name in order:
            _word(cast[name], cast)
        for _ in range(MOST_TRIES):
            for actor in cast.values():
                while not actor.over.is_set() and actor.done.is_set():
                    tries = len(actor.so_far.busy)
                    _word(actor, cast)
                    if len(actor.so_far.busy) > tries:
                        # Somebody else has to end first.
                        break
            left = [actor for actor in cast.values() if not actor.over.is_set()]
            if left and not any(actor.done.is_set() for actor in left):
                # All wait for each other: the database ends one of them.
                while not any(actor.done.wait(0.01) for actor in left):
                    assert all(actor.thread.is_alive() for actor in left)
    finally:
        for actor in cast.values():
            actor.again = False
            while not actor.over.is_set():
                actor.go.release()
                actor.over.wait(0.05)
            actor.thread.join(LONGEST_S)
    assert all(actor.ended for actor in cast.values())
    return {name: actor.ended or Ended() for name, actor in cast.items()}


def _word(actor: Actor, cast: dict[str, Actor]) -> None:
    """One step of one actor; and of those whom it frees."""
    if actor.over.is_set() or not actor.done.is_set():
        return
    actor.tell()
    for one in cast.values():
        if not one.over.is_set():
            one.settle()


def orders(**steps: int) -> list[tuple[str, ...]]:
    """Every order in which the actors' steps can follow each other."""

    def those(left: tuple[tuple[str, int], ...]) -> Iterator[tuple[str, ...]]:
        if not any(count for _, count in left):
            yield ()
        for place, (name, count) in enumerate(left):
            if count:
                rest = (*left[:place], (name, count - 1), *left[place + 1 :])
                yield from ((name, *order) for order in those(rest))

    return list(those(tuple(steps.items())))
