"""A copy made among 8 writers and put back, as docs/howto says: what was answered before the copy is there, and a
storefront whose cursor is ahead of it is told so and shows what is there once it has read anew."""

from __future__ import annotations

import contextlib
import time

from tests import snapshots
from tests.benchmarks.figures import Figure
from tests.concurrency.faulty import Lost
from tests.concurrency.workers import service
from tests.endurance.kills import none_of
from tests.endurance.places import Postgresql, place
from tests.endurance.shops import (
    LONGEST_S,
    Follower,
    Keys,
    Told,
    Writers,
    explained_movements,
    faults_of,
    feed_faults,
    keys_of,
    listed,
    stock,
)
from tests.endurance.upgrades import STARTS_TOO_EARLY, migrated, refusal_of

COUNTS_FROM_BELOW = "would come before old ones in the feed"
# So often a service that nobody has stopped says 503 before it is stopped.
LATE = 8
# A hold that is gone is not found.
REFUSALS = ("out_of_stock", "not_found")


def run(engine: str, *, writes: int, seed: int = 1) -> list[Figure]:
    """The copy goes where the database was; on PostgreSQL also into a new server, which counts from the beginning."""
    found = _run(engine, writes, seed, anew=False)
    return found if engine == "sqlite" else [*found, *_run(engine, writes, seed + 1, anew=True)]


def _run(engine: str, writes: int, seed: int, *, anew: bool) -> list[Figure]:
    name = "in a new server" if anew else "in its place"
    listening: list[tuple[str, int]] = []

    def served() -> tuple[str, int] | None:
        return listening[0] if listening else None

    with contextlib.ExitStack() as stack:
        where = stack.enter_context(place(engine))
        url = where.fresh("workshop")
        snapshots.manage(url, "migrate", "--verbosity", "0")
        snapshots.manage(url, "person", "runa", "--role", "clerk", "--no-password")
        keys = keys_of(url)
        first = contextlib.ExitStack()
        stack.callback(first.close)
        listening.append(first.enter_context(service(url)).address)
        writers = Writers(served, keys, seed, stock(listening[0], keys))
        shop = Follower(served, keys.storefront, shows={})
        with writers:
            with shop:
                writers.until(writes)
                began = writers.tick()
                copy = where.copy(url)
                writers.until(writes)
            # It has read on behind the copy.
            shop.catch_up()
            if not anew:
                where.away(url)
                late = refusals(writers)
            listening.clear()
            first.close()
            stopped = writers.tick()
            url = where.another("workshop") if anew and isinstance(where, Postgresql) else url
            early = [refusal_of(url)]
            where.put_back(copy, url)
            migrated(url)
            early += [refusal_of(url)] if anew else []
            writers.forget()
            snapshots.manage(url, "after_restore", "--person", "runa", "--reason", "endurance")
            explained_movements(url)
            second = stack.enter_context(service(url))
            listening.append(second.address)
            told_anew = reads_anew(shop, keys)
            with shop:
                writers.until(writes)
        shop.rest()
        wrong = [
            f"{part['number']}: a storefront shows {shop.shows and shop.shows.get(part['number'])}, there {part}"
            for part in listed(second.address, "/parts", keys.clerk)
            if (shop.shows or {}).get(part["number"]) != part["available"]
        ]
        follower = Follower(served, keys.storefront)
        wrong += feed_faults(follower, url, second.address, keys)
        kept = [one for one in writers.told if one.ended <= began or one.ended > stopped]
        loose = [one for one in writers.told if began < one.ended <= stopped]
        wrong += faults_of(
            settled(kept, loose), second.address, keys, alone=False, refusals=("out_of_stock", "not_found")
        )
    refused = [STARTS_TOO_EARLY in early[0], *(COUNTS_FROM_BELOW in one for one in early[1:])]
    return [
        Figure(f"{name}: a service too early refuses", float(all(refused)), "", "1", all(refused)),
        *([] if anew else [Figure("a service not stopped: answers 503", late, "", f"at least {LATE}", late >= LATE)]),
        Figure(f"{name}: a cursor ahead is 410", float(told_anew), "", "1", told_anew),
        Figure(f"{name}: answered before the copy, or after", len(kept), "", "printed", True),
        Figure(f"{name}: answered in between", len(loose), "", "printed", True),
        *none_of(f"{name}: answers 500", writers.errors),
        *none_of(f"{name}: lost, half or twice, or not seen", wrong),
    ]


def refusals(writers: Writers) -> int:
    """How often a service that nobody stopped says 503 before it is stopped; by then it must have said it."""
    before, end = writers.statuses[503], time.monotonic() + LONGEST_S
    while writers.statuses[503] < before + LATE and not writers.errors:
        assert time.monotonic() < end
        time.sleep(0.01)
    return writers.statuses[503] - before


def reads_anew(shop: Follower, keys: Keys) -> bool:
    """What a storefront does that is told of the restore; whether it was."""
    with contextlib.suppress(Lost):
        shop.page()
    address = shop.served()
    assert address is not None
    if shop.refused is None or shop.refused.status != 410 or shop.refused.body["code"] != "shelf_restored":
        return False
    shop.cursor = shop.refused.body["data"]["next"]
    shop.shows = {part["number"]: part["available"] for part in listed(address, "/parts", keys.storefront)}
    shop.refused = None
    return True


def settled(kept: list[Told], loose: list[Told]) -> list[Told]:
    """Those whose holds nobody touched in between: what became of the others depends on when the copy was made."""
    touched = {hold_of(one) for one in loose}
    return [one for one in kept if hold_of(one) not in touched]


def hold_of(one: Told) -> str:
    """The hold that a command made or went on with; empty where it has none."""
    if one.request.path == "/holds":
        return str(one.reply.body["id"]) if one.reply.status == 201 else ""
    return one.request.path.split("/")[2] if one.request.path.startswith("/holds/") else "no hold"
