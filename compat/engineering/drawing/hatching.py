"""Hatching of cut areas: thin lines at 45 degrees, neighbours in opposite directions (ISO 128-3)."""

from __future__ import annotations

import math
from collections.abc import Sequence

from compat.engineering.drawing.shapes import Path, Point

COARSE, FINE = 6.0, 3.4
RISING, FALLING = 1, -1


def direction(place: int) -> int:
    """The direction of the part in this place of a row: neighbours differ, and a part always has the same."""
    return RISING if place % 2 == 0 else FALLING


def hatch(rings: Sequence[Sequence[Point]], slope: int, pitch: float, kind: str = "hatch") -> Path:
    """The hatch lines inside an area. `rings`: its closed lines, holes among them; `pitch`: distance between lines.

    `slope` is RISING (towards the upper right) or FALLING. Lines lie on one grid through the origin, so cuts of one
    part that are drawn apart run on in each other. Raises ValueError for a pitch that is not above zero.
    """
    if pitch <= 0:
        raise ValueError("a hatch pitch is above zero")
    # With y down, a line that rises to the right keeps x + y, one that falls keeps x - y.
    step = pitch * math.sqrt(2)
    offsets = [x + slope * y for ring in rings for x, y in ring]
    lines = []
    for number in range(math.floor(min(offsets) / step), math.ceil(max(offsets) / step) + 1):
        crossings = sorted(x for ring in rings for x in _crossings(ring, slope, number * step))
        for start, end in zip(crossings[::2], crossings[1::2], strict=False):
            if end - start > 0.4:
                lines.append(tuple((x, slope * (number * step - x)) for x in (start, end)))
    return Path(kind, tuple(lines))


def _crossings(ring: Sequence[Point], slope: int, offset: float) -> list[float]:
    """Where x + slope * y = offset crosses a closed line, as x. A corner counts for one of its two edges only."""
    found = []
    for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
        before, after = x0 + slope * y0 - offset, x1 + slope * y1 - offset
        if (before < 0) != (after < 0):
            found.append(x0 + (x1 - x0) * before / (before - after))
    return found
