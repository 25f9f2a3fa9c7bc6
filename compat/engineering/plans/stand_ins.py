"""Which shims can stand in for missing ones, nearest sum of t^3 first (rule R2)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from compat.engineering.shims import Size

PIECES_FOR_ONE = 4  # stand-ins at most for each missing piece
_BANDS_PPM = (1_000, 5_000, 20_000, 60_000, 150_000, 400_000, 1_000_000)
_MOST_STEPS = 40_000
_MOST_BITS = 4_000_000


@dataclass(frozen=True, order=True, slots=True)
class StandIn:
    """Shims that replace the missing ones of a position: the change of its sum t^3, and (size, number) pairs."""

    ppm: int
    shims: tuple[tuple[Size, int], ...]


class StandIns:
    """All stand-ins for `missing` of `quantity` pieces of one size, made one band of change at a time.

    left: pieces that may be used, by size of the same family. limit_ppm: the largest change allowed. Reading an
    index makes only the bands it needs, so that the near stand-ins are had without the thousands of far ones.
    `cut` says that the search was stopped, so that some stand-ins of the last bands are missing.
    """

    def __init__(self, size: Size, missing: int, quantity: int, left: Mapping[Size, int], limit_ppm: int) -> None:
        self.cut = False
        self._made: list[StandIn] = []
        self._bands = self._make(size, missing, quantity, left, limit_ppm)

    def get(self, index: int) -> StandIn | None:
        """The stand-in of this rank, or None after the last one."""
        while index >= len(self._made):
            band = next(self._bands, None)
            if band is None:
                return None
            self._made.extend(band)
        return self._made[index]

    def _make(
        self, size: Size, missing: int, quantity: int, left: Mapping[Size, int], limit_ppm: int
    ) -> Iterator[list[StandIn]]:
        sizes = [other for other in left if other.thickness_um != size.thickness_um and left[other] > 0]
        sizes.sort(key=lambda other: -other.thickness_um)
        nominal, goal = quantity * size.thickness_um**3, missing * size.thickness_um**3
        limits = [band for band in _BANDS_PPM if band < limit_ppm] + [limit_ppm]
        for floor, ceiling in zip([-1, *limits], limits, strict=False):
            # ppm <= ceiling after rounding: 2e6 |change| < (2 ceiling + 1) nominal
            reach = ((2 * ceiling + 1) * nominal - 1) // 2_000_000
            walk = _Walk(sizes, [left[other] for other in sizes], goal - reach, goal + reach)
            made = []
            for counts in walk.multisets(PIECES_FOR_ONE * missing):
                shims = tuple((other, count) for other, count in zip(sizes, counts, strict=True) if count)
                ppm = change_ppm(sum(count * other.thickness_um**3 for other, count in shims) - goal, nominal)
                if floor < ppm:
                    made.append(StandIn(ppm, shims))
            self.cut = self.cut or walk.cut
            yield sorted(made)
            if walk.cut:
                return


def change_ppm(change: int, nominal: int) -> int:
    """|change| in parts per million of the nominal, rounded, halves up."""
    return (2_000_000 * abs(change) + nominal) // (2 * nominal)


class _Walk:
    """Depth first over the sizes, thickest first; a step is made only where the rest can still end between limits."""

    def __init__(self, sizes: list[Size], available: list[int], low: int, high: int) -> None:
        self._cubes = [size.thickness_um**3 for size in sizes]
        self._available, self._low, self._high = available, low, high
        self._unit = math.gcd(*self._cubes) or 1
        self._steps = 0
        self.cut = False
        self._sums = self._sums_of_the_rest()

    def _sums_of_the_rest(self) -> list[int] | None:
        """For every depth the sums that the sizes from there on can make, as bits; None where that is too large."""
        bits = self._high // self._unit + 1
        if bits > _MOST_BITS:
            return None
        sums, inside, reachable = [1], (1 << bits) - 1, 1
        for cube, available in zip(reversed(self._cubes), reversed(self._available), strict=True):
            left, step = min(available, self._high // cube), 1
            while left > 0:
                step = min(step, left)
                reachable |= (reachable << step * cube // self._unit) & inside
                left -= step
                step *= 2
            sums.append(reachable)
        return sums[::-1]

    def multisets(self, pieces: int) -> Iterator[tuple[int, ...]]:
        """The numbers of every size, of at least one and at most `pieces` shims, with the sum between the limits."""
        for counts in self._from(0, pieces, 0):
            if any(counts):
                yield counts

    def _from(self, depth: int, pieces: int, done: int) -> Iterator[tuple[int, ...]]:
        self._steps += 1
        if self._steps > _MOST_STEPS:
            self.cut = True
            return
        if depth == len(self._cubes):
            if self._low <= done <= self._high:
                yield ()
            return
        cube = self._cubes[depth]
        if done + pieces * cube < self._low or not self._can_end(depth, done):
            return
        for count in range(min(self._available[depth], pieces, (self._high - done) // cube), -1, -1):
            for rest in self._from(depth + 1, pieces - count, done + count * cube):
                yield (count, *rest)

    def _can_end(self, depth: int, done: int) -> bool:
        if self._sums is None:
            return True
        low, high = max(0, -(-(self._low - done) // self._unit)), (self._high - done) // self._unit
        return high >= low and bool((self._sums[depth] >> low) & ((2 << (high - low)) - 1))
