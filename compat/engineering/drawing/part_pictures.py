"""Single parts from their sizes: plan view, cut beside it, dimensions. Texts come from the caller, by size."""

from __future__ import annotations

import math
from collections.abc import Mapping

from compat.engineering.drawing.cuts import piston_cut
from compat.engineering.drawing.dimensions import Label, across, along
from compat.engineering.drawing.hatching import COARSE, RISING, hatch
from compat.engineering.drawing.heights import Placed
from compat.engineering.drawing.items import Item, Kind, PistonFace
from compat.engineering.drawing.outlines import circle, hexagon, shim_outline
from compat.engineering.drawing.shapes import (
    Circle,
    Drawing,
    NotDrawable,
    Note,
    Path,
    Point,
    Shape,
    area,
    box,
    checked,
    finished,
    line,
)

WIDTH = 340.0
PLAN_X, RADIUS = 84.0, 64.0
CUT_X = 236.0
LEAST, MOST = 5.0, 84.0  # units of a cut's height
AF_OF_MAJOR = 1.5  # width across flats where it is unknown, in major diameters
MINOR = 0.86

Texts = Mapping[str, str]


def shim(od_mm: float, bore_mm: float, thickness_mm: float, form: str, texts: Texts) -> Drawing:
    """A shim in plan, and cut beside it, its thickness `thickness_factor` times exaggerated.

    Texts: `outer`, `bore`, `thickness`; what has no text gets no dimension. Raises ValueError for a size that is none,
    a bore that is not inside the rim, or an unknown form. ISO 129-1; a narrow cut is filled (ISO 128-3).
    """
    scale = _scale(od_mm, bore_mm)
    factor = max(1, round(LEAST / (_length("thickness", thickness_mm) * scale)))
    wide = max(LEAST / 2, min(MOST, thickness_mm * scale * factor))
    outer, bore = RADIUS, bore_mm / 2 * scale
    shapes: list[Shape] = [
        Path("plain", shim_outline(form, PLAN_X, 0.0, outer, bore), closed=True),
        *_centre(PLAN_X, outer),
        *(area("solid", *box(CUT_X, y, CUT_X + wide, y + outer - bore)) for y in (-outer, bore)),
        *_edges(CUT_X, wide, bore),
        *_sizes(CUT_X, wide, outer, bore, texts),
    ]
    notes = [Note("thickness_exaggerated")] if factor > 1 else []
    if not math.isclose(wide, thickness_mm * scale * factor):
        notes.append(Note("height_not_to_scale"))
    return finished(shapes, width=WIDTH, notes=notes, data={"scale": scale, "thickness_factor": factor})


def washer(
    outer_mm: float, inner_mm: float, height_mm: float, texts: Texts, contact_diameter_mm: float | None = None
) -> Drawing:
    """A washer, sleeve or base plate in plan and cut; of a base plate the diameter of contact, to the right.

    Texts: `outer`, `bore`, `thickness`, `contact`. Raises ValueError as `shim` does, and for a contact diameter that
    is not between bore and rim.
    """
    contact = checked("contact diameter", contact_diameter_mm)
    if contact is not None and not inner_mm < contact <= outer_mm:
        raise NotDrawable("the contact diameter lies between bore and rim")
    scale = min(_scale(outer_mm, inner_mm), MOST / _length("height", height_mm))
    wide = max(LEAST, height_mm * scale)
    outer, bore = outer_mm / 2 * scale, inner_mm / 2 * scale
    lean = outer if contact is None else contact / 2 * scale
    slope = min(outer - lean, wide * 0.4)
    far = CUT_X + wide
    shapes: list[Shape] = [
        Path("plain", (circle(PLAN_X, 0.0, outer), circle(PLAN_X, 0.0, bore)), closed=True),
        *_centre(PLAN_X, outer),
    ]
    if lean < outer:
        shapes.append(Path("edge", (circle(PLAN_X, 0.0, lean),), closed=True))
    for side in (-1, 1):
        ring = [(CUT_X, side * bore), (CUT_X, side * outer), (far - slope, side * outer), (far, side * lean)]
        shapes += _cut([*ring, (far, side * bore)])
    shapes += [*_edges(CUT_X, wide, bore), *_sizes(CUT_X, wide, outer, bore, texts)]
    if contact is not None and "contact" in texts:
        shapes += along(-lean, lean, far + (48 if "outer" in texts else 24), Label(texts["contact"]), far)
    notes = [] if wide == height_mm * scale else [Note("height_not_to_scale")]
    return finished(shapes, width=WIDTH, notes=notes, data={"scale": scale})


def ring(id_mm: float, section_mm: float, texts: Texts) -> Drawing:
    """A free O-ring in plan and cut, to scale. Texts: `bore`, `thickness`; rubber is filled.

    Raises ValueError for a size that is none.
    """
    outer_mm = id_mm + 2 * _length("section", section_mm)
    scale = _scale(outer_mm, id_mm)
    outer, bore, section = RADIUS, id_mm / 2 * scale, section_mm * scale
    middle = (outer + bore) / 2
    shapes: list[Shape] = [
        Path("plain", (circle(PLAN_X, 0.0, outer), circle(PLAN_X, 0.0, bore)), closed=True),
        *_centre(PLAN_X, outer),
        *(Circle("solid", CUT_X + section / 2, side * middle, section / 2) for side in (-1, 1)),
        Path("outline", tuple(((x, -middle), (x, middle)) for x in (CUT_X, CUT_X + section))),
        line("axis", (CUT_X - 8, 0.0), (CUT_X + section + 8, 0.0)),
        *_sizes(CUT_X, section, outer, bore, texts),
    ]
    return finished(shapes, width=WIDTH, data={"scale": scale})


