"""Criteria 7-9 as one whole number, so that tables of costs add and compare like the written order."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

NEVER = 1 << 60  # no way; the sum of a few is still inside 64 bits
Costs = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Weights:
    """What a drawer opened, a day newer and a spacer piece cost; each outweighs all that can come below it."""

    drawer: int
    day: int
    piece: int

    @classmethod
    def for_at_most(cls, pieces: int, spacer_pieces: int, newest: int) -> Weights:
        """Raises ValueError where the numbers do not fit into 64 bits together."""
        day = spacer_pieces + 1
        drawer = day * ((pieces + spacer_pieces) * newest + 1)
        if drawer * (pieces + spacer_pieces + 1) >= NEVER:
            raise ValueError("too many pieces or too wide a span of days for one plan")
        return cls(drawer, day, 1)


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

    def best_with(self, other: Line, total: int) -> int:
        """The cheapest sum of a place here and a place there that make `total`; NEVER or more where there is none."""
        # place a here and total - a there: reverse the other line and lay it beside this one
        first = max(self.low, total - (other.low + len(other.costs) - 1))
        last = min(self.low + len(self.costs) - 1, total - other.low)
        if first > last:
            return NEVER
        here = self.costs[first - self.low : last - self.low + 1]
        start, stop = total - last - other.low, total - first - other.low
        return int((here + other.costs[start : stop + 1][::-1]).min())

    def split_with(self, other: Line, total: int) -> int:
        """The place here of the cheapest such pair, the lowest one on a tie."""
        best = self.best_with(other, total)
        for index in np.flatnonzero(self.costs < NEVER).tolist():
            if int(self.costs[index]) + other.at(total - self.low - index) == best:
                return self.low + index
        raise ValueError(f"{total} cannot be made")
