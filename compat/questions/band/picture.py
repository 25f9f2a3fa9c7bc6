"""The sizes of the band question: a band on its energiser in the bore, the piston free, the energiser alone.

Solid round parts stay without hatching (ISO 128-3), so the piston does; rubber is solid black. Wear is drawn broken,
and larger than it is.
"""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, letter
from compat.engineering.drawing.hatching import COARSE, FALLING, FINE, RISING, hatch
from compat.engineering.drawing.jaws import embracing_jaws
from compat.engineering.drawing.outlines import turned
from compat.engineering.drawing.rings import free_ring, squeezed, tube, whole
from compat.engineering.drawing.shapes import Circle, Point, Shape, Text, area, box, line

BUILT, FREE, ENERGISER = 82.0, 256.0, 74.0  # axes
BORE, LAND, BAND, BOTTOM = 54.0, 50.0, 47.0, 31.0  # radii; BAND: of its inner face
HALF, HIGH, WALL = 14.0, 34.0, 44.0  # of the groove, the piston, the bore, up and down from the middle
PROUD = 6.0  # of the band of a free piston
ROW = 178.0


def band_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """Above: built into the bore, and free between the jaws. Below: the energiser alone, and the place of wear."""
    built: list[Shape] = [*tube(BUILT, BORE, BORE + 14, -WALL, WALL, RISING), _grooved(BUILT)]
    for side in (-1, 1):
        ring = list(box(BUILT + side * BAND, -HALF + 1, BUILT + side * BORE, HALF - 1))
        built += [area("cut", *ring), hatch([ring], FALLING, FINE)]
        built.append(squeezed(BUILT + side * (BAND + BOTTOM) / 2, 0, BAND - BOTTOM, 20))
    built.append(line("axis", (BUILT, -HIGH - 8), (BUILT, HIGH + 8)))
    built += across(BUILT - BOTTOM, BUILT + BOTTOM, -WALL - 18, letter(letters["groove_mm"]), -HALF)
    built += across(BUILT - BORE, BUILT + BORE, WALL + 20, letter(letters["bore_mm"]), WALL)
    ring_letters = letters["energiser.id_mm"], letters["energiser_section_mm"]
    return [*built, *_free(letters), *free_ring(ENERGISER, ROW, 30, 24, *ring_letters), *_wear(letters)]


def _grooved(axis: float) -> Shape:
    """A piston with its groove, cut."""
    profile: list[Point] = [(LAND, -HIGH), (LAND, -HALF), (BOTTOM, -HALF), (BOTTOM, HALF), (LAND, HALF), (LAND, HIGH)]
    return area("shaft", *whole(axis, profile))


def _free(letters: Mapping[str, str]) -> list[Shape]:
    """The piston out of its bore, seen from outside: the band stands proud, and the jaws only just touch it."""
    outer = LAND + PROUD
    shapes: list[Shape] = [
        area("shaft", *box(FREE - LAND, -HIGH, FREE + LAND, HIGH)),
        area("shaft", *box(FREE - outer, -HALF + 1, FREE + outer, HALF - 1)),
        line("axis", (FREE, -HIGH - 8), (FREE, HIGH + 8)),
    ]
    shapes += embracing_jaws(FREE - outer, FREE + outer, 0, 56)
    return [*shapes, *across(FREE - outer, FREE + outer, -WALL - 18, letter(letters["measured_od_mm"]), -HALF)]


def _wear(letters: Mapping[str, str]) -> list[Shape]:
    """One side of the groove, enlarged: the band's thickness, and what wears off the band and off the bore."""
    bore, thick, worn, wide, half, wall = 268.0, 33.0, 8.0, 30.0, 28.0, 46.0
    band, bottom = bore - thick, bore - thick - wide
    land, left = bore - 6, bottom - 22
    piston: list[Point] = [(left, -wall + 8), (land, -wall + 8), (land, -half), (bottom, -half), (bottom, half)]
    piston += [(land, half), (land, wall - 8), (left, wall - 8)]
    shapes: list[Shape] = [area("shaft", *((x, ROW + y) for x, y in piston))]
    for ring, slope, pitch in (
        (box(bore, ROW - wall, bore + 34, ROW + wall), RISING, COARSE),
        (box(band, ROW - half + 2, bore, ROW + half - 2), FALLING, FINE),
    ):
        shapes += [area("cut", *ring), hatch([ring], slope, pitch)]
    shapes.append(squeezed((band + bottom) / 2, ROW, wide, 42))
    shapes.append(line("hidden", (bore - worn, ROW - half + 2), (bore - worn, ROW + half - 2)))
    shapes.append(line("hidden", (bore + worn, ROW - wall), (bore + worn, ROW + wall)))
    shapes += across(band, bore, ROW + wall + 20, letter(letters["band_thickness_mm"]), ROW + half - 2, ROW + wall)
    shapes += across(bore - worn, bore, ROW - wall - 18, letter(letters["band_wear_radial_mm"]), ROW - half, ROW - wall)
    # Of the bore's diameter one half is lost on either side.
    at = ROW - wall - 38
    shapes += across(bore, bore + worn, at, letter(letters["bore_wear_diametral_mm"]), ROW - wall)
    shapes.append(Text("value", bore + worn + 30, at, "/2", 10.0, "start"))
    place, radius = BUILT + (BORE + BOTTOM) / 2, 22.0
    leader = turned(place, 0, radius, 150), (left + 6, ROW - wall + 8)
    return [*shapes, Circle("thin", place, 0, radius), line("thin", *leader)]
