"""The sizes of the torque question: the nut on its shaft, cut, and a wrench with an adapter in line."""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, along, letter
from compat.engineering.drawing.hatching import COARSE, RISING, hatch
from compat.engineering.drawing.shapes import Circle, Point, Shape, area, box, line

AXIS, RADIUS, HOLE, NUT, FACE = 110.0, 30.0, 11.0, 58.0, 47.0
RELIEF, GROOVE = 25.0, (10.0, 30.0)  # its radius, and where it lies
UNDER, TOP, END, DOWN = 0.0, -62.0, -78.0, 44.0
WRENCH, DRIVE, GRIP, HEAD, BAR = 152.0, 116.0, 308.0, 40.0, 6.0  # heights and places of the wrench


def torque_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """The nut sits on its bearing face at y = 0, the relief groove of the shaft under it; below them the wrench, whose
    adapter turns about the nut."""
    half = ((RADIUS, END), (RADIUS, GROOVE[0]), (RELIEF, GROOVE[0]), (RELIEF, GROOVE[1]), (RADIUS, GROOVE[1]))
    side: list[Point] = [*half, (RADIUS, DOWN)]
    shapes: list[Shape] = [
        area("shaft", *((AXIS + x, y) for x, y in side), *((AXIS - x, y) for x, y in reversed(side))),
        line("hidden", (AXIS - HOLE, END), (AXIS - HOLE, DOWN)),
        line("hidden", (AXIS + HOLE, END), (AXIS + HOLE, DOWN)),
        line("outline", (AXIS - NUT - 24, UNDER), (AXIS + NUT + 24, UNDER)),
        line("axis", (AXIS, END - 10), (AXIS, DOWN + 8)),
    ]
    for hand in (-1, 1):
        ring = list(box(AXIS + hand * RADIUS, TOP, AXIS + hand * NUT, UNDER))
        shapes += [area("cut", *ring), hatch([ring], RISING, COARSE)]
    shapes += across(AXIS - HOLE, AXIS + HOLE, END - 22, letter(letters["hole_mm"]), END)
    middle = sum(GROOVE) / 2
    shapes += across(AXIS - RELIEF, AXIS + RELIEF, middle, letter(letters["relief_diameter_mm"]), middle)
    shapes += along(TOP, UNDER, AXIS + NUT + 40, letter(letters["engagement_mm"]), AXIS + NUT)
    shapes += across(AXIS - FACE, AXIS + FACE, DOWN + 24, letter(letters["bearing_mm"]), UNDER)
    shapes += [
        Circle("balloon-none", HEAD, WRENCH, 14.0),
        area("shaft", *box(HEAD + 14, WRENCH - BAR, DRIVE, WRENCH + BAR)),
        area("shaft", *box(DRIVE, WRENCH - BAR - 3, GRIP, WRENCH + BAR + 3)),
        line("axis", (HEAD, WRENCH - 22), (HEAD, WRENCH + 22)),
        line("axis", (DRIVE + 8, WRENCH - 22), (DRIVE + 8, WRENCH + 22)),
    ]
    shapes += across(HEAD, DRIVE + 8, WRENCH + 34, letter(letters["adapter_offset_mm"]), WRENCH + 16, WRENCH + 12)
    return [*shapes, *across(DRIVE + 8, GRIP - 24, WRENCH + 34, letter(letters["wrench_length_mm"]), WRENCH + 12)]
