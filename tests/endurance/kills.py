"""Workers killed in the middle of their own writes, and PostgreSQL under them, while 8 writers go on.

Nothing that was answered may be lost, and nothing may be half there.
"""

from __future__ import annotations

import itertools
import signal
import tempfile
import threading
import time
from collections import Counter
from pathlib import Path

from tests import snapshots
from tests.benchmarks.figures import Figure
from tests.concurrency.faulty import PLACES, Request
from tests.concurrency.workers import Born, service
from tests.endurance.places import Postgresql, place
from tests.endurance.shops import (
    MINUTES,
    PARTS,
    Follower,
    Told,
    Writers,
    explained_movements,
    faults_of,
    feed_faults,
    keys_of,
    stock,
)

WORKERS = 3
# How PostgreSQL ends: its keeper alone, everything as `pg_ctl stop -m immediate` does it, the process that writes.
SERVER_ENDS = ("keeper killed", "stopped at once", "backend killed")


def run(engine: str, *, kills: int, server_kills: int = 6, seed: int = 1, until: float = float("inf")) -> list[Figure]:
    """So many kills of workers, one place of a command after the other, and on PostgreSQL some of its own processes.

    It ends early at `until`, by time.monotonic().
    """
    deaths: Counter[str] = Counter()
    servers = 0
    with tempfile.TemporaryDirectory() as born, place(engine, durable=True) as where:
        url = where.fresh("workshop")
        snapshots.manage(url, "migrate", "--verbosity", "0")
        keys = keys_of(url)
        dying = {"application": "tests.concurrency.dying:application", "environment": {"BORN": born}}
        with service(url, WORKERS, **dying) as served:  # type: ignore[arg-type]  # words of different types
            delivery = stock(served.address, keys)
            workers = Born(served, Path(born))
            next_end, next_place = itertools.cycle(SERVER_ENDS), itertools.cycle(PLACES)
            writers = Writers(lambda: served.address, keys, seed, delivery)
            follower = Follower(lambda: served.address, keys.storefront)
            with writers, follower:
                writers.until(10)
                for number in range(kills):
                    if time.monotonic() > until or writers.errors:
                        break
                    body = {"lines": [{"part": f"S-{1 + number % PARTS}", "quantity": 1}], "minutes": MINUTES}
                    request = Request(f"deadly-{number}", "/holds", body, keys.storefront)
                    if isinstance(where, Postgresql) and (number + 1) * server_kills // kills > servers:
                        # A worker that begins without a database ends the service.
                        workers.wait_for(WORKERS)
                        servers, how = servers + 1, next(next_end)
                        end_server(where, writers, request, how)
                    else:
                        workers.wait_for(WORKERS - 1)
                        at = next(next_place)
                        how = f"worker: {at}"
                        end_worker(writers, request, at)
                    deaths[how] += (Path(born) / request.key).exists()
                writers.until(10)
            movements = explained_movements(url)
            faults = faults_of(writers.told, served.address, keys) + feed_faults(follower, url, served.address, keys)
    return [
        *(Figure(f"killed, {how}", count, "times", "printed", True) for how, count in sorted(deaths.items())),
        Figure("killed in all", deaths.total(), "times", f"{kills}", deaths.total() == kills),
        Figure("commands answered", len(writers.told), "", "printed", True),
        Figure("tries that got no answer", writers.statuses[0], "", "printed", True),
        Figure("answers 503", writers.statuses[503], "", "printed", True),
        Figure("movements", movements, "", "printed", True),
        *none_of("answers 500", writers.errors),
        *none_of("lost, half or twice", faults),
    ]


def end_worker(writers: Writers, request: Request, at: str) -> None:
    """A command in whose middle its worker dies, and what it is told when it is sent again."""
    told = writers.ask(Request(request.key, request.path, request.body, request.secret, at))
    assert told.reply.status == 201, told
    # Behind the COMMIT it was done by the worker that died, before it by another one.
    assert told.lost and told.reply.replayed is (at == "reply"), told


def end_server(where: Postgresql, writers: Writers, request: Request, how: str) -> None:
    """A command in whose middle, just before its COMMIT, the database's server dies; it is started again."""
    kind = signal.SIGQUIT if how == "stopped at once" else signal.SIGKILL
    whom = "backend" if how == "backend killed" else str(where.keeper())
    deadly = Request(request.key, request.path, request.body, request.secret, f"commit {whom} {int(kind)}")
    told: list[Told] = []
    thread = threading.Thread(target=lambda: told.append(writers.ask(deadly)))
    thread.start()
    if how != "backend killed":
        where.wait_until_gone()
        where.start_again()
    thread.join()
    assert told and told[0].reply.status == 201, told


def none_of(name: str, texts: list[str]) -> list[Figure]:
    """A figure that has to be 0, and the first of what it counts."""
    return [
        Figure(name, len(texts), "", "0", not texts),
        *(Figure(text, 1, "", "never", False) for text in texts[:5]),
    ]
