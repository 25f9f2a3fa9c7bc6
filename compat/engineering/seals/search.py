"""Which of many rings may fit one gland, the best first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from compat.engineering.answers import Finding, Verdict, verdict_of
from compat.engineering.seals.gland import LEAST_LEFT, Gland, Rings, seat_corners
from compat.engineering.seals.limits import CRUSH_MOST, SQUEEZE, STRETCH_MOST, judge, squeeze_limits
from compat.engineering.seals.ring import MOST_STRETCH_PERCENT, Ring, section_loss_percent
from compat.engineering.seals.seating import seats
from compat.engineering.seals.sizes import known
from compat.engineering.units import Range

NEAR_MM = 1e-3  # by which a reach is wider than it is: a limit met exactly is met


@dataclass(frozen=True, slots=True)
class Reach:
    """What some value of a ring's sizes must meet, mm: no other ring can fit a gland. Inside it most do not either."""

    id_low: float
    id_high: float
    section_low: float
    section_high: float
    outer_high: float

    def takes(self, ring: Ring) -> bool:
        """Whether a ring has to be looked at."""
        return bool(self.near(Rings.of(ring))[0])

    def near(self, rings: Rings) -> Any:
        """The same of many: whether each has to be looked at, shape (rings,)."""
        outer = rings.id_low + 2 * rings.section_low
        within = (rings.id_high >= self.id_low) & (rings.id_low <= self.id_high) & (outer <= self.outer_high)
        return within & (rings.section_high >= self.section_low) & (rings.section_low <= self.section_high)

    def sizes(self) -> list[str]:
        """The sizes of AS568 that have to be looked at, three digits each."""
        rings = list(known().values())
        return [ring.size for ring, near in zip(rings, self.near(Rings.of(*rings)), strict=True) if near]


@dataclass(frozen=True, slots=True)
class Ranked:
    """One ring by its place in what was searched, what decides it, and its margin."""

    index: int
    stretch: Range
    squeeze: Range
    fill: Range | None
    crush: Range
    cold: Range | None
    margin: float
    findings: tuple[Finding, ...]

    @property
    def verdict(self) -> Verdict:
        """Of the sizes alone: compound, age and motion come beside it."""
        return verdict_of(self.findings)


def rank(rings: Rings, gland: Gland, motion: str, most: int, *, coldest_c: float | None = None) -> list[Ranked]:
    """The rings that fit a gland or may fit it, at most `most`: those that fit first, then by margin.

    rings: arrays of shape (n,); coldest_c in degrees Celsius, None where not known. A ring is left out where one limit
    is broken at every corner, and not because its nominal sizes break one.
    Raises ValueError for a gland with sizes missing or without room, or a motion that its kind does not take.
    """
    if (gland.kind == "face", motion) not in SQUEEZE:
        raise ValueError(f"a {gland.kind} gland is not {motion}")
    reach = reach_of(gland, motion)
    if reach is None:
        raise ValueError(f"a {gland.kind} gland with sizes missing, or without room for a ring")
    near = np.flatnonzero(reach.near(rings))
    if not near.size:
        return []
    close = Rings(*(getattr(rings, name)[near] for name in Rings.__slots__))
    ranked = []
    for index, seat in zip(near, seats(close, gland, coldest_c), strict=True):
        judged = judge(gland.kind, motion, seat)
        one = Ranked(
            int(index),
            seat.stretch,
            seat.aside,
            seat.fill,
            seat.crush,
            seat.cold_aside,
            judged.margin,
            tuple(judged.findings),
        )
        if one.verdict is not Verdict.DOES_NOT_FIT:
            ranked.append(one)
    ranked.sort(key=lambda one: (one.verdict is not Verdict.FITS, -one.margin, one.index))
    return ranked[:most]


def reach_of(gland: Gland, motion: str) -> Reach | None:
    """What the sizes of a ring must meet for rank() to let it stand; None where it lets none stand.

    None too for a gland with sizes missing or, at some corner, without room: nothing is searched for it. From the
    limits at the best corner of the gland: stretch to STRETCH_MOST, and a piston's ring not loose, others crushed to
    CRUSH_MOST; the least section is squeezed least and swollen by as much crush as is counted at all, the largest is
    squeezed most and thinned by as much stretch as is counted at all.
    """
    limits = squeeze_limits(gland.kind, motion)
    if gland.missing or limits is None:
        return None
    seat, outside, height, _ = (list(sizes) for sizes in zip(*seat_corners(gland), strict=True))
    if min(height) <= 0:
        return None
    piston = gland.kind == "piston"
    swollen = 1.0 if piston else LEAST_LEFT
    thinned = 1 - section_loss_percent(MOST_STRETCH_PERCENT) / 100
    return Reach(
        id_low=float(min(seat) / (1 + STRETCH_MOST / 100) - NEAR_MM),
        id_high=float(max(seat) + NEAR_MM) if piston else np.inf,
        section_low=float(min(height) * np.sqrt(swollen) / (1 - limits.least.low / 100) - NEAR_MM),
        section_high=float(max(height) / (1 - limits.most.high / 100) / thinned + NEAR_MM),
        outer_high=float(max(outside) / (1 - CRUSH_MOST / 100) + NEAR_MM),
    )
