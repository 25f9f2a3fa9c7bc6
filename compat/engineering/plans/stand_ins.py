"""Which shims can stand in for missing ones, nearest sum of t^3 first (rule R2)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from compat.engineering.shims import Size

PIECES_FOR_ONE = 4  # stand-ins at most for each missing piece
_BANDS_PPM = (1_000, 5_000, 20_000, 60_000, 150_000, 400_000, 1_000_000)
_MOST_STEPS = 40_000
_MOST_BITS = 4_000_000

Numbers = npt.NDArray[Any]  # 64-bit integers, or Python's own where those could overflow


@dataclass(frozen=True, order=True, slots=True)
class StandIn:
    """Shims that replace the missing ones of a position: the change of its sum t^3, and (size, number) pairs."""

    ppm: int
    shims: tuple[tuple[Size, int], ...]


@dataclass(frozen=True)
class Band:
    """Stand-ins of one band of change in order: ppm (n,), and the numbers of every size (n, sizes)."""

    ppm: Numbers
    counts: Numbers


def ceilings_ppm(limit_ppm: int) -> list[int]:
    """Where the bands of change end; the last one at the limit."""
    return [band for band in _BANDS_PPM if band < limit_ppm] + [limit_ppm]


class StandIns:
    """All stand-ins for `missing` of `quantity` pieces of one size, made one band of change at a time.

    left: pieces that may be used, by size of the same family. limit_ppm: the largest change allowed. Asking for a
    band makes only the bands up to it, so that the near stand-ins are had without the thousands of far ones.
    `cut` says that the search was stopped, so that some stand-ins of the last band and all later ones are missing.
    """

    def __init__(self, size: Size, missing: int, quantity: int, left: Mapping[Size, int], limit_ppm: int) -> None:
        self.cut = False
        self.ceilings = ceilings_ppm(limit_ppm)
        self.sizes = [other for other in left if other.thickness_um != size.thickness_um and left[other] > 0]
        self.sizes.sort(key=lambda other: -other.thickness_um)
        self._available = [left[other] for other in self.sizes]
        self._nominal, self._goal = quantity * size.thickness_um**3, missing * size.thickness_um**3
        self._pieces = PIECES_FOR_ONE * missing
        self._bands: list[Band] = []

    def band(self, level: int) -> Band:
        """The stand-ins above the ceiling before this one and up to `ceilings[level]`."""
        while level >= len(self._bands):
            self._bands.append(self._make(len(self._bands)))
        return self._bands[level]

    def any(self) -> bool:
        """Is there one at all?"""
        return any(len(self.band(level).ppm) for level in range(len(self.ceilings)))

    def stand_in(self, rank: int) -> StandIn:
        """The stand-in of this rank in the order of change. Raises IndexError after the last one."""
        for level in range(len(self.ceilings)):
            band = self.band(level)
            if rank < len(band.ppm):
                counts = band.counts[rank].tolist()
                shims = tuple((size, count) for size, count in zip(self.sizes, counts, strict=True) if count)
                return StandIn(int(band.ppm[rank]), shims)
            rank -= len(band.ppm)
        raise IndexError(rank)

    def _make(self, level: int) -> Band:
        none = np.zeros(0, dtype=np.int64)
        if self.cut or not self.sizes:
            return Band(none, none.reshape(0, len(self.sizes)))
        # ppm <= ceiling after rounding: 2e6 |change| < (2 ceiling + 1) nominal
        reach = ((2 * self.ceilings[level] + 1) * self._nominal - 1) // 2_000_000
        cubes = [size.thickness_um**3 for size in self.sizes]
        fits = 2_000_001 * (self._goal + reach + self._nominal) < 1 << 62
        kind = np.int64 if fits else object
        walk = _Walk(cubes, self._available, self._goal - reach, self._goal + reach, kind)
        counts, sums = walk.multisets(self._pieces)
        self.cut = walk.cut
        ppm = (2_000_000 * abs(sums - self._goal) + self._nominal) // (2 * self._nominal)  # rounded, halves up
        floor = self.ceilings[level - 1] if level else -1
        wanted = np.flatnonzero((ppm > floor) & (sums > 0))
        ppm = ppm[wanted].astype(np.int64)
        order = np.argsort(ppm, kind="stable")  # the walk goes by rising numbers, thickest first: so do like changes
        return Band(ppm[order], counts[wanted[order]])


class _Walk:
    """Breadth first over the sizes, thickest first; a step is made only where the rest can still end between limits."""

    def __init__(self, cubes: list[int], available: list[int], low: int, high: int, kind: type[Any]) -> None:
        self.cut, self._kind = False, kind
        self._unit = math.gcd(*cubes)
        self._cubes = [cube // self._unit for cube in cubes]
        self._available, self._low, self._high = available, -(-low // self._unit), high // self._unit
        self._ends = self._ends_of_the_rest()

    def multisets(self, pieces: int) -> tuple[Numbers, Numbers]:
        """The numbers of every size (n, sizes) of at most `pieces` shims, and their sums (n,) between the limits."""
        sums: Numbers = np.zeros(1, dtype=self._kind)
        left: Numbers = np.full(1, pieces, dtype=np.int64)
        trail: list[tuple[Numbers, Numbers]] = []
        steps = 1
        for depth, (cube, available) in enumerate(zip(self._cubes, self._available, strict=True)):
            going = np.flatnonzero((left >= -((sums - self._low) // cube)) & self._can_end(depth, sums))
            most = np.minimum(np.minimum(left[going], available), (self._high - sums[going]) // cube).astype(np.int64)
            ends = np.cumsum(most + 1)
            total = int(ends[-1]) if len(ends) else 0
            number = np.arange(total) - np.repeat(ends - most - 1, most + 1)
            parent = np.repeat(going, most + 1)
            steps += total
            if steps > _MOST_STEPS:
                self.cut = True
                number, parent = number[-_MOST_STEPS:], parent[-_MOST_STEPS:]
            trail.append((parent, number))
            sums, left = sums[parent] + number * cube, left[parent] - number
        inside = np.flatnonzero((sums >= self._low) & (sums <= self._high))
        counts = np.empty((len(inside), len(trail)), dtype=np.int64)
        at = inside
        for depth in range(len(trail) - 1, -1, -1):
            parent, number = trail[depth]
            counts[:, depth] = number[at]
            at = parent[at]
        return counts, sums[inside] * self._unit

    def _ends_of_the_rest(self) -> list[Numbers] | None:
        """For every depth, from where the sizes from there on can end between the limits: bit n is set where a sum of
        n or up to the width of the window more can be made. None where that is too large."""
        bits = self._high + 1
        if bits > _MOST_BITS:
            return None
        sums, inside, reachable = list[int](), (1 << max(bits, 0)) - 1, 1
        for cube, available in zip(reversed(self._cubes), reversed(self._available), strict=True):
            left, step = min(available, self._high // cube), 1
            while left > 0:
                step = min(step, left)
                reachable |= (reachable << step * cube) & inside
                left -= step
                step *= 2
            sums.append(reachable)
        width = self._high - self._low + 1
        ends: list[Numbers] = []
        for from_here in reversed(sums):
            near, covered = from_here, 1
            while covered < width:
                step = min(covered, width - covered)
                near |= near >> step
                covered += step
            ends.append(np.frombuffer(near.to_bytes(bits // 8 + 1, "little"), dtype=np.uint8))
        return ends

    def _can_end(self, depth: int, sums: Numbers) -> Numbers:
        inside: Numbers = np.asarray(sums <= self._high)
        if self._high < self._low:
            return np.zeros(len(sums), dtype=np.bool_)
        if self._ends is None:
            return inside
        lacking = np.maximum(self._low - sums, 0).astype(np.int64)
        ends: Numbers = (self._ends[depth][lacking >> 3] >> (lacking & 7).astype(np.uint8)) & 1
        return inside & (ends > 0)
