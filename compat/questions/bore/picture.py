"""The sizes of the bore question: a body cut along its axis with a two-point gauge in it, and an end view."""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, along, letter
from compat.engineering.drawing.hatching import COARSE, RISING, hatch
from compat.engineering.drawing.outlines import circle
from compat.engineering.drawing.rings import directions, halves
from compat.engineering.drawing.shapes import Path, Point, Shape, area, box, line

AXIS, END_VIEW = 106.0, 236.0
NEW, WORN, LIMIT, OUTER = 34.0, 40.0, 47.0, 54.0  # radii; the wear is drawn larger than it is
FOOT = 186.0
DEPTHS = (34.0, 93.0, 152.0)
TRAVEL = (26.0, 162.0)  # from where to where the piston's seal runs
PIN, HANDLE, HEAD = 3.0, 5.0, 12.0


def bore_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """The mouth of the bore lies above, y = 0. Solid is the bore as it is, broken the largest that it may become."""
    middle = DEPTHS[1]
    wall: list[Point] = [(NEW, 0), (NEW, 16), (WORN, middle - 20), (WORN, middle + 20), (NEW, FOOT - 16), (NEW, FOOT)]
    shapes = halves(AXIS, [*wall, (OUTER, FOOT), (OUTER, 0)], RISING)
    shapes += [line("hidden", (AXIS + x, 0), (AXIS + x, FOOT)) for x in (-LIMIT, LIMIT)]
    shapes += [line("thin", (AXIS - NEW, y), (AXIS + NEW, y)) for y in (0.0, FOOT)]
    shapes += [line("axis", (AXIS - OUTER - 8, y), (AXIS + OUTER + 8, y)) for y in DEPTHS]
    shapes += [line("axis", (AXIS, -8), (AXIS, FOOT + 8)), *_gauge(middle)]
    shapes += across(AXIS - WORN, AXIS + WORN, middle + 26, letter(letters["readings.diameter_mm"]), middle)
    shapes += across(AXIS - NEW, AXIS + NEW, FOOT + 18, letter(letters["nominal_mm"]), FOOT)
    shapes += across(AXIS - LIMIT, AXIS + LIMIT, FOOT + 37, letter(letters["max_diameter_mm"]), FOOT)
    left = AXIS - OUTER
    shapes += along(0, middle, left - 22, letter(letters["readings.depth_mm"]), left, left - 8)
    for place, (end, field) in enumerate(zip(TRAVEL, ("travel_from_mm", "travel_to_mm"), strict=True), start=1):
        shapes += along(0, end, left - 22 - 19 * place, letter(letters[field]), left, left)
    rings = [circle(END_VIEW, middle, radius) for radius in (OUTER, WORN)]
    shapes += [Path("cut", tuple(rings), closed=True), hatch(rings, RISING, COARSE)]
    return [*shapes, *directions(END_VIEW, middle, WORN, OUTER, letters["readings.angle_deg"])]


def _gauge(y: float) -> list[Shape]:
    """A two-point gauge: its pins touch the bore at this height, its handle comes out of the mouth."""
    return [
        area("jaw", *box(AXIS - HANDLE, -34, AXIS + HANDLE, y - 8)),
        area("jaw", *box(AXIS - WORN, y - PIN, AXIS + WORN, y + PIN)),
        area("jaw", *box(AXIS - HEAD, y - 9, AXIS + HEAD, y + 9)),
    ]
