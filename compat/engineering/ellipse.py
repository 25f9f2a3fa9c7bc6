"""Two-point diameters of an ellipse: the largest and the smallest that may lie between the directions read.

To first order in its ovality an ellipse measures D(t) = m + a cos 2t + b sin 2t at the angle t: the mean m, and half of
the ovality, the length of (a, b). Three directions give three equations for m, a and b. They are solved by least
squares, which gives back every ellipse that the readings allow, since on readings of an ellipse it is exact. What it
says at t is then a sum of the readings, each with a weight w(t); so over all readings between their limits D(t) is at
most the sum of w high where w > 0 and of w low where w < 0. The largest of that over all t is the largest diameter that
may be there. A wider reading makes no such sum smaller.

Two directions prove nothing of the largest diameter. Read d1 and d2, 90 degrees apart: d1 + d2 = 2 m, but d1 - d2 is
2 e cos 2 (t0 - t1), which is 0 for any half ovality e where the axes lie halfway between, at 45 degrees: the largest,
m + e, has no end. If nothing is smaller than a new bore N it is at most d1 + d2 - N, since e is at most m - N; a body
that was squashed is smaller than new, so that is no proof. Directions closer than 90 degrees say less still. Source:
plane geometry. A shape of three lobes has the same diameter in every direction, and no two-point gauge sees it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from compat.engineering.corners import DUST
from compat.engineering.seals.ring import Floats
from compat.engineering.units import Range

LEAST_DIRECTIONS = 3
LEAST_TURN_DEG = 30.0  # between two readings that count as two directions
TRIED = 360  # angles, half a degree apart: what lies between two is off by 2e-5 of the ovality at most
_ENDS = ("low", "high", "nominal")


@dataclass(frozen=True, slots=True)
class Ellipse:
    """What readings in one plane allow, mm: the largest and the smallest diameter, their difference, the mean."""

    largest: Range
    smallest: Range
    ovality: Range
    mean: Range


def ellipses_of(levels: Sequence[tuple[Sequence[float], Sequence[Range]]]) -> list[Ellipse | None]:
    """The ellipses through the two-point readings of each level, (angles in degrees, diameters in mm); half a turn is
    the same direction.

    None for a level of which fewer than LEAST_DIRECTIONS directions lie LEAST_TURN_DEG apart. The limits hold every
    combination of the readings' own limits, and no less than the readings themselves.
    """
    alike: dict[tuple[float, ...], list[int]] = {}
    for number, (angles, _) in enumerate(levels):
        alike.setdefault(tuple(round(angle, 3) % 180 for angle in angles), []).append(number)
    found: list[Ellipse | None] = [None] * len(levels)
    for turns, numbers in alike.items():
        if _turned(turns):
            for number, one in zip(numbers, _solved(turns, [levels[n][1] for n in numbers]), strict=True):
                found[number] = one
    return found


def _solved(turns: tuple[float, ...], rows: Sequence[Sequence[Range]]) -> Iterator[Ellipse]:
    """The ellipses of levels that were read at the same angles."""
    at, swing, middle = _weights(turns)
    low, high, nominal = (np.array([[getattr(one, end) for one in row] for row in rows]).T for end in _ENDS)
    most, least = at.most(low, high).max(axis=0), at.least(low, high).min(axis=0)
    found, swung = at.most(nominal, nominal), swing.least(low, high)
    wide, apart = 2 * swing.most(low, high).max(axis=0), 2 * swing.most(nominal, nominal).max(axis=0)
    mean_low, mean_high, mean = middle.least(low, high)[0], middle.most(low, high)[0], middle.most(nominal, nominal)[0]
    narrow = np.maximum(2 * swung.max(axis=0), low.max(axis=0) - high.min(axis=0))
    apart = np.maximum(apart, nominal.max(axis=0) - nominal.min(axis=0))
    wide = np.maximum(wide, high.max(axis=0) - low.min(axis=0))
    largest = np.maximum(found.max(axis=0), nominal.max(axis=0))
    smallest = np.minimum(found.min(axis=0), nominal.min(axis=0))
    for n in range(len(rows)):
        yield Ellipse(
            _range(low[:, n].max(), max(most[n], high[:, n].max()), largest[n]),
            _range(min(least[n], low[:, n].min()), high[:, n].min(), smallest[n]),
            _range(max(narrow[n], 0.0), wide[n], apart[n]),
            _range(mean_low[n], mean_high[n], mean[n]),
        )


def _range(low: float, high: float, nominal: float) -> Range:
    """Limits, and a nominal value that binary dust may have put outside them."""
    return Range(float(min(low, nominal)), float(max(high, nominal)), float(nominal))


@dataclass(frozen=True, slots=True)
class Weights:
    """How much each reading counts in some sums: the weights above zero, and those below it."""

    above: Floats
    below: Floats

    @classmethod
    def of(cls, weights: Floats) -> Weights:
        return cls(np.clip(weights, 0, None), np.clip(weights, None, 0))

    def most(self, low: Floats, high: Floats) -> Floats:
        """The largest that each sum may be, a column a level."""
        return np.asarray(self.above @ high + self.below @ low)

    def least(self, low: Floats, high: Floats) -> Floats:
        """The smallest that each sum may be, a column a level."""
        return np.asarray(self.above @ low + self.below @ high)


@lru_cache(maxsize=16)
def _weights(turns: tuple[float, ...]) -> tuple[Weights, Weights, Weights]:
    """How much each reading counts in the diameter at each angle tried, in what swings with it, and in the mean."""
    twice = 2 * np.radians(np.array(turns))
    solved = np.linalg.pinv(np.stack([np.ones_like(twice), np.cos(twice), np.sin(twice)], axis=1))
    tried = 2 * np.pi * np.arange(TRIED) / TRIED
    swing = np.stack([np.cos(tried), np.sin(tried)], axis=1) @ solved[1:]
    return Weights.of(solved[0] + swing), Weights.of(swing), Weights.of(solved[:1])


def _turned(turns: Sequence[float]) -> bool:
    """Whether enough directions lie far enough apart; one at 10 and one at 190 degrees are the same."""
    ways = sorted(set(turns))
    for first in ways:
        count, last = 1, first
        for turn in ways:
            if turn >= last + LEAST_TURN_DEG - DUST and turn <= first + 180 - LEAST_TURN_DEG + DUST:
                count, last = count + 1, turn
        if count >= LEAST_DIRECTIONS:
            return True
    return False
