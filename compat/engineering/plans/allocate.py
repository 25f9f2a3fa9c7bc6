"""Which positions go short and what stands in for them: every way, best first by criteria 1-4.

A frame says, for one short size, which of its positions miss how many pieces and which of them get stand-ins. An
allocation joins one frame of every short size with one choice of stand-ins for every position that gets them. All
come from one queue in the written order, so that the first ones that can be drawn are the best ones.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from compat.engineering.plans.frames import Frame, frames_of
from compat.engineering.plans.offers import Offers
from compat.engineering.plans.order import Tier
from compat.engineering.plans.pick import NO_STAND_INS, Budget, Pick, picks
from compat.engineering.plans.problem import STOOD_IN, Position
from compat.engineering.plans.rooms import Rooms
from compat.engineering.plans.shelf import Shelf, family_of
from compat.engineering.plans.stand_ins import StandIn, StandIns, ceilings_ppm
from compat.engineering.shims import Size

_MOST_STEPS = 60_000
_MOST_FRAMES = 5_000


@dataclass(frozen=True)
class Allocation:
    """`missing` pieces by position key (those that stand-ins replace included), and the stand-ins by position key."""

    tier: Tier
    missing: Mapping[str, int]
    stand_ins: Mapping[str, StandIn]


class Allocations:
    """Iterates over the allocations in the order of their tiers. `cut` says that a budget has left some out."""

    def __init__(self, shelf: Shelf) -> None:
        problem = shelf.problem
        self._limit_ppm = problem.curve_limit_ppm
        self._positions = {position.key: position for position in problem.positions}
        self._rooms = Rooms(shelf)
        self._left = {
            family: {size: shelf.supply(size).left for size in sizes} for family, sizes in shelf.families.items()
        }
        self._choices: dict[tuple[Size, int, int], StandIns] = {}
        self._offers: dict[tuple[Size, int, int, bool], Offers] = {}
        self._frames: list[list[Frame]] = []
        self._cut = False
        self._budget = Budget(_MOST_STEPS)
        roles = STOOD_IN if problem.allow_stand_ins else frozenset()
        for size in shelf.short:
            frames, cut = frames_of(shelf.asked[size], shelf.supply(size), roles)
            self._frames.append([frame for frame in frames if self._can_be_filled(frame)])
            self._cut = self._cut or cut

    @property
    def cut(self) -> bool:
        return self._cut or self._budget.spent or any(choices.cut for choices in self._choices.values())

    def plain(self) -> Allocation:
        """The best allocation without stand-ins, which always stands."""
        return self._allocation([next(frame for frame in frames if not frame.replaced) for frames in self._frames])

    def __iter__(self) -> Iterator[Allocation]:
        """Frames wait under the least that their stand-ins can cost, opened ones under their next pick."""
        queue: list[tuple[Tier, tuple[int, ...], Pick | None, Iterator[Pick]]] = []
        seen: set[tuple[int, ...]] = set()
        self._wait(queue, seen, (0,) * len(self._frames))
        while queue:
            tier, indexes, pick, more = heapq.heappop(queue)
            chosen = [frames[index] for index, frames in zip(indexes, self._frames, strict=True)]
            if pick is None:
                for place in range(len(indexes)):
                    self._wait(queue, seen, (*indexes[:place], indexes[place] + 1, *indexes[place + 1 :]))
                more = self._picks(chosen)
            else:
                allocation = self._allocation(chosen, pick)
                if self._left_for(allocation):
                    yield allocation
            following = next(more, None)
            if following is not None:
                tier = tier._replace(worst_ppm=following.worst_ppm, sum_ppm=following.sum_ppm)
                heapq.heappush(queue, (tier, indexes, following, more))

    def _wait(
        self,
        queue: list[tuple[Tier, tuple[int, ...], Pick | None, Iterator[Pick]]],
        seen: set[tuple[int, ...]],
        indexes: tuple[int, ...],
    ) -> None:
        if indexes in seen or any(i >= len(frames) for i, frames in zip(indexes, self._frames, strict=True)):
            return
        if len(seen) >= _MOST_FRAMES:
            self._cut = True
            return
        seen.add(indexes)
        chosen = [frames[index] for index, frames in zip(indexes, self._frames, strict=True)]
        missing, replaced = sum(frame.missing for frame in chosen), sum(len(frame.replaced) for frame in chosen)
        heapq.heappush(queue, (Tier(missing, replaced, -1, -1), indexes, None, iter(())))

    def _picks(self, chosen: list[Frame]) -> Iterator[Pick]:
        replaced = [pair for frame in chosen for pair in frame.replaced]
        if not replaced:
            return iter([NO_STAND_INS])
        missing = {key: number for frame in chosen for key, number in frame.short.items()}
        rooms = self._rooms.of(missing, {key for key, _ in replaced})
        offers = [self._offer(self._positions[key], number) for key, number in replaced]
        return picks(offers, rooms, ceilings_ppm(self._limit_ppm), self._budget)

    def _offer(self, position: Position, missing: int) -> Offers:
        key = (position.size, missing, position.quantity, position.in_height)
        if key not in self._offers:
            choices = self._choices_for(position, missing)
            self._offers[key] = Offers(choices, partial(self._rooms.loads, position, missing, choices.sizes))
        return self._offers[key]

    def _choices_for(self, position: Position, missing: int) -> StandIns:
        key = (position.size, missing, position.quantity)
        if key not in self._choices:
            left = self._left[family_of(position.size)]
            self._choices[key] = StandIns(position.size, missing, position.quantity, left, self._limit_ppm)
        return self._choices[key]

    def _can_be_filled(self, frame: Frame) -> bool:
        """Has every position that is to get stand-ins at least one choice of them?"""
        return all(self._choices_for(self._positions[key], number).any() for key, number in frame.replaced)

    def _allocation(self, chosen: list[Frame], pick: Pick = NO_STAND_INS) -> Allocation:
        replaced = [pair for frame in chosen for pair in frame.replaced]
        stand_ins = {
            key: self._choices_for(self._positions[key], number).stand_in(rank)
            for (key, number), rank in zip(replaced, pick.ranks, strict=True)
        }
        missing = {key: number for frame in chosen for key, number in frame.short.items()}
        still = sum(frame.missing for frame in chosen)
        return Allocation(Tier(still, len(replaced), pick.worst_ppm, pick.sum_ppm), missing, stand_ins)

    def _left_for(self, allocation: Allocation) -> bool:
        """Do the positions promise no piece twice between them (rule R3)?"""
        used: dict[Size, int] = {}
        for stand_in in allocation.stand_ins.values():
            for size, number in stand_in.shims:
                used[size] = used.get(size, 0) + number
        return all(number <= self._left[family_of(size)][size] for size, number in used.items())