def nut(major_mm: float, height_mm: float, texts: Texts, across_flats_mm: float | None = None) -> Drawing:
    """A hexagon nut in plan and cut, its thread by ISO 6410-1: crests wide, the other line narrow and three quarters.

    Texts: `across_flats`, `thread`, `thickness`. Where the width across flats is unknown a note says so. Raises
    ValueError for a size that is none, or a thread that is not inside the hexagon.
    """
    flats = checked("across flats", across_flats_mm) or _length("major diameter", major_mm) * AF_OF_MAJOR
    _length("height", height_mm)
    scale = min(_scale(flats, major_mm) * 0.86, MOST / height_mm)
    half, major, minor = flats / 2 * scale, major_mm / 2 * scale, major_mm / 2 * scale * MINOR
    wide = height_mm * scale
    shapes: list[Shape] = [
        Path("plain", (hexagon(PLAN_X, 0.0, 2 * half), circle(PLAN_X, 0.0, minor)), closed=True),
        line("thin", *circle(PLAN_X, 0.0, major, 0, 270)),
        *_centre(PLAN_X, half * 2 / 3**0.5),
    ]
    for side in (-1, 1):
        shapes += _cut([(x, side * y) for x, y in box(CUT_X, minor, CUT_X + wide, half)])
        shapes.append(line("thin", (CUT_X, side * major), (CUT_X + wide, side * major)))
    shapes += _edges(CUT_X, wide, minor)
    named = {"outer": "across_flats", "bore": "thread", "thickness": "thickness"}
    shapes += _sizes(CUT_X, wide, half, major, {to: texts[name] for to, name in named.items() if name in texts})
    notes = [Note("across_flats_unknown")] if across_flats_mm is None else []
    return finished(shapes, width=WIDTH, notes=notes, data={"scale": scale})


def piston(
    outer_mm: float,
    bore_mm: float,
    height_mm: float,
    texts: Texts,
    below: PistonFace | None = None,
    above: PistonFace | None = None,
) -> Drawing:
    """A piston cut along its axis, with what is known of its faces. Texts: `outer`, `bore`, `thickness`.

    Raises ValueError for a size that is none or a bore that is not inside the rim.
    """
    _scale(outer_mm, bore_mm)
    scale = min(220.0 / outer_mm, 2 * MOST / _length("height", height_mm))
    outer, bore, high = outer_mm / 2 * scale, bore_mm / 2 * scale, height_mm * scale
    item = Item(Kind.PISTON, "", outer_mm=outer_mm, inner_mm=bore_mm, height_mm=height_mm)
    placed = Placed(item, ((0.0, high),), bore, outer, (0.0, height_mm), False, False)
    ring = piston_cut(placed, below or PistonFace(), above or PistonFace(), scale)
    middle = WIDTH / 2
    shapes: list[Shape] = []
    for side in (-1, 1):
        shapes += _cut([(middle + side * r, -h) for r, h in ring])
    shapes += [line("outline", (middle - bore, y), (middle + bore, y)) for y in (0.0, -high)]
    shapes.append(line("axis", (middle, 8.0), (middle, -high - 8)))
    if "outer" in texts:
        shapes += across(middle - outer, middle + outer, 26, Label(texts["outer"]), 0)
    if "bore" in texts:
        shapes += across(middle - bore, middle + bore, -high - 22, Label(texts["bore"]), -high)
    if "thickness" in texts:
        shapes += along(-high, 0, middle - outer - 20, Label(texts["thickness"]), middle - outer)
    return finished(shapes, width=WIDTH, data={"scale": scale})


def _length(name: str, value: float) -> float:
    """Raises ValueError for a length that is none."""
    checked(name, value)
    return value


def _scale(outer_mm: float, inner_mm: float) -> float:
    """Units a millimetre with the rim RADIUS from the centre. Raises ValueError for sizes that make no ring."""
    if _length("inner diameter", inner_mm) >= _length("outer diameter", outer_mm):
        raise NotDrawable("the inner diameter is not inside the outer one")
    return 2 * RADIUS / outer_mm


def _cut(ring: list[Point]) -> list[Shape]:
    return [area("cut", *ring), hatch([ring], RISING, COARSE)]


def _centre(x: float, radius: float) -> list[Shape]:
    reach = radius + 6
    return [line("axis", (x - reach, 0.0), (x + reach, 0.0)), line("axis", (x, -reach), (x, reach))]


def _edges(left: float, wide: float, bore: float) -> list[Shape]:
    """What is seen behind the cut: the edges of the bore, and the axis."""
    edges = tuple(((x, -bore), (x, bore)) for x in (left, left + wide))
    return [Path("outline", edges), line("axis", (left - 8, 0.0), (left + wide + 8, 0.0))]


def _sizes(left: float, wide: float, outer: float, bore: float, texts: Texts) -> list[Shape]:
    """Bore to the left of the cut, outer diameter to its right, thickness above."""
    shapes: list[Shape] = []
    if "bore" in texts:
        shapes += along(-bore, bore, left - 24, Label(texts["bore"]), left)
    if "outer" in texts:
        shapes += along(-outer, outer, left + wide + 24, Label(texts["outer"]), left + wide)
    if "thickness" in texts:
        shapes += across(left, left + wide, -outer - 14, Label(texts["thickness"]), -outer)
    return shapes
