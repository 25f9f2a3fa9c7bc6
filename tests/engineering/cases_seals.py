"""Ranges, rings and glands that the tests of seals share."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from compat.engineering.answers import Answer
from compat.engineering.seals.compounds import Service
from compat.engineering.seals.gland import Gland
from compat.engineering.seals.ring import Ring
from compat.engineering.units import Range

exact = Range.exact


def codes(answer: Answer) -> set[str]:
    """The codes of an answer's findings."""
    return {finding.code for finding in answer.findings}


def met(
    compound: str | None,
    fluid: str | None = None,
    hottest_c: float | None = None,
    coldest_c: float | None = 0.0,
    **more: Any,
) -> Service:
    """What a ring is made of and meets: 2 MPa and 70 Shore A unless said."""
    known: dict[str, Any] = {"pressure_mpa": exact(2.0), "hardness_shore_a": exact(70.0), **more}
    return Service(compound, fluid, hottest_c, coldest_c, **known)


GAP = exact(0.1)


def gapped(gland: Gland, gap: Range = GAP) -> Gland:
    """The same with a gap beside it, in diameter."""
    return replace(gland, extrusion_gap_mm=gap)


def piston(bore: Range, groove: Range, width: Range | None = None) -> Gland:
    """A piston gland."""
    return Gland("piston", bore_mm=bore, groove_mm=groove, width_mm=width)


def within(size: Range, draw: random.Random) -> Range:
    """One value of a range."""
    return exact(draw.uniform(size.low, size.high))


def sampled(ring: Ring, gland: Gland, seed: int, times: int) -> Iterator[tuple[Ring, Gland]]:
    """The same ring and gland at single values inside their limits."""
    draw = random.Random(seed)
    names = ("bore_mm", "rod_mm", "groove_mm", "depth_mm", "inner_mm", "outer_mm", "width_mm")
    for _ in range(times):
        sizes: dict[str, Any] = {
            name: within(size, draw) for name in names if (size := getattr(gland, name)) is not None
        }
        yield Ring(within(ring.id_mm, draw), within(ring.section_mm, draw)), Gland(gland.kind, **sizes)
