"""Which of many rings fit one gland, the best first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from compat.engineering.answers import Finding, Verdict, verdict_of
from compat.engineering.seals.gland import Gland, Rings, nominal_seat, seated
from compat.engineering.seals.limits import CRUSH_MOST, FILL_MOST, HARD_LEAST, SQUEEZE, STRETCH_MOST, judge
from compat.engineering.seals.ring import Floats, section_loss_percent
from compat.engineering.seals.seating import seats
from compat.engineering.seals.sizes import known
from compat.engineering.units import Range

ROUNDING_MM = 1e-6  # so that a ring at a limit is not lost to the last bit


@dataclass(frozen=True, slots=True)
class Reach:
    """Nominal sizes outside of which no ring can fit a gland, mm. Inside them most do not fit either."""

    id_low: float
    id_high: float
    section_low: float
    section_high: float

    def takes(self, id_mm: float, section_mm: float) -> bool:
        """Whether a ring of these nominal sizes has to be looked at."""
        return self.id_low <= id_mm <= self.id_high and self.section_low <= section_mm <= self.section_high

    def sizes(self) -> list[str]:
        """The sizes of AS568 that have to be looked at, three digits each."""
        rings = known().values()
        return [ring.size for ring in rings if self.takes(ring.id_mm.nominal, ring.section_mm.nominal)]


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

    rings: arrays of shape (n,); coldest_c in degrees Celsius, None where not known. A ring whose nominal sizes
    break a limit is left out.
    Raises ValueError for a gland with sizes missing, or a motion that its kind does not take.
    """
    span = SQUEEZE.get((gland.kind == "face", motion))
    if span is None:
        raise ValueError(f"a {gland.kind} gland is not {motion}")
    near = np.flatnonzero(_nominal_within(rings, gland, motion))
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
    """The nominal sizes that rank() can let stand, a little wider than they are; None where it lets none stand.

    None too for a gland with sizes missing, since nothing is known of it. From the limits alone: stretch to
    STRETCH_MOST, and a piston's ring not loose, others crushed to CRUSH_MOST; the least section is squeezed least and
    swollen by its crush, the largest is squeezed and thinned by stretch most.
    """
    if gland.missing or (gland.kind == "face", motion) not in SQUEEZE:
        return None
    seat, outside, height = nominal_seat(gland)
    if height <= 0:
        return None
    least, most = _squeeze(gland, motion)
    piston = gland.kind == "piston"
    swollen = 1.0 if piston else 1 - CRUSH_MOST / 100
    section_low = height * np.sqrt(swollen) / (1 - least / 100)
    section_high = height / (1 - most / 100) / (1 - section_loss_percent(STRETCH_MOST) / 100)
    id_high = seat if piston else outside / (1 - CRUSH_MOST / 100) - 2 * section_low
    return Reach(
        float(seat / (1 + STRETCH_MOST / 100) - ROUNDING_MM),
        float(id_high + ROUNDING_MM),
        float(section_low - ROUNDING_MM),
        float(section_high + ROUNDING_MM),
    )


def _squeeze(gland: Gland, motion: str) -> tuple[float, float]:
    """Least and most nominal squeeze, percent: a static seal's least is the one that does not seal at all."""
    least, most = SQUEEZE[gland.kind == "face", motion]
    return (HARD_LEAST if motion == "static" and gland.kind != "face" else least), most


def _nominal_within(rings: Rings, gland: Gland, motion: str) -> Floats:
    """Whether a ring's nominal sizes keep the limits in the gland's nominal sizes."""
    nominal = Rings(*(getattr(rings, f"{size}_nominal") for size in ("id", "section") for _ in range(3)))
    found = seated(nominal, gland.at_nominal())
    least, most = _squeeze(gland, motion)
    within = (found.stretch.nominal <= STRETCH_MOST) & (found.squeeze.nominal >= least)
    within &= found.squeeze.nominal <= most
    if gland.kind == "piston":
        within &= found.stretch.nominal >= 0
    else:
        within &= found.crush.nominal <= CRUSH_MOST
    if found.fill is not None:
        within &= found.fill.nominal <= FILL_MOST
    return np.asarray(within)
