"""The parts of a valve as they stand on the shaft, without references and words."""

from __future__ import annotations

from collections.abc import Sequence

from compat.engineering.drawing import shaft
from compat.engineering.drawing.cuts import part_shapes
from compat.engineering.drawing.heights import Placed, Scale
from compat.engineering.drawing.items import Assembly, Kind
from compat.engineering.drawing.shapes import Shape, area, box, line


def standing(
    axis: float, assembly: Assembly, placed: Sequence[Placed], scale: Scale, at: shaft.ShaftLevels
) -> list[Shape]:
    """Shaft, then parts from the shoulder outward, about x = `axis` with the shoulder at y = 0."""
    radius = scale.shaft_mm / 2 * scale.across
    shapes = shaft.shaft_shapes(axis, radius, at)
    # On the outside half the parts hide the shaft, in the light between thin parts too.
    top = max([one.high for one in placed if one.item.kind is not Kind.NUT], default=0.0)
    shapes.append(area("mask", *box(axis - radius * shaft.SHOULDER - 1, -top, axis, -0.7)))
    number = 0
    for one in placed:
        shapes += part_shapes(axis, one, number, scale, assembly.face_below, assembly.face_above)
        number += max(1, len(one.bars))
    shapes.append(line("axis", (axis, shaft.STUB + 8), (axis, -at.end - 8)))
    return shapes
