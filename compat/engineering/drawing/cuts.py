"""Parts on the shaft in half section (ISO 128-3): right of the axis cut and hatched, left of it seen from outside.

Thin parts are filled, with light between neighbours, as ISO 128-3 allows for narrow cuts.
"""

from __future__ import annotations

from compat.engineering.drawing.hatching import COARSE, FINE, direction, hatch
from compat.engineering.drawing.heights import Placed, Scale
from compat.engineering.drawing.items import THIN, Kind, Mark, PistonFace
from compat.engineering.drawing.shapes import Path, Point, Shape, area, line

POCKET = 0.34  # depth of a port's opening in the section, in piston heights
GROOVE, LEAST_GROOVE = 2.4, 8.0  # units deep of the groove that shows where the hub ends, and the least room for it
LAND_STEP = 4.0  # units that a land stands out beside it
CORNERS = 2 / 3**0.5  # across corners, in widths across flats
Profile = list[Point]


def part_shapes(
    axis: float, placed: Placed, number: int, scale: Scale, below: PistonFace, above: PistonFace
) -> list[Shape]:
    """One part about x = `axis`, the shoulder at y = 0. By `number`, its place in the row, hatching alternates."""
    if placed.item.kind is Kind.NUT:
        return nut_shapes(axis, placed)
    if placed.item.kind in THIN:
        return _thin(axis, placed, number)
    rim = [(placed.outer, placed.low), (placed.outer, placed.high)]
    cut = [(placed.inner, placed.low), *rim, (placed.inner, placed.high)]
    if placed.item.kind is Kind.BASE_PLATE:
        rim = _plate_rim(placed, scale)
        cut = [(placed.inner, placed.low), *rim, (placed.inner, placed.high)]
    if placed.item.kind is Kind.PISTON:
        low, high = _face(placed, below, scale.across), _face(placed, above, scale.across)
        rim = [*_rim(low, placed.low, 1), *reversed(_rim(high, placed.high, -1))]
        cut = piston_cut(placed, below, above, scale.across)
    return _cut_and_face(axis, placed.item.mark, rim, cut, direction(number), COARSE)


def piston_cut(placed: Placed, below: PistonFace, above: PistonFace, across: float) -> Profile:
    """(radius, height) around the cut of a piston: ports as openings, lands standing out; unknown faces are flat."""
    low, high = _face(placed, below, across), _face(placed, above, across)
    return [*_bottom(low, placed, 1), *reversed(_bottom(high, placed, -1))]


def _cut_and_face(axis: float, mark: Mark, rim: Profile, cut: Profile, slope: int, pitch: float) -> list[Shape]:
    """The left face from its rim, and the cut area to the right, from (radius, height) points."""
    ring = [(axis + r, -h) for r, h in cut]
    seen = [(axis, -rim[0][1]), *((axis - r, -h) for r, h in rim), (axis, -rim[-1][1])]
    if mark is Mark.MISSING:
        return [line("missing", *seen), area("missing", *ring)]
    outline = "stand_in" if mark is Mark.STAND_IN else "cut"
    return [line("face", *seen), area(outline, *ring), hatch([ring], slope, pitch)]


def _thin(axis: float, placed: Placed, number: int) -> list[Shape]:
    """The pieces of a line of shims; between the two ends of a block stands a break."""
    shapes: list[Shape] = []
    mark = placed.item.mark
    for place, (low, high) in enumerate(placed.bars, start=number):
        rim = [(placed.outer, low), (placed.outer, high)]
        cut = [(placed.inner, low), *rim, (placed.inner, high)]
        if mark is Mark.NONE:
            seen = [(axis, -low), (axis - placed.outer, -low), (axis - placed.outer, -high), (axis, -high)]
            shapes += [line("thin_face", *seen), area("solid", *((axis + r, -h) for r, h in cut))]
        else:
            shapes += _cut_and_face(axis, mark, rim, cut, direction(place), FINE)
    if placed.block:
        y = -placed.middle
        xs = [axis - placed.outer, axis + placed.outer]
        steps = [xs[0] + n * (xs[1] - xs[0]) / 24 for n in range(25)]
        shapes.append(line("break", *((x, y + (1.1 if n % 2 else -1.1)) for n, x in enumerate(steps))))
    return shapes


def _plate_rim(placed: Placed, scale: Scale) -> Profile:
    """A base plate's rim: towards its stack it falls back to the diameter at which it touches it."""
    contact = placed.item.contact_diameter_mm
    radius = placed.outer if contact is None else min(placed.outer, contact / 2 * scale.across)
    radius = max(radius, placed.inner)
    slope = min(placed.outer - radius, (placed.high - placed.low) * 0.4)
    if placed.outward:
        return [(radius, placed.low), (placed.outer, placed.low + slope), (placed.outer, placed.high)]
    return [(placed.outer, placed.low), (placed.outer, placed.high - slope), (radius, placed.high)]


def _face(placed: Placed, face: PistonFace, across: float) -> dict[str, float]:
    """The radii of a face that can be drawn: inside the piston and in their order."""
    found = {"outer": placed.outer, "inner": placed.inner}
    for name, value in (("land", face.land_outer_mm), ("to", face.ports_outer_mm), ("from", face.ports_inner_mm)):
        if value is not None:
            found[name] = min(max(value / 2 * across, placed.inner), placed.outer)
    if face.hub_mm is not None and "from" in found:
        hub = face.hub_mm / 2 * across
        if placed.inner < hub and hub + LEAST_GROOVE < found["from"]:
            found["hub"] = hub
    return found


def _rim(face: dict[str, float], level: float, up: int) -> Profile:
    """The rim from one face to the middle of the piston; `up` is 1 from the lower face, -1 from the upper one."""
    land = face.get("land", face["outer"])
    if face["outer"] - land < 0.5:
        return [(face["outer"], level)]
    step = level + up * LAND_STEP
    return [(land, level), (land, step), (face["outer"], step)]


def _bottom(face: dict[str, float], placed: Placed, up: int) -> Profile:
    """One face of the cut from the bore outward, with the opening of its ports, and its rim."""
    level = placed.low if up == 1 else placed.high
    points: Profile = [(face["inner"], level)]
    if "hub" in face:
        end = face["from"] - GROOVE
        points += [(face["hub"], level), (face["hub"], level + up * GROOVE), (end, level + up * GROOVE), (end, level)]
    if "from" in face and "to" in face and face["inner"] <= face["from"] < face["to"]:
        deep = level + up * POCKET * (placed.high - placed.low)
        points += [(face["from"], level), (face["from"], deep), (face["to"], deep), (face["to"], level)]
    return [*points, *_rim(face, level, up)]


def nut_shapes(axis: float, placed: Placed) -> list[Shape]:
    """A hexagon nut seen across its corners, its upper corners chamfered; a nut is not cut."""
    corner = placed.outer * CORNERS
    chamfer = min(4.0, (placed.high - placed.low) / 4)
    points = [
        (axis - corner, -placed.low),
        (axis - corner, -placed.high + chamfer),
        (axis - corner + chamfer, -placed.high),
        (axis + corner - chamfer, -placed.high),
        (axis + corner, -placed.high + chamfer),
        (axis + corner, -placed.low),
    ]
    if placed.item.mark is Mark.MISSING:
        return [area("missing", *points)]
    edges = tuple(
        ((axis + side * corner / 2, -placed.low), (axis + side * corner / 2, -placed.high)) for side in (-1, 1)
    )
    outline = "stand_in" if placed.item.mark is Mark.STAND_IN else "nut"
    return [area(outline, *points), Path("edge", edges)]
