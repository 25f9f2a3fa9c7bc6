"""Millimetre values without binary dust, so that a limit met exactly is met."""

from __future__ import annotations

from compat.engineering.units import Range


def clean(value_mm: float) -> float:
    """Rounded to a hundredth of a micrometre, far under any reading; never minus zero."""
    return round(value_mm, 5) + 0.0


def tidy(value_mm: Range) -> Range:
    """A range with all three values cleaned."""
    return Range(clean(value_mm.low), clean(value_mm.high), clean(value_mm.nominal))
