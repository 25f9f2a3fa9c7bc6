"""The jaws of a caliper, where a length is easily measured wrong. A tip touches the point that is given."""

from __future__ import annotations

from compat.engineering.drawing.shapes import Shape, area, box

BLADE, TIP = 9.0, 3.0


def outside_jaws(x: float, low: float, high: float, reach: float) -> list[Shape]:
    """Two blades about an upright length from y = `low` down to y = `high`, coming from x + reach to x."""
    shapes: list[Shape] = []
    for y, away in ((min(low, high), -1), (max(low, high), 1)):
        shapes.append(area("jaw", (x, y), (x + reach, y), (x + reach, y + away * BLADE), (x, y + away * TIP)))
    return shapes


def inside_jaws(left: float, right: float, y: float, reach: float) -> list[Shape]:
    """Two blades that push outward at (left, y) and (right, y), coming from y - reach."""
    shapes: list[Shape] = []
    for x, inward in ((left, 1), (right, -1)):
        shapes.append(area("jaw", (x, y), (x, y - reach), (x + inward * BLADE, y - reach), (x + inward * TIP, y)))
    return shapes


def depth_rod(x: float, foot: float, edge: float, half: float) -> list[Shape]:
    """A depth rod that stands at y = `foot`, and the beam's end at y = `edge` above it, `half` wide to both sides."""
    return [
        area("jaw", *box(x - 2, edge, x + 2, foot)),
        area("jaw", *box(x - half, edge - 12, x + half, edge)),
    ]


def embracing_jaws(left: float, right: float, y: float, reach: float) -> list[Shape]:
    """Two blades about a level length from x = `left` to x = `right`, coming from y + reach to y."""
    shapes: list[Shape] = []
    for x, away in ((left, -1), (right, 1)):
        shapes.append(area("jaw", (x, y), (x, y + reach), (x + away * BLADE, y + reach), (x + away * TIP, y)))
    return shapes
