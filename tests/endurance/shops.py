"""A stocked shelf, writers who never stop, a storefront that follows the feed, and what must be true afterwards."""

from __future__ import annotations

import contextlib
import http.client
import json
import random
import re
import threading
import time
from collections import Counter
from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

from tests import snapshots
from tests.concurrency.faulty import Lost, Reply, Request, send

WRITERS = 8
PARTS = 3
PIECES = 400
# Between two tries of whoever got no answer.
WAIT_S = 0.02
LONGEST_S = 300.0
# How often a writer does what, and how many holds it keeps at most.
DEEDS = {"hold": 6, "release": 4, "confirm": 1, "take in": 1}
MOST_HELD = 12
PAGE = 200
# Nothing lapses during a run.
MINUTES = 24 * 60
ServedAt = Callable[[], tuple[str, int] | None]


@dataclass(frozen=True, slots=True)
class Keys:
    clerk: str
    storefront: str


@dataclass(frozen=True, slots=True)
class Told:
    """A command that was answered: when it was first sent and answered, by one clock of the run, and how many of its
    tries got no answer."""

    request: Request
    reply: Reply
    began: int
    ended: int
    lost: int


def keys_of(url: str) -> Keys:
    """New keys, made by the command that makes them."""
    clerk, storefront = (
        snapshots.manage(url, "api_key", f"endurance {role}", "--role", role).splitlines()[-1]
        for role in ("clerk", "storefront")
    )
    return Keys(clerk, storefront)


def stock(address: tuple[str, int], keys: Keys, *, parts: int = PARTS, pieces: int = PIECES) -> str:
    """Parts S-1, S-2 ... with so many pieces each; gives the delivery that they came with."""
    delivery = expect(send(address, Request("stock", "/deliveries", {"number": "ENDURE"}, keys.clerk)), 201)["id"]
    for index in range(1, parts + 1):
        sizes = {"od_mm": 20 + index, "thickness_mm": 0.15, "bore_mm": 12}
        part = {"number": f"S-{index}", "kind": "shim", "name": "Shim", "sizes": sizes}
        expect(send(address, Request(f"part {index}", "/parts", part, keys.clerk)), 201)
        line = {"part": f"S-{index}", "lot": f"ENDURE-{index}", "drawer": "A-01", "quantity": pieces}
        expect(send(address, Request(f"lot {index}", f"/deliveries/{delivery}/lines", line, keys.clerk)), 201)
    return str(delivery)


def expect(reply: Reply, status: int) -> Any:
    assert reply.status == status, reply
    return reply.body


def read(address: tuple[str, int], path: str, secret: str) -> Reply:
    """The answer to a GET. Raises Lost where no whole one came back."""
    connection = http.client.HTTPConnection(*address, timeout=30)
    try:
        connection.request("GET", f"/api/v1{path}", headers={"Authorization": f"Bearer {secret}"})
        answer = connection.getresponse()
        return Reply(answer.status, json.loads(answer.read() or b"null"), False)
    except (OSError, http.client.HTTPException, ValueError) as error:
        raise Lost from error
    finally:
        connection.close()


def listed(address: tuple[str, int], path: str, secret: str, filters: str = "") -> list[Any]:
    """Every row of a list that comes in pages."""
    rows: list[Any] = []
    cursor = ""
    while True:
        page = expect(read(address, f"{path}?page_size=200{filters}{cursor}", secret), 200)
        rows += page["results"]
        if not page["next"]:
            return rows
        cursor = f"&cursor={page['next']}"


