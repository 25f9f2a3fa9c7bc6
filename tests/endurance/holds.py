"""Clients that want the same few pieces, through a network that loses, doubles and delays, while workers are killed.

What they were told must have one serial explanation that ends at the shelf as it is.
"""

from __future__ import annotations

import random
import threading
import time
from collections import Counter

from tests import snapshots
from tests.benchmarks.figures import Figure
from tests.concurrency.faulty import Faulty
from tests.concurrency.histories import explained
from tests.concurrency.shoppers import Clock, Shopper
from tests.concurrency.workers import Service, service
from tests.endurance.places import place
from tests.endurance.shops import Keys, explained_movements, keys_of, listed, stock

SHOPPERS = 8
PIECES = 12
WORKERS = 3
# As often is a command sent until it is left without an answer, and asked for again at the end.
TRIES = 200
# A worker is killed after so many places of the history (two for each command).
KILLED_EVERY = 1_000


def run(
    engine: str, *, holds: int, kill_every: int = KILLED_EVERY, seed: int = 1, until: float = float("inf")
) -> list[Figure]:
    """So many commands by 8 clients for 12 pieces. It ends early at `until`, by time.monotonic()."""
    with place(engine) as where:
        url = where.fresh("workshop")
        snapshots.manage(url, "migrate", "--verbosity", "0")
        keys = keys_of(url)
        with service(url, WORKERS) as served:
            stock(served.address, keys, parts=1, pieces=PIECES)
            started = time.monotonic()
            network = Faulty(lambda: served.address, seed)
            shoppers, kills = shopped(served, network, keys, holds, kill_every, seed, until)
            seconds = time.monotonic() - started
            network.release()
            for one in shoppers:
                one.ask_again()
            movements = explained_movements(url)
            (part,) = listed(served.address, "/parts", keys.clerk)
    calls = [call for one in shoppers for call in one.calls]
    told = Counter(call.told for call in calls)
    began = time.monotonic()
    order = explained(calls, free=PIECES, left=part["available"])
    looked = time.monotonic() - began
    mine = sum(pieces for one in shoppers for _, pieces in one.mine)
    return [
        Figure("commands answered", len(calls), "", f"{holds}", len(calls) == holds),
        Figure("seconds for them", round(seconds, 1), "s", "printed", True),
        *(Figure(f"told: {word}", count, "", "printed", True) for word, count in sorted(told.items())),
        *(Figure(f"fault: {word}", count, "", "printed", True) for word, count in sorted(network.faults.items())),
        Figure("workers killed", kills, "times", "printed", True),
        Figure("seconds to look through the history", round(looked, 1), "s", "printed", True),
        Figure("calls put in one order", len(order or ()), "", f"{len(calls)}", order is not None),
        Figure("pieces held, of those answered", part["held"] - mine, "difference", "0", part["held"] == mine),
        Figure("movements", movements, "", f"1 and {told['taken'] + told['given back']}",
               movements == 1 + told["taken"] + told["given back"]),
    ]  # fmt: skip


def shopped(
    served: Service, network: Faulty, keys: Keys, holds: int, kill_every: int, seed: int, until: float
) -> tuple[list[Shopper], int]:
    """The clients with their histories, and how often a worker was killed."""
    clock, draw = Clock(), random.Random(seed)
    shoppers = [
        Shopper(f"{seed}-{number}", network, clock, keys.storefront, random.Random(draw.random()), TRIES)
        for number in range(SHOPPERS)
    ]
    errors: list[BaseException] = []

    def shop(one: Shopper, number: int) -> None:
        try:
            one.shop(holds // SHOPPERS + (number < holds % SHOPPERS), until)
        except BaseException as error:
            errors.append(error)

    threads = [threading.Thread(target=shop, args=[one, number]) for number, one in enumerate(shoppers)]
    for thread in threads:
        thread.start()
    kills, at = 0, kill_every
    while any(thread.is_alive() for thread in threads):
        if clock.now >= at:
            # At a place of the history, not of the clock on the wall.
            served.kill_one(draw.randrange(WORKERS))
            kills, at = kills + 1, at + kill_every
        next(thread for thread in threads if thread.is_alive() or thread is threads[-1]).join(0.01)
    if errors:
        raise errors[0]
    return shoppers, kills
