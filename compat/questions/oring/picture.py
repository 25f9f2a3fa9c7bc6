"""The sizes of the O-ring question: the ring alone, and the three glands that it may lie in. Proportions are invented.

Cut lengthwise solid round parts stay without hatching (ISO 128-3); so do piston and rod here, which leaves the groove
clear. The ring itself is solid black, and squeezed where it lies in a gland.
"""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, along, letter, pointer
from compat.engineering.drawing.hatching import COARSE, FALLING, RISING, hatch
from compat.engineering.drawing.rings import free_ring, halves, squeezed, tube, whole
from compat.engineering.drawing.shapes import Point, Shape, area, box, line

RING, FACE, PISTON, ROD = 72.0, 238.0, 82.0, 254.0  # axes
INNER, SECTION = 32.0, 26.0
WIDTH, DEEP, LONG = 33.0, 18.0, 23.0  # of a groove; of a squeezed section: across, along
LOWER = 20.0  # the ring alone, below the face of the gland beside it
ROW = 170.0  # from the middle of the upper row down to the middle of the lower one


def oring_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """Above: the ring alone, a face gland. Below: a piston gland, a rod gland."""
    return [
        *free_ring(RING, LOWER, INNER, SECTION, letters["ring.id_mm"], letters["ring.section_mm"]),
        *_face(letters),
        *_piston(letters),
        *_rod(letters),
    ]


def _face(letters: Mapping[str, str]) -> list[Shape]:
    """A groove in the face of a body, under a cover."""
    inner, outer, rim, foot, cover = 26.0, 26.0 + WIDTH, 67.0, DEEP + 14, 12.0
    body = whole(FACE, [(inner, 0), (inner, DEEP), (outer, DEEP), (outer, 0), (rim, 0), (rim, foot)])
    lid = box(FACE - rim, -cover, FACE + rim, 0)
    shapes: list[Shape] = []
    for ring, slope in ((body, RISING), (lid, FALLING)):
        shapes += [area("cut", *ring), hatch([ring], slope, COARSE)]
    shapes += [squeezed(FACE + side * (inner + outer) / 2, DEEP / 2, LONG, DEEP) for side in (-1, 1)]
    shapes.append(line("axis", (FACE, -cover - 8), (FACE, foot + 8)))
    shapes += across(FACE - outer, FACE - inner, -cover - 18, letter(letters["gland.width_mm"]), 0)
    shapes += along(0, DEEP, FACE + rim + 14, letter(letters["gland.depth_mm"]), FACE + rim, FACE + outer)
    for place, (radius, field) in enumerate(((inner, "inner"), (outer, "outer")), start=1):
        shapes += across(FACE - radius, FACE + radius, foot + 19 * place, letter(letters[f"gland.{field}_mm"]), DEEP)
    return shapes


def _piston(letters: Mapping[str, str]) -> list[Shape]:
    """A groove in a piston, which runs in a bore."""
    bore, land, bottom, half, wall = 54.0, 51.0, 54.0 - DEEP, WIDTH / 2, 44.0
    high = 36.0
    profile: list[Point] = [(land, -high), (land, -half), (bottom, -half), (bottom, half), (land, half), (land, high)]
    shapes = tube(PISTON, bore, bore + 14, ROW - wall, ROW + wall, RISING)
    shapes.append(area("shaft", *whole(PISTON, [(r, ROW + y) for r, y in profile])))
    shapes += [squeezed(PISTON + side * (bore + bottom) / 2, ROW, DEEP, LONG) for side in (-1, 1)]
    shapes.append(line("axis", (PISTON, ROW - high - 8), (PISTON, ROW + high + 8)))
    shapes += across(PISTON - bottom, PISTON + bottom, ROW - wall - 18, letter(letters["gland.groove_mm"]), ROW - half)
    shapes += across(PISTON - bore, PISTON + bore, ROW + wall + 20, letter(letters["gland.bore_mm"]), ROW + wall)
    shapes += across(PISTON - land, PISTON + land, ROW - wall - 37, letter(letters["gland.land_mm"]), ROW - high)
    gap = (PISTON + (bore + land) / 2, ROW + high - 4)
    shapes += pointer((gap, (PISTON + bore + 26, ROW + wall + 16)), letters["gland.extrusion_gap_mm"])
    return [
        *shapes,
        *along(ROW - half, ROW + half, PISTON + 18, letter(letters["gland.width_mm"]), PISTON + bottom),
    ]


def _rod(letters: Mapping[str, str]) -> list[Shape]:
    """A groove in a housing, through which a rod runs."""
    rod, bore, bottom, half, rim, high = 28.0, 31.0, 28.0 + DEEP, WIDTH / 2, 68.0, 36.0
    end = 46.0
    profile: list[Point] = [(bore, -high), (bore, -half), (bottom, -half), (bottom, half), (bore, half), (bore, high)]
    housing = [*((r, ROW + y) for r, y in profile), (rim, ROW + high), (rim, ROW - high)]
    shapes = halves(ROD, housing, RISING)
    shapes += [line("outline", (ROD - bore, ROW + y), (ROD + bore, ROW + y)) for y in (-high, high)]
    shapes.append(area("shaft", *box(ROD - rod, ROW - end, ROD + rod, ROW + end)))
    shapes += [squeezed(ROD + side * (rod + bottom) / 2, ROW, DEEP, LONG) for side in (-1, 1)]
    shapes.append(line("axis", (ROD, ROW - end - 6), (ROD, ROW + end + 8)))
    shapes += across(ROD - bottom, ROD + bottom, ROW - end - 18, letter(letters["gland.groove_mm"]), ROW - half)
    shapes += across(ROD - rod, ROD + rod, ROW + end + 20, letter(letters["gland.rod_mm"]), ROW + end)
    shapes += across(ROD - bore, ROD + bore, ROW + end + 39, letter(letters["gland.land_mm"]), ROW + high)
    return [*shapes, *along(ROW - half, ROW + half, ROD + 13, letter(letters["gland.width_mm"]), ROD + bore)]
