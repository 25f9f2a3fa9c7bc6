"""One stand-in for each of several positions: every combination that keeps within its rooms, best first."""

from __future__ import annotations

import heapq
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from operator import add
from typing import NamedTuple

from compat.engineering.plans.offers import Loads, Offers


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

    lists: for every position its (change, load) pairs, each lighter than all with a smaller change. The least worst
    change w is the first at which the lightest stand-ins up to w fit together; the least sum comes from the front of
    (load, sum) pairs of which none is both heavier and worse than another.
    """

    def __init__(self, pairs: Sequence[tuple[int, int]], after: _Bound | None) -> None:
        self._lists: list[Sequence[tuple[int, int]]] = [pairs, *(after._lists if after else [])]
        ppms = [[ppm for ppm, _ in pairs] for pairs in self._lists]
        first = max(own[0] for own in ppms)
        self._changes = sorted({ppm for own in ppms for ppm in own if ppm >= first})
        # negated, so that the list rises and can be searched
        self._lightness = [
            -sum(pairs[bisect_right(own, ppm) - 1][1] for own, pairs in zip(ppms, self._lists, strict=True))
            for ppm in self._changes
        ]
        front: list[tuple[int, int]] = after._front if after else [(0, 0)]
        joined = [(load + more, ppm + worse) for load, ppm in front for worse, more in pairs]
        self._front: list[tuple[int, int]] = _front(joined)
        self._front_loads = [load for load, _ in self._front]

    def least(self, room: int) -> tuple[int, int] | None:
        """(worst, sum) at least; None where nothing fits."""
        at = bisect_left(self._lightness, -room)
        if at == len(self._lightness):
            return None
        return self._changes[at], self._front[bisect_right(self._front_loads, room) - 1][1]


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


_Queue = list[tuple[int, int, _Node]]


class _View:
    """The offers up to one ceiling of change: what a node can end with at least."""

    def __init__(self, offers: Sequence[Offers], rooms: Loads, ceilings: Sequence[int], level: int) -> None:
        self._offers, self._rooms, self.ceiling = offers, rooms, ceilings[level]
        self._last = level == len(ceilings) - 1
        self.ends = [offer.end(level) for offer in offers]
        self.empty = not all(self.ends)
        if self.empty:
            return
        self._worst_after, self.sum_after = [0], [0]
        self._bounds: list[list[_Bound]] = [[]]
        for offer in reversed(offers):
            self._worst_after.append(max(self._worst_after[-1], offer.ppm[0]))
            self.sum_after.append(self.sum_after[-1] + offer.ppm[0])
            after: Sequence[_Bound | None] = self._bounds[-1] or [None] * len(rooms)
            self._bounds.append([_Bound(offer.light(level, room), bound) for room, bound in enumerate(after)])
        for table in (self._worst_after, self.sum_after, self._bounds):
            table.reverse()

    def queue(self, nodes: Iterable[_Node]) -> _Queue:
        queue = [(*least, node) for node in nodes if (least := self.least(node)) is not None]
        heapq.heapify(queue)
        return queue

    def least(self, node: _Node) -> tuple[int, int] | None:
        """(worst, sum) that the node ends with at least, in that order; None where it comes to nothing.

        What needs offers above the ceiling waits just above it.
        """
        depth = len(node.ranks)
        worst, total = max(node.worst, self._worst_after[depth]), node.total + self.sum_after[depth]
        if depth == len(self._offers):
            fits = all(used <= room for used, room in zip(node.used, self._rooms, strict=True))
            return (worst, total) if fits else None
        later = None if self._last else (self.ceiling + 1, total)
        if node.next_rank >= self.ends[depth]:
            return later
        for room, used, bound in zip(self._rooms, node.used, self._bounds[depth], strict=True):
            rest = bound.least(room - used)
            if rest is None:
                return later
            worst, total = max(worst, rest[0]), max(total, node.total + rest[1])
        ppm = self._offers[depth].ppm[node.next_rank]
        return max(worst, ppm), max(total, node.total + ppm + self.sum_after[depth + 1])


def picks(offers: Sequence[Offers], rooms: Loads, ceilings: Sequence[int], budget: Budget) -> Iterator[Pick]:
    """Combinations in the order of (worst change, sum of changes, ranks).

    ceilings: where the bands of change of the offers end. Best first over the positions in turn: every node waits
    under the least that it can end with. The next band is listed when nothing is left that ends below its ceiling.
    """
    queue: _Queue = []
    nodes = [_Node((), 0, 0, (0,) * len(rooms), 0)]
    for level in range(len(ceilings)):
        view = _View(offers, rooms, ceilings, level)
        if view.empty:
            continue
        queue = view.queue(nodes)
        while queue and queue[0][0] <= view.ceiling and not budget.spent:
            worst, total, node = heapq.heappop(queue)
            depth = len(node.ranks)
            if depth == len(offers):
                yield Pick(node.worst, node.total, node.ranks)
                continue
            budget.step()
            offer, rank = offers[depth], node.next_rank
            ppm = offer.ppm[rank]
            used = tuple(map(add, node.used, offer.loads[rank]))
            child = _Node((*node.ranks, rank), max(node.worst, ppm), node.total + ppm, used, 0)
            reach = view.least(child)
            if reach is not None:
                heapq.heappush(queue, (*reach, child))
            sibling = _Node(node.ranks, node.worst, node.total, node.used, rank + 1)
            if rank + 1 < view.ends[depth]:
                following = offer.ppm[rank + 1]
                later = max(total, node.total + following + view.sum_after[depth + 1])
                heapq.heappush(queue, (max(worst, following), later, sibling))
            elif (reach := view.least(sibling)) is not None:
                heapq.heappush(queue, (*reach, sibling))
        if not queue or budget.spent:
            return
        nodes = [node for _, _, node in queue]
