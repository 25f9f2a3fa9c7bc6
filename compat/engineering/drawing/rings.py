"""Rings and round sections of the measuring pictures: an O-ring free and squeezed, cut halves, and an end view."""

from __future__ import annotations

import math
from collections.abc import Sequence

from compat.engineering.drawing.dimensions import ARROW, SPREAD, across, along, badge, letter
from compat.engineering.drawing.hatching import COARSE, hatch
from compat.engineering.drawing.outlines import circle, turned
from compat.engineering.drawing.shapes import Circle, Point, Shape, Text, area, box, line

CORNER_STEPS = 8
DIAGONAL = math.sqrt(0.5)


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


def directions(x: float, y: float, radius: float, edge: float, text: str) -> list[Shape]:
    """Two diameters at right angles in a circle of this radius, and the angle of the second from the first.

    The first stands upright and is 0 degrees; the figures stand outside the radius `edge`.
    """
    shapes: list[Shape] = []
    for dx, dy in ((0, 1), (1, 0)):
        ends = [(x + side * dx * radius, y + side * dy * radius) for side in (-1, 1)]
        shapes.append(line("dim", *ends))
        shapes += [head(tip, (-side * dx, -side * dy)) for tip, side in zip(ends, (-1, 1), strict=True)]
    arc, inner = radius * 0.72, radius * 0.42 * DIAGONAL
    lean = math.degrees(ARROW / arc)
    shapes.append(line("dim", *circle(x, y, arc, 0, 90)))
    shapes.append(head((x + arc, y), (-math.sin(math.radians(lean / 2)), -math.cos(math.radians(lean / 2)))))
    shapes += badge(x + inner, y - inner, text)
    shapes.append(Text("value", x, y - edge - 8, "0°", 10.0))
    return [*shapes, Text("value", x + edge + 3, y, "90°", 10.0, "start")]


def head(tip: Point, back: tuple[float, float]) -> Shape:
    """An arrowhead at `tip` whose body lies towards `back`, a direction of length one."""
    bx, by = tip[0] + back[0] * ARROW, tip[1] + back[1] * ARROW
    return area(
        "arrow", tip, (bx - back[1] * SPREAD, by + back[0] * SPREAD), (bx + back[1] * SPREAD, by - back[0] * SPREAD)
    )
