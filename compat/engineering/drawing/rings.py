"""Rings and round sections of the measuring pictures: an O-ring free and squeezed, and cut halves."""

from __future__ import annotations

from collections.abc import Sequence

from compat.engineering.drawing.dimensions import across, along, letter
from compat.engineering.drawing.hatching import COARSE, hatch
from compat.engineering.drawing.outlines import turned
from compat.engineering.drawing.shapes import Circle, Point, Shape, area, box, line

CORNER_STEPS = 8


def free_ring(x: float, y: float, inner: float, section: float, bore: str, thick: str) -> list[Shape]:
    """A ring cut through its axis at x, radii given by `inner` and its `section`'s diameter; a letter at each size."""
    middle, half = inner + section / 2, section / 2
    shapes: list[Shape] = [line("outline", (x - middle, y + at), (x + middle, y + at)) for at in (-half, half)]
    shapes += [Circle("solid", x + side * middle, y, half) for side in (-1, 1)]
    shapes.append(line("axis", (x, y - half - 6), (x, y + half + 8)))
    shapes += across(x - inner, x + inner, y - half - 20, letter(bore), y)
    return [*shapes, *along(y - half, y + half, x + middle + half + 12, letter(thick), x + middle)]


def squeezed(x: float, y: float, wide: float, high: float) -> Shape:
    """The section of a ring between two walls: flat where it touches them, round where it is free."""
    radius = min(wide, high) * 0.42
    points: list[Point] = []
    for number, (dx, dy) in enumerate(((1, -1), (1, 1), (-1, 1), (-1, -1))):
        at = (x + dx * (wide / 2 - radius), y + dy * (high / 2 - radius))
        points += [turned(*at, radius, 90 * (number + step / CORNER_STEPS)) for step in range(CORNER_STEPS + 1)]
    return area("solid", *points)


def halves(axis: float, profile: Sequence[Point], slope: int) -> list[Shape]:
    """A cut ring on both sides of its axis, hatched alike, from (radius, y) points."""
    shapes: list[Shape] = []
    for side in (-1, 1):
        ring = [(axis + side * radius, y) for radius, y in profile]
        shapes += [area("cut", *ring), hatch([ring], slope, COARSE)]
    return shapes


def whole(axis: float, profile: Sequence[Point]) -> list[Point]:
    """The outline of a solid round part from the (radius, y) points of its right side, from top to bottom."""
    return [*((axis + radius, y) for radius, y in profile), *((axis - radius, y) for radius, y in reversed(profile))]


def tube(axis: float, inner: float, outer: float, top: float, foot: float, slope: int) -> list[Shape]:
    """A tube cut along its axis, its far edges seen."""
    far: list[Shape] = [line("outline", (axis - inner, y), (axis + inner, y)) for y in (top, foot)]
    return [*halves(axis, box(inner, top, outer, foot), slope), *far]
