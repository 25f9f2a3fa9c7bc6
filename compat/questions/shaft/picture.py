"""The sizes of the shaft question: a shaft between centres, a micrometer and a dial gauge on it, and its end view."""

from __future__ import annotations

import math
from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, along, badge, letter
from compat.engineering.drawing.outlines import turned
from compat.engineering.drawing.rings import directions, head
from compat.engineering.drawing.shapes import Circle, Point, Shape, area, box, line

LEFT, RIGHT, END_VIEW = 32.0, 208.0, 282.0
NEW, WORN, LIMIT = 32.0, 26.0, 20.0  # radii; the wear is drawn larger than it is
WAIST = (62.0, 70.0, 170.0, 178.0)  # where wear begins and is full, and the same at its other end
TRAVEL = (70.0, 170.0)  # from where to where the seal runs
DEPTHS = (84.0, 118.0, 152.0)
DIAL, LEAST, FULL = 135.0, 166.0, 192.0
ANVIL, STUD, THIMBLE = 30.0, 14.0, 24.0  # lengths


def shaft_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """The axis is y = 0. Solid is the shaft as it is, broken the smallest that it may become."""
    start, full, full_end, end = WAIST
    upper: list[Point] = [(LEFT, -NEW), (start, -NEW), (full, -WORN), (full_end, -WORN), (end, -NEW), (RIGHT, -NEW)]
    read = DEPTHS[0]
    shapes: list[Shape] = [
        *_centre(LEFT, -1),
        *_centre(RIGHT, 1),
        area("shaft", *upper, *((x, -y) for x, y in reversed(upper))),
        *[line("hidden", (start + 2, y), (end - 2, y)) for y in (-LIMIT, LIMIT)],
        *[line("axis", (x, -WORN - 8), (x, WORN + 8)) for x in DEPTHS[1:]],
        line("axis", (LEFT - 30, 0), (RIGHT + 30, 0)),
        *_micrometer(read),
        *_dial(letters["runout_mm"]),
        *_turning(LEFT + 10),
    ]
    shapes += along(-WORN, WORN, read, letter(letters["readings.diameter_mm"]), read)
    shapes += along(-LIMIT, LIMIT, LEAST, letter(letters["min_diameter_mm"]), LEAST)
    shapes += along(-NEW, NEW, FULL, letter(letters["nominal_mm"]), FULL)
    foot = WORN + STUD + THIMBLE / 2
    shapes += across(LEFT, read, foot + 18, letter(letters["readings.depth_mm"]), NEW, foot)
    for place, (end, field) in enumerate(zip(TRAVEL, ("travel_from_mm", "travel_to_mm"), strict=True), start=1):
        shapes += across(LEFT, end, foot + 18 + 19 * place, letter(letters[field]), NEW, WORN)
    shapes.append(Circle("plain", END_VIEW, 0, NEW))
    return [*shapes, *directions(END_VIEW, 0, NEW, NEW, letters["readings.angle_deg"])]


def _centre(x: float, out: int) -> list[Shape]:
    """A centre of 60 degrees, which carries the shaft's end at x from outside."""
    seen, thick = 5.0, 14.0
    slope = x + out * (thick - seen) * math.sqrt(3)
    end = slope + out * 8
    half: list[Point] = [(x, seen), (slope, thick), (end, thick)]
    return [area("jaw", *half, *((at, -y) for at, y in reversed(half)))]


def _micrometer(x: float) -> list[Shape]:
    """Its spindle and thimble above the shaft, its anvil below."""
    top = -WORN - ANVIL
    return [
        area("jaw", *box(x - 4, top, x + 4, -WORN)),
        area("jaw", *box(x - 8, top - THIMBLE, x + 8, top)),
        *[line("thin", (x - 8, top - y), (x + 8, top - y)) for y in (4, 8, 12, 16, 20)],
        area("jaw", *box(x - 4, WORN, x + 4, WORN + STUD)),
        area("jaw", *box(x - 8, WORN + STUD, x + 8, WORN + STUD + THIMBLE / 2)),
    ]


def _dial(text: str) -> list[Shape]:
    """A dial gauge whose plunger stands on the shaft."""
    y, radius = -88.0, 19.0
    shapes: list[Shape] = [
        area("jaw", *box(DIAL - 1.5, y, DIAL + 1.5, -WORN)),
        area("jaw", *box(DIAL - 4, y, DIAL + 4, y + radius + 22)),
        Circle("balloon-none", DIAL, y, radius),
        *[line("thin", turned(DIAL, y, radius - 4, at), turned(DIAL, y, radius - 1, at)) for at in range(0, 360, 30)],
        line("outline", (DIAL, y), turned(DIAL, y, radius - 6, 40)),
        line("dim", (DIAL + radius, y), (DIAL + radius + 16, y)),
    ]
    return [*shapes, *badge(DIAL + radius + 16, y, text)]


def _turning(x: float) -> list[Shape]:
    """An arrow about the shaft: it is turned while the dial gauge is read."""
    wide, high = 7.0, 22.0
    arc = [(x + wide * math.cos(math.radians(at)), high * math.sin(math.radians(at))) for at in range(-80, 81, 5)]
    (tip_x, tip_y), (x0, y0) = arc[-1], arc[-3]
    length = math.dist((tip_x, tip_y), (x0, y0))
    return [line("outline", *arc), head((tip_x, tip_y), ((x0 - tip_x) / length, (y0 - tip_y) / length))]
