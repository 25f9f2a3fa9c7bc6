"""The sizes of the spacer and stack questions, on an invented valve in half section."""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing import shaft
from compat.engineering.drawing.dimensions import across, along, letter, pointer
from compat.engineering.drawing.hatching import COARSE, RISING, hatch
from compat.engineering.drawing.heights import Placed, Scale, place, scale_of
from compat.engineering.drawing.items import Assembly, Item, Kind, PistonFace, ShaftEnd
from compat.engineering.drawing.jaws import depth_rod, outside_jaws
from compat.engineering.drawing.labels import spread
from compat.engineering.drawing.shapes import Path, Point, Shape, area, box, line
from compat.engineering.drawing.standing import standing

FACE = PistonFace(22, 34, 37, 20)
PISTON = 50.0
PITCH = 19.0
Pointed = tuple[float, float, str]


def spacer_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """The built valve; beside it the bare shaft with a depth rod, and the outer base plate between jaws."""
    axis, bare = 132.0, 292.0
    assembly, scale, placed, at = _valve(widest=78, spacer=True)
    assert at.lip is not None
    shapes = standing(axis, assembly, placed, scale, at)
    plate, spacer = placed[-2], placed[-3]
    under, clamp = placed[-4].high, placed[-4]
    radius = 12 / 2 * scale.across
    shapes += along(
        0, -under, 22, letter(letters["stack_height_mm"]), axis - radius * shaft.SHOULDER, axis - clamp.outer
    )
    edge = axis + plate.outer
    shapes += along(-plate.low, -at.lip, edge + 14, letter(letters["on_straight_mm"]), edge, axis + radius)
    shapes += along(-at.lip, -plate.high, edge + 14, letter(letters["past_lip_mm"]), axis + radius, edge)
    pointed = [
        (axis + radius, -at.end + 5, letters["shaft_mm"]),
        (axis + spacer.outer, -spacer.middle, letters["spacer_max_od_mm"]),
        (axis + clamp.outer, -clamp.middle, letters["clamp_od_mm"]),
    ]
    shapes += _pointers(pointed, edge + 20, edge + 36)
    shapes += shaft.shaft_shapes(bare, radius, at)
    shapes.append(line("axis", (bare, shaft.STUB + 8), (bare, -at.end - 8)))
    rod = bare + radius + 4
    shapes += depth_rod(rod, 0, -at.lip, 14)
    left = bare - radius
    shapes += along(0, -at.lip, left - 26, letter(letters["shoulder_to_lip_mm"]), bare - radius * shaft.SHOULDER, left)
    return [*shapes, *_plate_in_jaws(bare, 70, letters["base_plate_mm"])]


def stack_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """The built valve, heights to the left, diameters to the right; below it one shim cut."""
    axis = 150.0
    assembly, scale, placed, at = _valve(widest=64, spacer=False)
    shapes = standing(axis, assembly, placed, scale, at)
    wall = (PISTON + 0.5) / 2 * scale.across
    shapes.append(Path("bore", tuple(((axis + x, shaft.STUB), (axis + x, -at.end)) for x in (-wall, wall))))
    washer, lower, piston, upper = placed[0], placed[1], placed[5], placed[-2]
    heights = (
        ("washers.height_mm", washer, 24),
        ("base_plates.compression.height_mm", lower, 36),
        ("piston_height_mm", piston, 24),
        ("base_plates.rebound.height_mm", upper, 36),
    )
    for field, one, at_x in heights:
        shapes += along(-one.low, -one.high, at_x, letter(letters[field]), axis - one.outer)
    contact = 27 / 2 * scale.across
    pointed = [
        (axis + 6 * scale.across, -at.end + 5, letters["shaft_mm"]),
        (axis + contact, -upper.low, letters["base_plates.rebound.contact_diameter_mm"]),
        (axis + contact, -lower.high, letters["base_plates.compression.contact_diameter_mm"]),
    ]
    shapes += _pointers(pointed, axis + wall + 18, axis + wall + 40)
    shapes += across(axis - wall, axis + wall, shaft.STUB + 26, letter(letters["body_bore_mm"]), shaft.STUB)
    top, outer, bore, thick = shaft.STUB + 92, 38 / 2 * scale.across, 12 / 2 * scale.across, 7.0
    shapes += [area("solid", *box(axis + a, top, axis + b, top + thick)) for a, b in ((-outer, -bore), (bore, outer))]
    shapes += [line("outline", (axis - bore, y), (axis + bore, y)) for y in (top, top + thick)]
    shapes.append(line("axis", (axis, top - 8), (axis, top + thick + 8)))
    shapes += across(axis - bore, axis + bore, top - 20, letter(letters["stacks.compression.bore_mm"]), top)
    shapes += across(
        axis - outer, axis + outer, top + thick + 22, letter(letters["stacks.compression.od_mm"]), top + thick
    )
    return [
        *shapes,
        *along(top, top + thick, axis + outer + 20, letter(letters["stacks.compression.thickness_mm"]), axis + outer),
    ]


