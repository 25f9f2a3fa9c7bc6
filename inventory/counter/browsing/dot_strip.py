"""Readings as dots over a line of thickness, with the nominal marked: numbers as text, ready for a template."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.common.quantities import mm_text

WIDTH, SIDE, STEP, RADIUS = 360, 62, 9, 3.8
MOST_HIGH = 12
LEAST_SPAN_UM = 20


@dataclass(frozen=True, slots=True)
class Dot:
    """One reading."""

    x: str
    y: str


@dataclass(frozen=True, slots=True)
class Strip:
    """A drawing of `width` x `height` units; the line of thickness lies at `base`, the nominal at `nominal_x`."""

    width: str
    height: str
    base: str
    radius: str
    dots: list[Dot]
    nominal_x: str
    nominal: str
    low_x: str
    low: str
    high_x: str
    high: str


def strip(readings_um: Sequence[int], nominal_um: int) -> Strip | None:
    """The readings over their range, equal ones stacked, more than twelve of them closer; None without any."""
    if not readings_um:
        return None
    low, high = min(*readings_um, nominal_um), max(*readings_um, nominal_um)
    spare = max(0, LEAST_SPAN_UM - (high - low))
    left, right = low - spare / 2, high + spare / 2
    stacked = Counter(readings_um)
    tallest = max(stacked.values())
    step = STEP * min(1.0, MOST_HIGH / tallest)
    base = 24 + step * tallest

    def x(um: float) -> str:
        return f"{SIDE + (um - left) / (right - left) * (WIDTH - 2 * SIDE):.1f}"

    dots = [
        Dot(x(um), f"{base - RADIUS - 2 - step * level:.1f}")
        for um, count in sorted(stacked.items())
        for level in range(count)
    ]
    return Strip(
        str(WIDTH),
        f"{base + 22:.0f}",
        f"{base:.1f}",
        str(RADIUS),
        dots,
        x(nominal_um),
        mm_text(nominal_um),
        x(min(readings_um)),
        mm_text(min(readings_um)),
        x(max(readings_um)),
        mm_text(max(readings_um)),
    )
