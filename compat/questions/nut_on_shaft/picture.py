"""The sizes of the nut-on-shaft question: the shaft's end with its nut cut, and the two threads enlarged."""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, along, letter
from compat.engineering.drawing.hatching import COARSE, FALLING, RISING, hatch
from compat.engineering.drawing.shapes import Path, Point, Shape, area, box, line

AXIS, RADIUS, MINOR, HOLE = 150.0, 34.0, 28.0, 12.0
RELIEF = RADIUS * 0.84
SHOULDER_RADIUS = 52.0
LIP, THREAD, UNDER, TOP, END = 70.0, 84.0, 104.0, 164.0, 186.0  # heights above the shoulder
NUT, CHAMFER = 62.0, 10.0
RING, RING_OUTER = 13.0, 44.0  # a nylon ring at the nut's far face
DETAIL_X, TOOTH, TEETH = 266.0, 34.0, 3


def nut_picture(letters: Mapping[str, str]) -> list[Shape]:
    """Positions from the shoulder to the left, sizes of the nut to the right, diameters above and below."""
    half: list[Point] = [
        (SHOULDER_RADIUS, 26),
        (SHOULDER_RADIUS, 0),
        (RADIUS, 0),
        (RADIUS, -LIP),
        (RELIEF, -LIP),
        (RELIEF, -THREAD + 5),
        (RADIUS, -THREAD),
        (RADIUS, -END + 4),
        (RADIUS - 4, -END),
    ]
    outline = [(AXIS + x, y) for x, y in half] + [(AXIS - x, y) for x, y in reversed(half)]
    minor = tuple(((AXIS + x, -THREAD), (AXIS + x, -END)) for x in (-MINOR, MINOR))
    hole = tuple(((AXIS + x, 26.0), (AXIS + x, -END)) for x in (-HOLE, HOLE))
    shapes: list[Shape] = [
        area("shaft", *outline),
        line("outline", (AXIS - SHOULDER_RADIUS, 0), (AXIS + SHOULDER_RADIUS, 0)),
        line("outline", (AXIS - RADIUS, -LIP), (AXIS + RADIUS, -LIP)),
        line("outline", (AXIS - RADIUS, -THREAD), (AXIS + RADIUS, -THREAD)),
        Path("thin", minor),
        Path("hidden", hole),
        *_nut(),
        line("axis", (AXIS, 34), (AXIS, -END - 10)),
    ]
    for place, (field, high) in enumerate(
        (("nut.underside_mm", UNDER), ("shaft.full_thread_start_mm", THREAD), ("shaft.shaft_end_mm", END))
    ):
        start = (AXIS - SHOULDER_RADIUS, AXIS - (NUT if field.startswith("nut") else RADIUS))
        at = AXIS - SHOULDER_RADIUS - (48, 24, 72)[place]
        shapes += along(0, -high, at, letter(letters[field]), *start)
    right = AXIS + NUT
    shapes += along(-UNDER, -TOP, right + 32, letter(letters["nut.height_mm"]), right)
    shapes += along(-TOP + RING, -TOP, right + 12, letter(letters["nut.unthreaded_mm"]), AXIS + RING_OUTER, right)
    shapes += along(
        -UNDER, -UNDER - CHAMFER, AXIS + NUT - 10, letter(letters["nut.chamfer_mm"]), AXIS + RADIUS, AXIS + MINOR
    )
    shapes += across(AXIS - HOLE, AXIS + HOLE, 44, letter(letters["shaft.hole_mm"]), 26)
    shapes += across(AXIS - RELIEF, AXIS + RELIEF, -LIP - 4.5, letter(letters["shaft.relief_diameter_mm"]), -LIP - 4.5)
    shapes += across(AXIS - MINOR, AXIS + MINOR, -END - 22, letter(letters["nut.minor_mm"]), -TOP)
    shapes += across(AXIS - RADIUS, AXIS + RADIUS, -END - 42, letter(letters["shaft.major_mm"]), -END + 4)
    return [*shapes, *_threads(letters)]


def _nut() -> list[Shape]:
    """Cut on both sides, its thread's chamfers at both faces, a nylon ring at the far one."""
    shapes: list[Shape] = []
    for side in (-1, 1):
        half = [
            (RADIUS + 2, -UNDER),
            (NUT, -UNDER),
            (NUT, -TOP),
            (RADIUS + 2, -TOP),
            (MINOR, -TOP + CHAMFER),
            (MINOR, -UNDER - CHAMFER),
        ]
        ring = [(AXIS + side * x, y) for x, y in half]
        # The shaft's thread hides the nut's (ISO 6410-1), so the cut ends at the shaft.
        seen = [(AXIS + side * max(x, RADIUS), y) for x, y in half[:4]]
        shapes += [area("cut", *seen), hatch([seen], RISING, COARSE)]
        shapes.append(line("thin", *ring[3:], ring[0]))
        nylon = [(AXIS + side * x, y) for x, y in box(RADIUS, -TOP, RING_OUTER, -TOP + RING)]
        shapes += [area("cut", *nylon), hatch([nylon], FALLING, 4.0)]
    return shapes


def _threads(letters: Mapping[str, str]) -> list[Shape]:
    """The profile of the shaft's thread and of the nut's, apart, each with its pitch from crest to crest."""
    shapes: list[Shape] = []
    deep = TOOTH * 0.75
    for top, field, slope, side in (
        (34.0, "shaft.gauged_pitch_mm", FALLING, 1),
        (-34.0, "nut.gauged_pitch_mm", RISING, -1),
    ):
        left = DETAIL_X - TEETH * TOOTH / 2
        ridge: list[Point] = []
        for n in range(TEETH):
            x = left + n * TOOTH
            ridge += [(x, top + side * deep), (x + TOOTH / 2 - 2, top), (x + TOOTH / 2 + 2, top)]
        ridge.append((left + TEETH * TOOTH, top + side * deep))
        base = top + side * (deep + 12)
        ring = [*ridge, (ridge[-1][0], base), (left, base)]
        shapes += [area("cut", *ring), hatch([ring], slope, 4.0)]
        crest = left + TOOTH / 2
        shapes += across(crest, crest + TOOTH, top - side * 15, letter(letters[field]), top)
    return shapes
