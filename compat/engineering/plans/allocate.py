"""Which positions go short and what stands in for them: every way, best first by criteria 1-4.

A frame says, for one short size, which of its positions miss how many pieces and which of them get stand-ins. An
allocation joins one frame of every short size with one choice of stand-ins for every position that gets them. Both
come from one queue in the written order, so that the first ones that can be drawn are the best ones.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from compat.engineering.plans.frames import Frame, frames_of
from compat.engineering.plans.order import Tier
from compat.engineering.plans.problem import Position
from compat.engineering.plans.shelf import Shelf, family_of
from compat.engineering.plans.stand_ins import StandIn, StandIns
from compat.engineering.shims import Size

_MOST_NODES = 20_000


@dataclass(frozen=True)
class Allocation:
    """`missing` pieces by position key (those that stand-ins replace included), and the stand-ins by position key."""

    tier: Tier
    missing: Mapping[str, int]
    stand_ins: Mapping[str, StandIn]


@dataclass(frozen=True)
class _Node:
    """One frame of every short size; `ranks` (None: not opened yet) are the ranks of the stand-ins chosen in it."""

    frames: tuple[int, ...]
    ranks: tuple[int, ...] | None


class Allocations:
    """Iterates over the allocations in the order of their tiers. `cut` says that a budget has left some out."""

    def __init__(self, shelf: Shelf) -> None:
        problem = shelf.problem
        self._limit_ppm = problem.curve_limit_ppm
        self._positions = {position.key: position for position in problem.positions}
        supplies = {size: shelf.supply(size) for size in shelf.asked}
        self._left = {
            family: {size: shelf.supply(size).left for size in sizes} for family, sizes in shelf.asked_families.items()
        }
        self._choices: dict[tuple[Size, int, int], StandIns] = {}
        self._frames: list[list[Frame]] = []
        self._cut = False
        for size, supply in supplies.items():
            if supply.short:
                frames, cut = frames_of(shelf.asked[size], supply, problem.allow_stand_ins)
                self._frames.append([frame for frame in frames if self._can_be_filled(frame)])
                self._cut = self._cut or cut
        self._queue: list[tuple[tuple[int, ...], _Node]] = []
        self._seen: set[_Node] = set()

    @property
    def cut(self) -> bool:
        return self._cut or any(choices.cut for choices in self._choices.values())

    def __iter__(self) -> Iterator[Allocation]:
        self._push(_Node((0,) * len(self._frames), None))
        nodes = 0
        while self._queue:
            key, node = heapq.heappop(self._queue)
            nodes += 1
            if nodes > _MOST_NODES:
                self._cut = True
                return
            if node.ranks is None:
                for index in range(len(self._frames)):
                    frames = (*node.frames[:index], node.frames[index] + 1, *node.frames[index + 1 :])
                    self._push(_Node(frames, None))
                self._push(_Node(node.frames, (0,) * len(self._replaced(node))))
                continue
            for index in range(len(node.ranks)):
                ranks = (*node.ranks[:index], node.ranks[index] + 1, *node.ranks[index + 1 :])
                self._push(_Node(node.frames, ranks))
            allocation = self._allocation(node, Tier(*key[:4]))
            if allocation is not None:
                yield allocation

    def plain(self) -> Allocation:
        """The best allocation without stand-ins, which always stands."""
        chosen = [next(frame for frame in frames if not frame.replaced) for frames in self._frames]
        missing = {key: number for frame in chosen for key, number in frame.short.items()}
        return Allocation(Tier(sum(missing.values()), 0, 0, 0), missing, {})

    def _push(self, node: _Node) -> None:
        """Queue a node under its tier; an unopened one under the least its stand-ins could cost."""
        if node in self._seen or any(
            index >= len(frames) for index, frames in zip(node.frames, self._frames, strict=True)
        ):
            return
        self._seen.add(node)
        chosen = self._chosen(node)
        missing = sum(frame.missing for frame in chosen)
        replaced = sum(len(frame.replaced) for frame in chosen)
        if node.ranks is None:
            heapq.heappush(self._queue, ((missing, replaced, -1, -1, *node.frames), node))
            return
        stand_ins = self._stand_ins(node)
        if all(stand_in is not None for stand_in in stand_ins):
            changes = [stand_in.ppm for stand_in in stand_ins if stand_in is not None]
            key = (missing, replaced, max(changes, default=0), sum(changes), *node.frames, *node.ranks)
            heapq.heappush(self._queue, (key, node))

    def _chosen(self, node: _Node) -> list[Frame]:
        return [frames[index] for index, frames in zip(node.frames, self._frames, strict=True)]

    def _replaced(self, node: _Node) -> list[tuple[Position, int]]:
        return [(self._positions[key], number) for frame in self._chosen(node) for key, number in frame.replaced]

    def _stand_ins(self, node: _Node) -> list[StandIn | None]:
        places = zip(self._replaced(node), node.ranks or (), strict=True)
        return [self._choices_for(position, number).get(rank) for (position, number), rank in places]

    def _choices_for(self, position: Position, missing: int) -> StandIns:
        key = (position.size, missing, position.quantity)
        if key not in self._choices:
            left = self._left[family_of(position.size)]
            self._choices[key] = StandIns(position.size, missing, position.quantity, left, self._limit_ppm)
        return self._choices[key]

    def _can_be_filled(self, frame: Frame) -> bool:
        """Has every position that is to get stand-ins at least one choice of them?"""
        return all(self._choices_for(self._positions[key], number).get(0) is not None for key, number in frame.replaced)

    def _allocation(self, node: _Node, tier: Tier) -> Allocation | None:
        """The node as an allocation; None where its positions promise a piece twice between them (rule R3)."""
        stand_ins, used = dict[str, StandIn](), dict[Size, int]()
        for (position, _), stand_in in zip(self._replaced(node), self._stand_ins(node), strict=True):
            if stand_in is None:
                return None
            stand_ins[position.key] = stand_in
            for size, number in stand_in.shims:
                used[size] = used.get(size, 0) + number
        if any(number > self._left[family_of(size)][size] for size, number in used.items()):
            return None
        missing = {key: number for frame in self._chosen(node) for key, number in frame.short.items()}
        return Allocation(tier, missing, stand_ins)