@dataclass
class Writers:
    """Threads that hold, give back, confirm, take in and count, each command under one key until it is answered.

    `served` gives where the service listens at the moment, or None while it is down.
    """

    served: ServedAt
    keys: Keys
    seed: int
    delivery: str
    count: int = WRITERS
    told: list[Told] = field(default_factory=list)
    statuses: Counter[int] = field(default_factory=Counter)
    errors: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)
    over: threading.Event = field(default_factory=threading.Event)
    clock: int = 0
    # What each may go on with: the holds that it was given.
    mine: dict[int, list[str]] = field(default_factory=dict)

    def forget(self) -> None:
        """The writers forget their holds: after a restore they look which are there, and here they begin anew."""
        for holds in self.mine.values():
            holds.clear()

    def __enter__(self) -> Writers:
        self.threads = [threading.Thread(target=self._write, args=[number]) for number in range(self.count)]
        for thread in self.threads:
            thread.start()
        return self

    def __exit__(self, *error: object) -> None:
        self.over.set()
        for thread in self.threads:
            thread.join()

    def tick(self) -> int:
        with self.lock:
            self.clock += 1
            return self.clock

    def until(self, more: int) -> int:
        """Returns once so many more commands were answered, with the clock; raises where that takes too long."""
        wanted, end = len(self.told) + more, time.monotonic() + LONGEST_S
        while len(self.told) < wanted:
            assert time.monotonic() < end and not self.errors, f"{len(self.told)} of {wanted}: {self.errors}"
            assert any(thread.is_alive() for thread in self.threads)
            time.sleep(0.01)
        return self.tick()

    def ask(self, request: Request) -> Told:
        """Sends a command until it is answered with something else than "later"; a 500 is noted, and sent again."""
        began, lost, end = self.tick(), 0, time.monotonic() + LONGEST_S
        while time.monotonic() < end:
            address = self.served()
            reply = None
            if address is not None:
                with contextlib.suppress(Lost):
                    reply = send(address, request)
                lost += reply is None
            with self.lock:
                self.statuses[reply.status if reply else 0] += 1
                if reply is not None and (reply.status == 500 or ("code" not in reply.body and reply.status > 500)):
                    self.errors.append(f"{request.path}: {reply}")
            if reply is not None and reply.status < 500:
                told = Told(request, reply, began, self.tick(), lost)
                with self.lock:
                    self.told.append(told)
                return told
            time.sleep(WAIT_S)
        raise AssertionError(f"{request} was not answered in {LONGEST_S} s")

    def _write(self, number: int) -> None:
        try:
            self._write_on(number)
        except BaseException as error:
            self.errors.append(f"{type(error).__name__}: {error}")

    def _write_on(self, number: int) -> None:
        draw, mine = random.Random(f"{self.seed}/{number}"), self.mine.setdefault(number, [])
        turn = 0
        while not self.over.is_set():
            turn += 1
            key = f"{self.seed}-{number}-{turn}"
            deed = "release" if len(mine) > MOST_HELD else draw.choices(list(DEEDS), list(DEEDS.values()))[0]
            if deed == "take in":
                part = draw.randint(1, PARTS)
                body = {"part": f"S-{part}", "lot": f"L-{key}", "drawer": f"B-{part}", "quantity": draw.randint(1, 5)}
                self.ask(Request(key, f"/deliveries/{self.delivery}/lines", body, self.keys.clerk))
            elif deed == "hold" or not mine:
                line = {"part": f"S-{draw.randint(1, PARTS)}", "quantity": draw.randint(1, 4)}
                body = {"lines": [line], "minutes": MINUTES}
                reply = self.ask(Request(key, "/holds", body, self.keys.storefront)).reply
                if reply.status == 201:
                    mine.append(reply.body["id"])
            else:
                place = draw.randrange(len(mine))
                hold = mine[place] if deed == "confirm" else mine.pop(place)
                self.ask(Request(key, f"/holds/{hold}/{deed}", {}, self.keys.storefront))


@dataclass
class Follower:
    """A storefront that follows the feed of changes from its beginning, all the time."""

    served: ServedAt
    secret: str
    cursor: str = ""
    # What it would show its buyers, {part: available}, kept as docs/howto/storefront.md says where it is one.
    shows: dict[str, int] | None = None
    seen: list[Any] = field(default_factory=list)
    refused: Reply | None = None
    over: threading.Event = field(default_factory=threading.Event)

    def __enter__(self) -> Follower:
        self.over.clear()
        self.thread = threading.Thread(target=self._follow)
        self.thread.start()
        return self

    def __exit__(self, *error: object) -> None:
        self.over.set()
        self.thread.join()

    def page(self) -> int:
        """Reads on; how much there was."""
        address = self.served()
        if address is None:
            raise Lost
        after = f"&after={quote(self.cursor)}" if self.cursor else ""
        reply = read(address, f"/changes?page_size={PAGE}{after}", self.secret)
        if reply.status != 200:
            if reply.status < 500:
                self.refused = reply
            raise Lost
        if self.shows is not None:
            for number in {row["part"] for row in reply.body["results"]}:
                part = read(address, f"/parts/{number}", self.secret)
                if part.status != 200:
                    raise Lost
                self.shows[number] = part.body["available"]
        self.seen += reply.body["results"]
        self.cursor = reply.body["next"]
        return len(reply.body["results"])

    def rest(self) -> None:
        while self.page():
            pass

    def catch_up(self) -> None:
        """Reads to where the feed is by now, while others write on."""
        while self.page() == PAGE:
            pass

    def _follow(self) -> None:
        while not self.over.is_set() and self.refused is None:
            try:
                if self.page():
                    continue
            except Lost:
                pass
            self.over.wait(0.1)


