"""The sizes of the question of a shaft in its bore: a bush on a shaft, cut along and across; the gap is exaggerated."""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, along, letter
from compat.engineering.drawing.hatching import COARSE, FALLING, RISING, hatch
from compat.engineering.drawing.outlines import circle
from compat.engineering.drawing.rings import tube
from compat.engineering.drawing.shapes import Path, Shape, area, box, line

AXIS, ACROSS = 88.0, 254.0
SHAFT, NOMINAL, BORE, OUTER = 27.0, 36.0, 45.0, 70.0  # radii
HIGH, TOP, FOOT = 64.0, -22.0, 88.0  # of the bush; of the shaft


def clearance_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """Left both on one axis, the common nominal size broken between them. Right the shaft pushed to one side."""
    shapes: list[Shape] = [
        *tube(AXIS, BORE, OUTER, 0, HIGH, RISING),
        area("shaft", *box(AXIS - SHAFT, TOP, AXIS + SHAFT, FOOT)),
        *[line("hidden", (AXIS + x, TOP), (AXIS + x, HIGH + 10)) for x in (-NOMINAL, NOMINAL)],
        line("axis", (AXIS, TOP - 6), (AXIS, FOOT + 8)),
    ]
    shapes += across(AXIS - NOMINAL, AXIS + NOMINAL, TOP - 20, letter(letters["nominal_mm"]), TOP)
    shapes += across(AXIS - BORE, AXIS + BORE, TOP - 39, letter(letters["bore_mm"]), 0)
    shapes += across(AXIS - SHAFT, AXIS + SHAFT, FOOT + 20, letter(letters["shaft_mm"]), FOOT)
    middle, low = HIGH / 2, HIGH / 2 + BORE - SHAFT
    bush = [circle(ACROSS, middle, radius) for radius in (OUTER, BORE)]
    shaft = circle(ACROSS, low, SHAFT)
    shapes += [Path("cut", tuple(bush), closed=True), hatch(bush, RISING, COARSE)]
    shapes += [area("cut", *shaft), hatch([shaft], FALLING, COARSE)]
    top = low - SHAFT
    return [*shapes, *along(middle - BORE, top, ACROSS, letter(letters["most_clearance_mm"]), ACROSS)]
