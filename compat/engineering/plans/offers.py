"""The stand-ins of one position by rank, with what they take of the rooms."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from compat.engineering.plans.stand_ins import Numbers, StandIns

Loads = tuple[int, ...]


class Offers:
    """Changes `ppm` and `loads` by rank, in the order of change, listed one band of change at a time.

    loads: a function from the numbers of every size (n, sizes) to the loads (n, rooms).
    """

    def __init__(self, stand_ins: StandIns, loads: Callable[[Numbers], Numbers]) -> None:
        self._stand_ins, self._loads_of = stand_ins, loads
        self.ppm: list[int] = []
        self.loads: list[Loads] = []
        self._ends: list[int] = []
        self._light: list[list[list[tuple[int, int]]]] = []

    def end(self, level: int) -> int:
        """How many there are up to this band; lists them."""
        while level >= len(self._ends):
            band = self._stand_ins.band(len(self._ends))
            loads = self._loads_of(band.counts)
            ppm = band.ppm.tolist()
            before = self._light[-1] if self._light else [[] for _ in range(loads.shape[1])]
            self._light.append([_light(pairs, ppm, loads[:, room]) for room, pairs in enumerate(before)])
            self.ppm += ppm
            self.loads += [tuple(load) for load in loads.tolist()]
            self._ends.append(len(self.ppm))
        return self._ends[level]

    def light(self, level: int, room: int) -> list[tuple[int, int]]:
        """The (change, load) pairs up to this band that are lighter than all with a smaller change."""
        self.end(level)
        return self._light[level][room]


def _light(before: list[tuple[int, int]], ppm: list[int], loads: Numbers) -> list[tuple[int, int]]:
    """The pairs of the bands before with those of the next band after them."""
    if not ppm:
        return before
    first = before[-1][1] if before else int(loads.max()) + 1
    least = np.minimum.accumulate(np.concatenate(([first], loads)))
    lighter = np.flatnonzero(least[1:] < least[:-1]).tolist()
    return before + [(ppm[rank], int(loads[rank])) for rank in lighter]
