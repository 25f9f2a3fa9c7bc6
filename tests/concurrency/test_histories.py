"""Clients write down every command and what they were told, through a network that loses, doubles and delays, while
workers are killed. What they wrote down must have one serial explanation that ends at the shelf as it is."""

from __future__ import annotations

import itertools
import random
import threading
from collections import Counter
from dataclasses import dataclass, field

import pytest

from inventory.holds.selectors import held_faults
from inventory.stock import replay
from inventory.stock.models import Balance
from tests import factories, people
from tests.concurrency.faulty import Faulty, Lost, Reply, Request
from tests.concurrency.histories import GIVEN_BACK, NOT_KNOWN, REFUSED, TAKEN, Call, explained
from tests.concurrency.workers import service

# --- the checker itself


@pytest.mark.parametrize(
    ("calls", "left", "explainable"),
    [
        # Two of three pieces twice: one is told no.
        ([Call(2, 0, TAKEN, 1), Call(2, 2, REFUSED, 3)], 1, True),
        # Both were told yes: no shelf of three explains it.
        ([Call(2, 0, TAKEN, 1), Call(2, 2, TAKEN, 3)], None, False),
        # No, although everything was free before and after.
        ([Call(2, 0, REFUSED, 1)], 3, False),
        # The refused one met the other between its beginning and its end, the given back came later.
        ([Call(2, 0, REFUSED, 5), Call(2, 1, TAKEN, 2), Call(-2, 3, GIVEN_BACK, 4)], 3, True),
        # ... and not when it had ended before.
        ([Call(2, 0, REFUSED, 1), Call(2, 2, TAKEN, 3), Call(-2, 4, GIVEN_BACK, 5)], 3, False),
        # Nobody knows: it may have been done, or not.
        ([Call(2, 0, NOT_KNOWN)], 1, True),
        ([Call(2, 0, NOT_KNOWN)], 3, True),
        ([Call(2, 0, NOT_KNOWN)], 2, False),
        # Told no, then two pieces are gone that nobody was told of: a late twin of the refused command.
        ([Call(3, 0, TAKEN, 1), Call(2, 2, REFUSED, 3), Call(-3, 4, GIVEN_BACK, 5)], 1, False),
        # A command whose answer never came took effect long after its sender had given up on it.
        ([Call(2, 0, NOT_KNOWN), Call(3, 1, TAKEN, 2), Call(-3, 3, GIVEN_BACK, 4)], 1, True),
    ],
)
def test_the_checker_tells_what_a_shelf_of_three_pieces_explains(
    calls: list[Call], left: int | None, explainable: bool
) -> None:
    assert (explained(calls, free=3, left=left) is not None) is explainable


def test_the_checker_agrees_with_trying_every_order() -> None:
    draw, found = random.Random(7), Counter[bool]()
    for _ in range(1500):
        calls = []
        for _ in range(draw.randint(1, 5)):
            told = draw.choice([TAKEN, REFUSED, GIVEN_BACK, NOT_KNOWN])
            began = draw.randint(0, 6)
            pieces = -draw.randint(1, 2) if told == GIVEN_BACK else draw.randint(1, 3)
            calls.append(Call(pieces, began, told, *([] if told == NOT_KNOWN else [began + draw.randint(1, 4)])))
        left = draw.randint(0, 4)
        mine = explained(calls, free=3, left=left) is not None
        assert mine is by_force(calls, 3, left), (calls, left)
        found[mine] += 1
    assert min(found.values()) > 100


def by_force(calls: list[Call], free: int, left: int) -> bool:
    """Every subset of the unanswered, in every order."""
    unknown = [call for call in calls if call.told == NOT_KNOWN]
    known = [call for call in calls if call.told != NOT_KNOWN]
    for count in range(len(unknown) + 1):
        for some in itertools.combinations(unknown, count):
            if any(_holds(order, free, left) for order in itertools.permutations([*known, *some])):
                return True
    return False


def _holds(order: tuple[Call, ...], now: int, left: int) -> bool:
    for place, call in enumerate(order):
        if any(later.ended < call.began for later in order[place + 1 :]):
            return False
        if (call.pieces <= now) is (call.told == REFUSED):
            return False
        now -= 0 if call.told == REFUSED else call.pieces
    return now == left


# --- the service


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
    calls: list[Call] = field(default_factory=list)
    mine: list[tuple[str, int]] = field(default_factory=list)
    replayed: int = 0

    def shop(self, commands: int) -> None:
        for number in range(commands):
            if self.mine and self.draw.random() < 0.4:
                self.give_back(f"{self.name}-{number}", *self.mine.pop())
            else:
                self.hold(f"{self.name}-{number}", self.draw.randint(1, 5))

    def hold(self, key: str, pieces: int) -> None:
        body = {"lines": [{"part": "S-1", "quantity": pieces}]}
        began, reply = self.clock.tick(), self._told(Request(key, "/holds", body, self.secret))
        if reply is None:
            self.calls.append(Call(pieces, began, NOT_KNOWN))
            return
        assert reply.status == 201 or reply.body["code"] == "out_of_stock", reply
        self.calls.append(Call(pieces, began, TAKEN if reply.status == 201 else REFUSED, self.clock.tick()))
        if reply.status == 201:
            self.mine.append((reply.body["id"], pieces))

    def give_back(self, key: str, hold: str, pieces: int) -> None:
        began, reply = self.clock.tick(), self._told(Request(key, f"/holds/{hold}/release", {}, self.secret))
        if reply is None:
            self.calls.append(Call(-pieces, began, NOT_KNOWN))
            return
        assert reply.status == 200, reply
        self.calls.append(Call(-pieces, began, GIVEN_BACK, self.clock.tick()))

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


@pytest.mark.race
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("seed", [1, 2])
def test_what_clients_were_told_has_one_serial_explanation(database_url: str, seed: int) -> None:
    secrets = [people.key_of(people.storefront()), people.key_of(people.outsider())]
    factories.stocked(factories.shim(number="S-1"), 8)
    clock, draw = Clock(), random.Random(seed)
    with service(database_url, workers=2) as served:
        network = Faulty(lambda: served.address, seed)
        shoppers = [
            Shopper(f"{seed}-{number}", network, clock, secrets[number % 2], random.Random(draw.random()))
            for number in range(4)
        ]
        threads = [threading.Thread(target=one.shop, args=[12]) for one in shoppers]
        for thread in threads:
            thread.start()
        # Kills fall at places of the history, not of the clock on the wall.
        for place in range(20, 60, 20):
            while clock.now < place and any(thread.is_alive() for thread in threads):
                threads[0].join(0.01)
            served.kill_one(draw.randrange(2))
        for thread in threads:
            thread.join()
        network.release()
    calls = [call for one in shoppers for call in one.calls]
    left = sum(balance.on_hand - balance.held for balance in Balance.objects.all())
    assert len(calls) == 48 and {TAKEN, REFUSED, GIVEN_BACK} <= {call.told for call in calls}
    assert {"lost", "reply lost", "twice", "kept back"} <= set(network.faults)
    assert sum(one.replayed for one in shoppers) > 0
    assert explained(calls, free=8, left=left) is not None, (calls, left)
    assert replay.faults() == [] and held_faults() == []
