"""Outlines in plan view, as closed lines of points about a centre."""

from __future__ import annotations

import math

from compat.engineering.drawing.shapes import Point

Ring = tuple[Point, ...]
STEPS = 120
CUTS = 3  # notches, slots and corners are schematic: three of them
FORMS = ("round", "notched", "slotted", "polygon", "ring")


def turned(x: float, y: float, radius: float, degrees: float) -> Point:
    """The point at this distance and angle from (x, y); 0 degrees is up, clockwise."""
    angle = math.radians(degrees)
    return (x + radius * math.sin(angle), y - radius * math.cos(angle))


def circle(x: float, y: float, radius: float, start: float = 0.0, end: float = 360.0) -> Ring:
    """A circle, or the arc between two angles, as points."""
    steps = max(2, round(STEPS * (end - start) / 360))
    whole = end - start >= 360
    return tuple(turned(x, y, radius, start + (end - start) * n / steps) for n in range(steps if whole else steps + 1))


def hexagon(x: float, y: float, across_flats: float) -> Ring:
    """A hexagon with flats above and below."""
    corner = across_flats / math.sqrt(3)
    return tuple(turned(x, y, corner, 30 + 60 * n) for n in range(6))


def shim_outline(form: str, x: float, y: float, outer: float, bore: float) -> tuple[Ring, ...]:
    """The closed lines of a shim in plan view, radii given: its rim, its bore, and slots where it has them.

    Notches, slots and corners are schematic in number and size. Raises ValueError for a form that is not in FORMS.
    """
    if form not in FORMS:
        raise ValueError(f"a shim is {', '.join(FORMS)}, not {form}")
    hole = circle(x, y, bore)
    if form == "notched":
        return (_notched(x, y, outer, outer - (outer - bore) * 0.3), hole)
    if form == "slotted":
        width = outer - bore
        slots = [_slot(x, y, bore + width * 0.35, bore + width * 0.75, 360 * n / CUTS) for n in range(CUTS)]
        return (circle(x, y, outer), hole, *slots)
    if form == "polygon":
        corners = [turned(x, y, outer, 360 * n / CUTS + off) for n in range(CUTS) for off in (-14, -7, 0, 7, 14)]
        return (tuple(corners), hole)
    return (circle(x, y, outer), hole)


def _notched(x: float, y: float, outer: float, depth: float) -> Ring:
    points: list[Point] = []
    for n in range(CUTS):
        middle = 360 * n / CUTS
        points += [turned(x, y, depth, middle - 5), turned(x, y, depth, middle + 5)]
        points += circle(x, y, outer, middle + 5, middle + 360 / CUTS - 5)
    return tuple(points)


def _slot(x: float, y: float, inner: float, outer: float, middle: float) -> Ring:
    return (*circle(x, y, outer, middle - 24, middle + 24), *reversed(circle(x, y, inner, middle - 24, middle + 24)))
