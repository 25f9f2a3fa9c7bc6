"""Which of many rings fit one gland, the best first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from compat.engineering.answers import Finding, Verdict, verdict_of
from compat.engineering.seals.gland import Gland, Rings, seated
from compat.engineering.seals.limits import CRUSH_MOST, FILL_MOST, HARD_LEAST, SQUEEZE, STRETCH_MOST, judge
from compat.engineering.seals.ring import Floats
from compat.engineering.units import Range


@dataclass(frozen=True, slots=True)
class Ranked:
    """One ring by its place in what was searched, what decides it, and its margin."""

    index: int
    stretch: Range
    squeeze: Range
    fill: Range | None
    margin: float
    findings: tuple[Finding, ...]

    @property
    def verdict(self) -> Verdict:
        """Of the sizes alone: compound, age and motion come beside it."""
        return verdict_of(self.findings)


def rank(rings: Rings, gland: Gland, motion: str, most: int) -> list[Ranked]:
    """The rings that fit a gland or may fit it, at most `most`: those that fit first, then by margin.

    rings: arrays of shape (n,). A ring whose nominal sizes break a limit is left out.
    Raises ValueError for a gland with sizes missing, or a motion that its kind does not take.
    """
    span = SQUEEZE.get((gland.kind == "face", motion))
    if span is None:
        raise ValueError(f"a {gland.kind} gland is not {motion}")
    near = np.flatnonzero(_nominal_within(rings, gland, motion))
    if not near.size:
        return []
    close = Rings(*(getattr(rings, name)[near] for name in Rings.__slots__))
    found = seated(close, gland)
    ranked = []
    for n, index in enumerate(near):
        fill = None if found.fill is None else found.fill.at(n)
        stretch, squeeze = found.stretch.at(n), found.squeeze.at(n)
        judged = judge(gland.kind, motion, stretch, squeeze, fill, found.crush.at(n))
        one = Ranked(int(index), stretch, squeeze, fill, judged.margin, tuple(judged.findings))
        if one.verdict is not Verdict.DOES_NOT_FIT:
            ranked.append(one)
    ranked.sort(key=lambda one: (one.verdict is not Verdict.FITS, -one.margin, one.index))
    return ranked[:most]


def _nominal_within(rings: Rings, gland: Gland, motion: str) -> Floats:
    """Whether a ring's nominal sizes keep the limits in the gland's nominal sizes."""
    nominal = Rings(*(getattr(rings, f"{size}_nominal") for size in ("id", "section") for _ in range(3)))
    found = seated(nominal, gland.at_nominal())
    least, most = SQUEEZE[gland.kind == "face", motion]
    if motion == "static" and gland.kind != "face":
        least = HARD_LEAST
    within = (found.stretch.nominal <= STRETCH_MOST) & (found.squeeze.nominal >= least)
    within &= found.squeeze.nominal <= most
    if gland.kind == "piston":
        within &= found.stretch.nominal >= 0
    else:
        within &= found.crush.nominal <= CRUSH_MOST
    if found.fill is not None:
        within &= found.fill.nominal <= FILL_MOST
    return np.asarray(within)
