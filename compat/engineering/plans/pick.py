"""One stand-in for each of several positions: every combination that keeps within its rooms, best first."""

from __future__ import annotations

import heapq
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from itertools import accumulate
from typing import NamedTuple

from compat.engineering.plans.stand_ins import StandIn

Loads = tuple[int, ...]
Offer = tuple[StandIn, Loads]


class Pick(NamedTuple):
    """The worst and the sum of the changes, and the rank of the stand-in of every position."""

    worst_ppm: int
    sum_ppm: int
    ranks: tuple[int, ...]


NO_STAND_INS = Pick(0, 0, ())


class Budget:
    """Steps shared by all searches of one problem."""

    def __init__(self, steps: int) -> None:
        self._left = steps

    @property
    def spent(self) -> bool:
        return self._left <= 0

    def step(self) -> None:
        self._left -= 1


class _Bound:
    """For one room: the least worst change and the least sum that the positions from one on can do with what is left.

    The least worst change w is the first at which the lightest stand-ins up to w fit together; the least sum comes
    from the front of (load, sum) pairs of which none is both heavier and worse than another.
    """

    def __init__(self, lists: Sequence[Sequence[tuple[int, int]]]) -> None:
        changes = sorted({ppm for offers in lists for ppm, _ in offers})
        lightest = [list(accumulate((load for _, load in offers), min)) for offers in lists]
        starts = [[ppm for ppm, _ in offers] for offers in lists]
        first = max((ppms[0] for ppms in starts), default=0)
        self._changes = [ppm for ppm in changes if ppm >= first] or [0]
        # negated, so that the list rises and can be searched
        self._lightness = [
            -sum(loads[bisect_right(ppms, ppm) - 1] for ppms, loads in zip(starts, lightest, strict=True))
            for ppm in self._changes
        ]
        front = [(0, 0)]
        for offers in lists:
            front = _front([(load + more, ppm + worse) for load, ppm in front for worse, more in _light(offers)])
        self._front_loads = [load for load, _ in front]
        self._front_sums = [ppm for _, ppm in front]

    def least(self, room: int) -> tuple[int, int] | None:
        """(worst, sum) at least; None where nothing fits."""
        at = bisect_left(self._lightness, -room)
        if at == len(self._lightness):
            return None
        return self._changes[at], self._front_sums[bisect_right(self._front_loads, room) - 1]


def _light(offers: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """The (change, load) pairs that are lighter than all with a smaller change."""
    least: int | None = None
    for ppm, load in offers:
        if least is None or load < least:
            least = load
            yield ppm, load


def _front(pairs: list[tuple[int, int]]) -> list[tuple[int, int]]:
    front: list[tuple[int, int]] = []
    for load, ppm in sorted(pairs):
        if not front or ppm < front[-1][1]:
            front.append((load, ppm))
    return front


class _Node(NamedTuple):
    """Stand-ins chosen for the first positions; `next_rank` is the first one not yet tried for the one after them."""

    ranks: tuple[int, ...]
    worst: int
    total: int
    used: Loads
    next_rank: int


def picks(
    offers: Sequence[Callable[[int], Offer | None]],
    rooms: Loads,
    budget: Budget,
) -> Iterator[Pick]:
    """Combinations in the order of (worst change, sum of changes).

    offers: for every position a function from rank to its stand-in of that rank with its loads, None after the last;
    ranks are in the order of change. Best first over the positions in turn: every node waits under the least that it
    can end with. Without rooms only the ranks that are needed are read.
    """
    firsts = [offer(0) for offer in offers]
    if any(first is None for first in firsts):
        return
    least = [first[0].ppm for first in firsts if first is not None]
    bounds = _bounds(offers, rooms) if rooms else []

    def bound(node: _Node) -> tuple[int, int] | None:
        depth = len(node.ranks)
        worst, total = max([node.worst, *least[depth:]]), node.total + sum(least[depth:])
        for index, room in enumerate(rooms):
            rest = bounds[depth][index].least(room - node.used[index])
            if rest is None:
                return None
            worst, total = max(worst, rest[0]), max(total, node.total + rest[1])
        return worst, total

    root = _Node((), 0, 0, (0,) * len(rooms), 0)
    start = bound(root)
    queue: list[tuple[int, int, _Node]] = [(*start, root)] if start else []
    while queue and not budget.spent:
        worst, total, node = heapq.heappop(queue)
        depth = len(node.ranks)
        if depth == len(offers):
            yield Pick(node.worst, node.total, node.ranks)
            continue
        budget.step()
        offer = offers[depth](node.next_rank)
        if offer is None:
            continue
        ppm = offer[0].ppm
        used = tuple(used + load for used, load in zip(node.used, offer[1], strict=True))
        child = _Node((*node.ranks, node.next_rank), max(node.worst, ppm), node.total + ppm, used, 0)
        reach = bound(child)
        if reach is not None:
            heapq.heappush(queue, (*reach, child))
        following = offers[depth](node.next_rank + 1)
        if following is not None:
            later = max(total, node.total + following[0].ppm + sum(least[depth + 1 :]))
            heapq.heappush(queue, (max(worst, following[0].ppm), later, node._replace(next_rank=node.next_rank + 1)))


def _bounds(offers: Sequence[Callable[[int], Offer | None]], rooms: Loads) -> list[list[_Bound]]:
    """For every number of positions done and every room the bound of the positions after them."""
    lists: list[list[Offer]] = []
    for offer in offers:
        made: list[Offer] = []
        while (entry := offer(len(made))) is not None:
            made.append(entry)
        lists.append(made)
    return [
        [
            _Bound([[(entry.ppm, loads[index]) for entry, loads in made] for made in lists[depth:]])
            for index in range(len(rooms))
        ]
        for depth in range(len(lists) + 1)
    ]
