"""The sizes of the gas charge: a body cut along its axis, gas above the floating piston, oil and rod below it."""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, along, letter
from compat.engineering.drawing.hatching import RISING
from compat.engineering.drawing.rings import tube
from compat.engineering.drawing.shapes import Shape, area, box, line

AXIS, BORE, OUTER, ROD = 150.0, 44.0, 56.0, 14.0
TOP, FOOT, FLOAT = 0.0, 226.0, 70.0  # the chamber's end, the body's mouth, and the gas's length
THICK, HEAD = 22.0, 18.0  # of the floating piston, and of the rod's
ROD_OUT, STROKE = 186.0, 62.0


def charge_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """The rod is out; broken is where its piston stands with the stroke done."""
    shapes: list[Shape] = [*tube(AXIS, BORE, OUTER, TOP, FOOT, RISING)]
    shapes.append(area("cut", *box(AXIS - OUTER, TOP - 14, AXIS + OUTER, TOP)))
    shapes.append(area("shaft", *box(AXIS - BORE, FLOAT, AXIS + BORE, FLOAT + THICK)))
    shapes.append(area("shaft", *box(AXIS - BORE, ROD_OUT, AXIS + BORE, ROD_OUT + HEAD)))
    shapes.append(area("shaft", *box(AXIS - ROD, ROD_OUT + HEAD, AXIS + ROD, FOOT + 34)))
    inward = ROD_OUT - STROKE
    shapes += [line("hidden", (AXIS - BORE, y), (AXIS + BORE, y)) for y in (inward, inward + HEAD)]
    shapes.append(line("axis", (AXIS, TOP - 24), (AXIS, FOOT + 44)))
    shapes += across(AXIS - BORE, AXIS + BORE, TOP - 34, letter(letters["bore_mm"]), TOP)
    shapes += along(TOP, FLOAT, AXIS + OUTER + 26, letter(letters["depth_mm"]), AXIS + BORE)
    shapes += across(AXIS - ROD, AXIS + ROD, FOOT + 62, letter(letters["rod_mm"]), FOOT + 34)
    return [*shapes, *along(inward, ROD_OUT, AXIS - OUTER - 26, letter(letters["stroke_mm"]), AXIS - BORE)]