def explained_movements(url: str) -> int:
    """How many movements `check_ledger` says that the shelf is explained by; raises where it is not true."""
    said = snapshots.manage(url, "check_ledger")
    found = re.match(r"The shelf is true: (\d+) movements", said)
    assert found is not None, said
    return int(found[1])


STATES = {"": "open", "confirm": "confirmed", "release": "released"}


def faults_of(
    told: list[Told],
    address: tuple[str, int],
    keys: Keys,
    *,
    alone: bool = True,
    refusals: Collection[str] = ("out_of_stock",),
) -> list[str]:
    """What the shelf does not say as these answers said it: each hold and delivery line of them is there, once.

    alone: whether they are all that was ever answered, so that nothing else may be there either. refusals: the codes
    that may be among the answers.
    """
    found: list[str] = []
    holds: dict[str, tuple[str, int]] = {}
    lots: dict[str, int] = {}
    for one in sorted(told, key=lambda one: one.ended):
        if one.reply.status == 201 and one.request.path == "/holds":
            pieces = sum(line["quantity"] for line in one.request.body["lines"])
            if one.reply.body["id"] in holds:
                found.append(f"hold {one.reply.body['id']} was the answer to two commands")
            holds[one.reply.body["id"]] = ("open", pieces)
        elif one.reply.status == 201:
            lots[one.request.body["lot"]] = one.request.body["quantity"]
        elif one.reply.status == 200:
            _, _, hold, deed = one.request.path.split("/")
            state = STATES[deed]
            holds[hold] = (state, 0 if state == "released" else holds.get(hold, ("", 0))[1])
        elif one.reply.body["code"] not in refusals:
            found.append(f"{one.request.path} was refused: {one.reply}")
    there = {
        row["id"]: (row["state"], sum(line["quantity"] for line in row["lines"]))
        for row in listed(address, "/holds", keys.storefront)
    }
    for hold, said in holds.items():
        if there.get(hold) != said:
            found.append(f"hold {hold}: answered {said}, there {there.get(hold)}")
    if alone:
        found += [f"hold {hold} is there and was answered to nobody" for hold in there.keys() - holds.keys()]
        mine = [part for part in listed(address, "/parts", keys.clerk) if part["number"].startswith("S-")]
        held = sum(part["held"] for part in mine)
        if held != sum(pieces for _, pieces in holds.values()):
            found.append(f"{held} pieces are held, {sum(pieces for _, pieces in holds.values())} were answered")
    on_hand: Counter[str] = Counter()
    for lot in listed(address, "/lots", keys.clerk):
        on_hand[lot["number"]] = sum(balance["on_hand"] for balance in lot["places"])
    found += [
        f"lot {lot}: {quantity} taken in, {on_hand[lot]} there"
        for lot, quantity in lots.items()
        if on_hand[lot] != quantity
    ]
    return found


def feed_faults(follower: Follower, url: str, address: tuple[str, int], keys: Keys) -> list[str]:
    """What a storefront that followed the feed all the time missed; nothing may run any more.

    Holds that lapsed are given back first: a part counts them as free at once, and the feed tells of it only then.
    """
    snapshots.manage(url, "person", "sweeper", "--role", "clerk", "--no-password")
    snapshots.manage(url, "expire_holds", "--person", "sweeper")
    follower.rest()
    movements = explained_movements(url)
    found = (
        [] if len(follower.seen) == movements else [f"{len(follower.seen)} of {movements} movements were in the feed"]
    )
    free: Counter[str] = Counter()
    for row in follower.seen:
        # A part's own figure is that of its new pieces; take-offs stand apart.
        free[row["part"]] += row["available_delta"] if row["condition"] == "new" else 0
    for part in listed(address, "/parts", keys.clerk):
        if free[part["number"]] != part["available"]:
            found.append(f"{part['number']}: {part['available']} available, {free[part['number']]} by the feed")
    return found
