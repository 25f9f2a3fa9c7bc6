"""Which positions go short and what stands in for them, by the curves of the sides: best first.

Frames come fewest missing pieces and then fewest replaced positions first, as without curves; `ranking` orders the
choices within one such class.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import groupby

import numpy as np

from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.stack import CannotBend
from compat.engineering.plans.allocate import Allocation
from compat.engineering.plans.bent.ranking import Joint, Ranking, SideKey
from compat.engineering.plans.bent.response import Response
from compat.engineering.plans.bent.side_swaps import SideSwaps, side_swaps
from compat.engineering.plans.bent.swaps import Numbers, Swaps, may_stand_in, swaps_of
from compat.engineering.plans.frames import Frame, frames_of, joined
from compat.engineering.plans.order import Tier
from compat.engineering.plans.problem import Position
from compat.engineering.plans.rooms import Rooms
from compat.engineering.plans.shelf import Shelf
from compat.engineering.plans.stand_ins import StandIn
from compat.engineering.shims import Size

MOST_CLASSES = 100  # frames of one class
MOST_JOINS = 60  # positions of sides, each joined with those before it
LEAST_SHARE = 0.2  # of the curves, that every class may solve
PRICES = 0.5  # of the curves, that may go into prices of neighbouring diameters
MOST_PAIRS = 5_000


class BentAllocations:
    """Iterates over the allocations in the order of their tiers. `cut` says that a budget has left some out.

    responses: the curve as asked of every side that is short. out_of_time: asked between curves; the search then ends
    with what it has.
    """

    def __init__(self, shelf: Shelf, responses: Sequence[Response], out_of_time: Callable[[], bool]) -> None:
        problem = shelf.problem
        self._problem, self._out_of_time = problem, out_of_time
        self._positions = {position.key: position for position in problem.positions}
        self._responses = responses
        self._side_of = {p.key: place for place, response in enumerate(responses) for p in response.positions}
        self._rooms = Rooms(shelf)
        self._left = {size: shelf.supply(size).left for sizes in shelf.families.values() for size in sizes}
        self._swaps: dict[tuple[str, int], Swaps] = {}
        self._sides: dict[SideKey, SideSwaps] = {}
        self._started = sum(response.effort for response in responses)
        self.cut = False
        self._until = float(problem.solves)
        self._pairs = self._joins = 0
        self._frames: list[list[Frame]] = []
        roles = problem.roles if problem.allow_stand_ins else frozenset()
        for size in shelf.short:
            frames, cut = frames_of(shelf.asked[size], shelf.supply(size), roles)
            self.cut = self.cut or cut
            self._frames.append([frame for frame in frames if self._can_be_filled(frame)])

    def plain(self) -> Allocation:
        """The best allocation without stand-ins, which always stands."""
        return self._allocation([next(f for f in frames if not f.replaced) for frames in self._frames], {}, (0, 0))

    def __iter__(self) -> Iterator[Allocation]:
        for (_, replaced), group in groupby(joined(self._frames), key=lambda one: one[:2]):
            chosen = [frames for _, _, frames in group]
            self.cut = self.cut or len(chosen) > MOST_CLASSES
            del chosen[MOST_CLASSES:]
            if replaced == 0:
                yield from (self._allocation(frames, {}, (0, 0)) for frames in chosen)
            else:
                yield from self._ranked(chosen, replaced)

    def _ranked(self, chosen: Sequence[tuple[Frame, ...]], replaced: int) -> Iterator[Allocation]:
        """The allocations of one class by their true scores."""
        joints = [joint for frames in chosen if (joint := self._joint(frames)) is not None]
        # a class that holds nothing must not take all from the next one
        self._until = max(self._until, self._effort() + LEAST_SHARE * self._problem.solves)
        ranking = Ranking(
            joints,
            self._sides,
            self._left,
            limit_ppm=self._problem.curve_limit_ppm,
            most_pairs=MOST_PAIRS - self._pairs,
            spent=self._spent,
        )
        found = list(ranking)
        self._pairs += ranking.pairs
        self.cut = self.cut or ranking.cut
        for one in found:
            yield self._allocation(one.frames, one.shims, (one.worst_ppm, one.sum_ppm))

    def _joint(self, frames: tuple[Frame, ...]) -> Joint | None:
        """These frames with the choices of every side; None where a side has none."""
        replaced = dict(pair for frame in frames for pair in frame.replaced)
        missing = {key: number for frame in frames for key, number in frame.short.items()}
        keys: list[SideKey] = []
        for place in range(len(self._responses)):
            here = tuple(sorted((key, n) for key, n in replaced.items() if self._side_of[key] == place))
            if here:
                keys.append((place, here))
                if not self._make(keys[-1]):
                    self.cut = True
                    return None
        if not all(len(self._sides[key].choices) for key in keys):
            return None
        return Joint(frames, tuple(keys), np.array(self._rooms.of(missing, set(replaced)), dtype=np.int64))

    def _make(self, key: SideKey) -> bool:
        """Makes the choices of one side, once; False where too many have been made already."""
        place, replaced = key
        if key not in self._sides:
            if self._joins >= MOST_JOINS:
                return False
            self._joins += len(replaced)
            swaps = [self._swap(place, self._positions[name], number) for name, number in replaced]
            loads = [self._loads(swap) for swap in swaps]
            self._sides[key] = side_swaps(self._responses[place], swaps, loads, self._left)
            self.cut = self.cut or self._sides[key].cut
        return True

    def _swap(self, place: int, position: Position, missing: int) -> Swaps:
        key = (position.key, missing)
        if key not in self._swaps:
            response = self._responses[place]
            sizes = self._sizes_for(position)
            if self._effort() > PRICES * self._problem.solves:  # many are short: the last ones keep their diameter
                sizes = [size for size in sizes if size.od_um == position.size.od_um] or sizes
                self.cut = True
            self._swaps[key] = swaps_of(response, position, missing, {size: self._left[size] for size in sizes})
        return self._swaps[key]

    def _sizes_for(self, position: Position) -> list[Size]:
        """The sizes that may stand in at a position, of which something is left."""
        on_shelf = [size for size, left in self._left.items() if left]
        side = self._responses[self._side_of[position.key]].positions
        return may_stand_in(position, side, on_shelf, self._problem.reach_um)

    def _can_be_filled(self, frame: Frame) -> bool:
        """Has every position that is to get stand-ins any size for them?"""
        return all(self._sizes_for(self._positions[key]) for key, _ in frame.replaced)

    def _loads(self, swaps: Swaps) -> Numbers:
        """(n, rooms): what each swap takes of the rooms; a sum over its pieces and what is missing."""
        sizes = len(swaps.sizes)
        counts = np.concatenate([np.zeros((1, sizes), np.int64), np.eye(sizes, dtype=np.int64)])
        table = self._rooms.loads(swaps.position, swaps.missing, swaps.sizes, counts)
        return np.asarray(table[0] + swaps.sums(table[1:] - table[0]))

    def _spent(self) -> bool:
        return self._effort() >= self._until or self._out_of_time()

    def _effort(self) -> float:
        return sum(response.effort for response in self._responses) - self._started

    def _allocation(
        self, frames: Sequence[Frame], shims: Mapping[str, tuple[tuple[Size, int], ...]], scores: tuple[int, int]
    ) -> Allocation:
        missing = {key: number for frame in frames for key, number in frame.short.items()}
        stand_ins = {key: StandIn(scores[0], pieces) for key, pieces in shims.items()}
        still = sum(frame.missing for frame in frames)
        return Allocation(Tier(still, len(stand_ins), *scores), missing, stand_ins)


def responses_of(shelf: Shelf) -> list[Response] | None:
    """The curve as asked of every side that is short; None where a position that may have stand-ins has no curve, or
    nothing is short."""
    problem = shelf.problem
    by_key = {position.key: position for position in problem.positions}
    sided = {key for side in problem.sides for key in side.positions}
    short = {position.key for size in shelf.short for position in shelf.asked[size] if position.role in problem.roles}
    if not short or not short <= sided or not problem.allow_stand_ins:
        return None
    try:
        return [
            Response([by_key[key] for key in side.positions], side.mount)
            for side in problem.sides
            if not short.isdisjoint(side.positions)
        ]
    except (CannotBend, NotSolved):
        return None
