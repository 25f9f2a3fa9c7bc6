"""The stand-ins of one class of frames - as many missing, as many positions replaced - by their true scores.

It looks through the choices of all sides together, best predicted first, and solves some; what they gave corrects the
predictions before it looks again. It ends when what is left cannot plausibly be better than what was found.
"""

from __future__ import annotations

import heapq
from bisect import bisect_right, insort
from collections.abc import Callable, Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass

from compat.engineering.plans.bent.response import Pieces
from compat.engineering.plans.bent.side_swaps import SideSwaps
from compat.engineering.plans.bent.swaps import Numbers
from compat.engineering.plans.frames import Frame
from compat.engineering.plans.order import in_steps
from compat.engineering.shims import Size

FIRST_LOOK, LOOK = 20, 10  # curves solved before predictions are corrected, and corrected again
CHECKED = 4  # curves after which a look knows by how much its predictions are off
LEAST_MARGIN_PPM = 1_000
ENOUGH = 8  # solved plans that beat every prediction left, before the rest is left unsolved
LEAST_SOLVED = 50  # curves before predictions are trusted so far; plans in the first step of the score need no trust

# a side by its place, with the positions that are replaced there and how many pieces each misses
SideKey = tuple[int, tuple[tuple[str, int], ...]]
# worst and sum of scores, pieces of another diameter, change of height, class, rank by side
_Pair = tuple[int, int, int, int, int, tuple[int, ...]]


@dataclass(frozen=True)
class Joint:
    """Frames that go together, the sides on which they need stand-ins, and the rooms (rooms,) that these share."""

    frames: tuple[Frame, ...]
    sides: tuple[SideKey, ...]
    rooms: Numbers


@dataclass(frozen=True)
class Ranked:
    """Frames with their stand-ins by position key, and the worst and the sum of the sides' scores in whole steps."""

    frames: tuple[Frame, ...]
    shims: Mapping[str, Pieces]
    worst_ppm: int
    sum_ppm: int


class Ranking:
    """Iterates over the choices that keep to the limit, best first. `cut` says that some were left unsolved.

    sides: the choices of every side that the joints name; replaced here as their predictions are corrected.
    left: pieces that may be used, by size. most_pairs: choices that may be judged; `pairs` counts them. spent: asked
    between curves, whether the budget is used up.
    """

    def __init__(
        self,
        joints: Sequence[Joint],
        sides: MutableMapping[SideKey, SideSwaps],
        left: Mapping[Size, int],
        *,
        limit_ppm: int,
        most_pairs: int,
        spent: Callable[[], bool],
    ) -> None:
        self._joints, self._sides, self._left = joints, sides, left
        self._limit_ppm, self._most_pairs, self._spent = limit_ppm, most_pairs, spent
        self._judged: set[tuple[int, ...]] = set()
        self._found: list[tuple[tuple[int, ...], Ranked]] = []
        self._error = self._solved = 0
        self.pairs = 0
        self.cut = False

    def __iter__(self) -> Iterator[Ranked]:
        most = FIRST_LOOK
        while self._look(most):
            for key in {key for joint in self._joints for key in joint.sides}:
                self._sides[key] = self._sides[key].learned()
            most = LOOK
        return (ranked for _, ranked in self._found)

    def _look(self, most: int) -> bool:
        """Judges choices, best predicted first, until so many more curves are solved; is there more to look for?"""
        queue = [pair for place in range(len(self._joints)) for pair in self._pair(place, None)]
        heapq.heapify(queue)
        seen = {pair[4:] for pair in queue}
        solved = error = 0
        while queue:
            worst, _, others, height, place, ranks = heapq.heappop(queue)
            for following in _after(ranks):
                if (place, following) not in seen:
                    seen.add((place, following))
                    for one in self._pair(place, following):
                        heapq.heappush(queue, one)
            sides = self._sides_of(place)
            known = (place, *(int(side.ids[rank]) for side, rank in zip(sides, ranks, strict=True)))
            if known in self._judged:
                continue
            margin = max(LEAST_MARGIN_PPM, 2 * (error if solved >= CHECKED else max(error, self._error)))
            bar = worst - margin if self._solved >= LEAST_SOLVED else 0
            if self._beaten(bar) >= ENOUGH or self.pairs >= self._most_pairs or self._spent():
                self.cut = True
                return False
            self.pairs += 1
            self._judged.add(known)
            if not self._fits(sides, ranks, self._joints[place].rooms):
                continue
            new = [(side, rank) for side, rank in zip(sides, ranks, strict=True) if not side.is_solved(rank)]
            scores = [side.true_ppm(rank) for side, rank in zip(sides, ranks, strict=True)]
            error = max([error, *(abs(side.true_ppm(rank) - int(side.predicted_ppm[rank])) for side, rank in new)])
            solved += len(new)
            self._solved += len(new)
            if max(scores) <= self._limit_ppm:
                self._add(scores, others, height, known, ranks)
            if solved >= most:
                self._error = error
                return True
        return False

    def _add(
        self, scores: Sequence[int], others: int, height: int, known: tuple[int, ...], ranks: tuple[int, ...]
    ) -> None:
        place, steps = known[0], [in_steps(score) for score in scores]
        sides = zip(self._sides_of(place), ranks, strict=True)
        shims = {key: pieces for side, rank in sides for key, pieces in side.shims(rank).items()}
        ranked = Ranked(self._joints[place].frames, shims, max(steps), sum(steps))
        insort(self._found, ((max(steps), sum(steps), others, height, *known), ranked), key=lambda one: one[0])

    def _beaten(self, ppm: int) -> int:
        """How many of those found have no more than this worst score; 0 counts as one step."""
        return bisect_right(self._found, max(ppm, 0), key=lambda one: one[0][0])

    def _sides_of(self, place: int) -> list[SideSwaps]:
        return [self._sides[key] for key in self._joints[place].sides]

    def _pair(self, place: int, ranks: tuple[int, ...] | None) -> list[_Pair]:
        """The choices of these ranks together - the first ones of None - under what they are ordered by; none beyond
        the last rank."""
        sides = self._sides_of(place)
        ranks = (0,) * len(sides) if ranks is None else ranks
        if any(rank >= len(side.choices) for side, rank in zip(sides, ranks, strict=True)):
            return []
        keys = (side.key(rank) for side, rank in zip(sides, ranks, strict=True))
        steps, others, heights = zip(*keys, strict=True)
        return [(max(steps), sum(steps), sum(others), sum(heights), place, ranks)]

    def _fits(self, sides: Sequence[SideSwaps], ranks: Sequence[int], rooms: Numbers) -> bool:
        """Do the sides together keep to the rooms, and promise no piece twice between them (rule R3)?"""
        if len(rooms) and (sum(side.loads[rank] for side, rank in zip(sides, ranks, strict=True)) > rooms).any():
            return False
        used: dict[Size, int] = {}
        for side, rank in zip(sides, ranks, strict=True):
            for pieces in side.shims(rank).values():
                for size, number in pieces:
                    used[size] = used.get(size, 0) + number
        return all(number <= self._left[size] for size, number in used.items())


def _after(ranks: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    for at, rank in enumerate(ranks):
        yield (*ranks[:at], rank + 1, *ranks[at + 1 :])