def _valve(*, widest: float, spacer: bool) -> tuple[Assembly, Scale, list[Placed], shaft.ShaftLevels]:
    """A small invented valve: three lines of shims a side; `widest` millimetres fill the width of a half section."""
    lines = ((22, 1), (30, 2), (38, 3))
    items = (
        Item(Kind.WASHER, "", outer_mm=22, inner_mm=12, height_mm=3),
        Item(Kind.BASE_PLATE, "", "compression", 34, 12, 8, contact_diameter_mm=27),
        *(Item(Kind.SHIM, "", "compression", od, 12, 0.3, pieces) for od, pieces in lines),
        Item(Kind.PISTON, "", outer_mm=PISTON, inner_mm=12, height_mm=14),
        *(Item(Kind.SHIM, "", "rebound", od, 12, 0.3, pieces) for od, pieces in reversed(lines)),
        *((Item(Kind.SPACER, "", "rebound", 29, 12, 0.3, 2),) if spacer else ()),
        Item(Kind.BASE_PLATE, "", "rebound", 34, 12, 8, contact_diameter_mm=27),
        Item(Kind.NUT, "", outer_mm=19, inner_mm=12, height_mm=10),
    )
    lip = sum((item.height_mm or 0.0) * item.pieces for item in items[:-2]) + 4.0
    assembly = Assembly(items, ShaftEnd(12, lip, lip + 2.5, lip + 20), FACE, FACE, widest)
    scale = scale_of(assembly)
    placed, _ = place(assembly, scale)
    return assembly, scale, placed, shaft.levels(assembly.shaft, placed, scale)


def _pointers(pointed: list[Pointed], elbow: float, column: float) -> list[Shape]:
    """Leaders to diameters, from top to bottom, their letters in one column."""
    shapes: list[Shape] = []
    for (x, y, text), place_y in zip(pointed, spread([y for _, y, _ in pointed], PITCH), strict=True):
        shapes += pointer(((x, y), (elbow, y), (column, place_y)), text, is_diameter=True)
    return shapes


def _plate_in_jaws(middle: float, top: float, text: str) -> list[Shape]:
    """The outer base plate alone, contact face down, gripped by the jaws across both faces."""
    half, bore, high, slope = 36.0, 13.0, 20.0, 7.0
    shapes: list[Shape] = []
    for side in (-1, 1):
        half_ring: list[Point] = [(bore, 0), (half, 0), (half, high - slope), (half - slope, high), (bore, high)]
        ring = [(middle + side * x, top + y) for x, y in half_ring]
        shapes += [area("cut", *ring), hatch([ring], RISING, COARSE)]
    shapes += [line("outline", (middle - bore, y), (middle + bore, y)) for y in (top, top + high)]
    shapes.append(line("axis", (middle, top - 7), (middle, top + high + 7)))
    shapes += outside_jaws(middle + half - 14, top, top + high, 22)
    return [*shapes, *along(top, top + high, middle - half - 21, letter(text), middle - half)]
