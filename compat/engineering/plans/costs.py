"""Criteria 8-10 as one whole number, so that tables of costs add and compare like the written order."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from compat.engineering.refused import Refused

NEVER = 1 << 60  # no way; the sum of a few is still inside 64 bits
Costs = npt.NDArray[np.int64]
Places = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Weights:
    """What a spacer piece, a drawer opened and a day newer cost; each outweighs all that can come below it."""

    piece: int
    drawer: int
    day: int

    @classmethod
    def for_at_most(cls, pieces: int, spacer_pieces: int, newest: int, drawers: int) -> Weights:
        """Raises Refused `too_many_pieces` where the numbers do not fit into 64 bits together."""
        drawer = (pieces + spacer_pieces) * newest + 1
        piece = drawer * (min(drawers, pieces + spacer_pieces) + 1)
        if piece * (spacer_pieces + 1) >= NEVER:
            raise Refused("too_many_pieces")
        return cls(piece, drawer, 1)


@dataclass(frozen=True)
class Line:
    """Costs by a whole number of micrometres: `costs[0]` belongs to `low`."""

    low: int
    costs: Costs

    @classmethod
    def start(cls) -> Line:
        return cls(0, np.zeros(1, dtype=np.int64))

    @classmethod
    def of(cls, costs: dict[int, int]) -> Line:
        low, high = min(costs), max(costs)
        line = np.full(high - low + 1, NEVER, dtype=np.int64)
        for at, cost in costs.items():
            line[at - low] = cost
        return cls(low, line)

    def joined(self, other: Line) -> Line:
        """The cheapest sum for every total of one place on this line and one on the other."""
        long, short = (self, other) if len(self.costs) >= len(other.costs) else (other, self)
        size = len(long.costs)
        result = np.full(size + len(short.costs) - 1, NEVER, dtype=np.int64)
        for index in np.flatnonzero(short.costs < NEVER).tolist():
            part = result[index : index + size]
            np.minimum(part, long.costs + short.costs[index], out=part)
        return Line(self.low + other.low, result)

    def at(self, place: int) -> int:
        index = place - self.low
        return int(self.costs[index]) if 0 <= index < len(self.costs) else NEVER

    def best_with(self, other: Line, totals: Places) -> Costs:
        """For each total the cheapest sum of a place here and a place there that make it; NEVER where there is none."""
        short, long = (self, other) if len(self.costs) <= len(other.costs) else (other, self)
        own = np.flatnonzero(short.costs < NEVER)
        sums = long.at_all(totals - (own[:, None] + short.low))
        sums += short.costs[own][:, None]
        best: Costs = sums.min(axis=0, initial=NEVER)
        return best

    def at_all(self, places: Places) -> Costs:
        """The cost of each place, as `at` gives that of one."""
        framed = np.full(len(self.costs) + 2, NEVER, dtype=np.int64)
        framed[1:-1] = self.costs
        return framed.take(places - (self.low - 1), mode="clip")

    def split_with(self, other: Line, total: int) -> int:
        """The place here of the cheapest such pair, the lowest one on a tie."""
        own = np.flatnonzero(self.costs < NEVER)
        sums = self.costs[own] + other.at_all(total - self.low - own)
        if sums.min(initial=NEVER) >= NEVER:
            raise ValueError(f"{total} cannot be made")
        return self.low + int(own[sums.argmin()])
