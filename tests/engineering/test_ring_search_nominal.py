"""A search passes rings over by their nominal sizes before it judges them: none that fits is lost by that.

A nominal size lies inside its own limits, so what keeps a limit at every corner keeps it there too. Readings whose
nominal value lies at one end, and glands read with much spread, are where that would first fail.
"""

from __future__ import annotations

import random

import pytest

from compat.engineering.answers import Verdict, verdict_of
from compat.engineering.oring import RingInGland, oring
from compat.engineering.seals.gland import Gland, Rings
from compat.engineering.seals.ring import Ring
from compat.engineering.seals.search import rank, reach_of
from compat.engineering.units import Range
from tests.engineering.cases_seals import met

OIL = met("NBR", "mineral_oil", 60.0, -10.0)


def skewed(draw: random.Random, size: float, spread: float) -> Range:
    """A reading whose nominal value lies at an end, or anywhere."""
    low, high = size - draw.random() * spread, size + draw.random() * spread
    return Range(low, high, draw.choice((low, high, draw.uniform(low, high))))


def drawn(draw: random.Random, kind: str) -> tuple[Ring, Gland]:
    section, inner, spread = draw.choice((1.8, 3.5, 5.3)), draw.uniform(4, 80), draw.choice((0.01, 0.05, 0.1))
    ring = Ring(skewed(draw, inner, spread), skewed(draw, section, spread))
    seat = inner * (1 + draw.uniform(0, 5) / 100)
    wall = seat + 2 * section * (1 - draw.uniform(9, 24) / 100)
    width = skewed(draw, draw.uniform(1.25, 1.6) * section, spread)
    if kind == "piston":
        gland = Gland(kind, bore_mm=skewed(draw, wall, spread), groove_mm=skewed(draw, seat, spread), width_mm=width)
    else:
        gland = Gland(kind, rod_mm=skewed(draw, seat, spread), groove_mm=skewed(draw, wall, spread), width_mm=width)
    return ring, gland


@pytest.mark.parametrize("kind", ["piston", "rod"])
@pytest.mark.parametrize("motion", ["static", "dynamic"])
def test_no_ring_that_fits_is_lost_by_its_nominal_sizes(kind: str, motion: str) -> None:
    draw, fitting = random.Random(f"{kind} {motion}"), 0
    for _ in range(400):
        ring, gland = drawn(draw, kind)
        told = RingInGland(ring, gland, motion, OIL, reused=False)
        judged = [one for one in oring(told).findings if one.code != "gap_missing"]
        if verdict_of(judged) is not Verdict.FITS:
            continue
        fitting += 1
        reach = reach_of(gland, motion)
        assert reach is not None and reach.takes(ring.id_mm.nominal, ring.section_mm.nominal), (ring, gland)
        (found,) = rank(Rings.of(ring), gland, motion, 1, coldest_c=-10.0)
        assert found.verdict is Verdict.FITS, (ring, gland)
    assert fitting >= 30, fitting
