"""Clients write down every command and what they were told, through a network that loses, doubles and delays, while
workers are killed. What they wrote down must have one serial explanation that ends at the shelf as it is."""

from __future__ import annotations

import itertools
import random
import threading
from collections import Counter
from dataclasses import replace
from typing import Any

import pytest

from inventory.holds.selectors import held_faults
from inventory.stock import replay
from inventory.stock.models import Balance
from tests import factories, people
from tests.concurrency.faulty import Faulty
from tests.concurrency.histories import GIVEN_BACK, NOT_KNOWN, REFUSED, TAKEN, Call, explained
from tests.concurrency.shoppers import Clock, Shopper
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


def a_long_history(calls: int, shoppers: int, seed: int) -> tuple[list[Call], int]:
    """What `shoppers` at once are told by a shelf of 12 pieces that does one thing at a time, and what is left."""
    draw, now, told, free = random.Random(seed), 0, list[Call](), 12
    mine: list[list[int]] = [[] for _ in range(shoppers)]
    # (when it began, how many pieces, whether it is done, what was told) of the call that each has under way.
    under_way: dict[int, list[Any]] = {}
    while len(told) < calls:
        now += 1
        one = draw.randrange(shoppers)
        if one not in under_way:
            back = mine[one] and draw.random() < 0.4
            under_way[one] = [now, -mine[one].pop() if back else draw.randint(1, 5), ""]
        elif not under_way[one][2]:
            pieces = under_way[one][1]
            under_way[one][2] = GIVEN_BACK if pieces < 0 else TAKEN if pieces <= free else REFUSED
            free -= 0 if under_way[one][2] == REFUSED else pieces
        else:
            began, pieces, word = under_way.pop(one)
            told.append(Call(pieces, began, word, now))
            if word == TAKEN:
                mine[one].append(pieces)
    done = [one for one in under_way.values() if one[2]]
    return [*told, *(Call(pieces, began, word, now + 1) for began, pieces, word in done)], free


def test_a_history_of_many_thousands_is_looked_through() -> None:
    calls, left = a_long_history(20_000, 8, seed=5)
    order = explained(calls, free=12, left=left)
    assert order is not None and sorted(order) == list(range(len(calls)))
    assert _holds(tuple(calls[index] for index in order), 12, left)


@pytest.mark.parametrize("place", [100, 10_000, 19_900])
def test_one_false_answer_among_many_thousands_is_seen(place: int) -> None:
    calls, left = a_long_history(20_000, 3, seed=5)
    at = next(index for index in range(place, len(calls)) if calls[index].told == REFUSED)
    calls[at] = replace(calls[at], told=TAKEN)
    assert explained(calls, free=12, left=left) is None


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
    first_end_later = list(itertools.accumulate((call.ended for call in reversed(order)), min))[::-1]
    for place, call in enumerate(order):
        if place + 1 < len(order) and first_end_later[place + 1] < call.began:
            return False
        if (call.pieces <= now) is (call.told == REFUSED):
            return False
        now -= 0 if call.told == REFUSED else call.pieces
    return now == left


# --- the service


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
