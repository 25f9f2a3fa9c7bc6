"""The sizes of the face-shim question: a piston cut along its axis, its face shim lifted off the face."""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, badge, letter
from compat.engineering.drawing.hatching import COARSE, RISING, hatch
from compat.engineering.drawing.jaws import inside_jaws
from compat.engineering.drawing.shapes import Path, Point, Shape, area, box, line

MIDDLE = 170.0
PITCH = 19.0
SHAFT, HUB, PORTS_IN, PORTS_OUT, SHIM, LAND, FEED, OUTER = 26.0, 40.0, 50.0, 92.0, 106.0, 114.0, 128.0, 150.0
THICK, DEEP, LAND_STEP, GROOVE = 74.0, 26.0, 6.0, 4.0
LIFT, BAR = 40.0, 7.0  # how far the shim is lifted, and its thickness


def face_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """Nested above: everything on this face, smallest nearest. Below: shaft and body bore. Beside: the overlap."""
    shapes: list[Shape] = [_walls(), *_piston(), *_shaft()]
    shim = -LIFT - BAR
    for side in (-1, 1):
        ring = [(MIDDLE + side * x, y) for x, y in box(SHAFT + 1, shim, SHIM, shim + BAR)]
        shapes.append(area("solid", *ring))
    shapes += inside_jaws(MIDDLE - PORTS_OUT, MIDDLE + PORTS_OUT, DEEP * 0.5, DEEP * 0.5 + 24)
    first = shim - 22
    nested = [
        ("shim_bore_mm", SHAFT + 1, shim),
        ("hub_mm", HUB, 0.0),
        ("ports_inner_mm", PORTS_IN, 0.0),
        ("ports_outer_mm", PORTS_OUT, 0.0),
        ("shim_od_mm", SHIM, shim),
        ("land_outer_mm", LAND, 0.0),
        ("other_side_feed_inner_mm", FEED, LAND_STEP),
    ]
    for place, (field, radius, start) in enumerate(nested):
        at = first - place * PITCH
        shapes += across(MIDDLE - radius, MIDDLE + radius, at, letter(letters[field]), start)
    # The overlap is the ring of face that the shim covers beyond the ports.
    at = -LIFT / 2
    shapes += [line("dim", (MIDDLE + PORTS_OUT, at), (MIDDLE + OUTER - 8, at))]
    shapes += [line("dim", (MIDDLE + x, at - 4), (MIDDLE + x, at + 4)) for x in (PORTS_OUT, SHIM)]
    shapes += badge(MIDDLE + OUTER - 8, at, letters["overlap_mm"])
    below = THICK + 34
    shapes += across(MIDDLE - SHAFT, MIDDLE + SHAFT, below, letter(letters["shaft_mm"]), THICK + 14)
    shapes += across(MIDDLE - OUTER, MIDDLE + OUTER, below + PITCH, letter(letters["body_bore_mm"]), THICK + 14)
    return shapes


def _piston() -> list[Shape]:
    """Both halves: hub, opening of the ports, land, the mouth of the other side's feed."""
    middle = (HUB + PORTS_IN) / 2
    half: list[Point] = [
        (SHAFT, 0.0),
        (HUB, 0.0),
        (HUB, GROOVE),
        (middle, GROOVE),
        (middle, 0.0),
        (PORTS_IN, 0.0),
        (PORTS_IN, DEEP),
        (PORTS_OUT, DEEP),
        (PORTS_OUT, 0.0),
        (LAND, 0.0),
        (LAND, LAND_STEP),
        (FEED, LAND_STEP),
        (FEED - 16, THICK),
        (SHAFT, THICK),
    ]
    rim: list[Point] = [(OUTER - 8, LAND_STEP), (OUTER - 1, LAND_STEP), (OUTER - 1, THICK), (FEED - 2, THICK)]
    shapes: list[Shape] = []
    for side in (-1, 1):
        for part in (half, rim):
            ring = [(MIDDLE + side * x, y) for x, y in part]
            shapes += [area("cut", *ring), hatch([ring], RISING, COARSE)]
    edges = tuple(
        ((MIDDLE + a, y), (MIDDLE + b, y)) for y in (THICK,) for a, b in ((FEED - 16, FEED), (-FEED, 16 - FEED))
    )
    return [*shapes, Path("thin", edges)]


def _shaft() -> list[Shape]:
    top, bottom = -LIFT - BAR - 12, THICK + 14
    return [
        area("shaft", *box(MIDDLE - SHAFT, top, MIDDLE + SHAFT, bottom)),
        line("axis", (MIDDLE, top - 6), (MIDDLE, bottom + 6)),
    ]


def _walls() -> Shape:
    top, bottom = -LIFT - BAR - 12, THICK + 14
    return Path("bore", tuple(((MIDDLE + x, top), (MIDDLE + x, bottom)) for x in (-OUTER, OUTER)))
