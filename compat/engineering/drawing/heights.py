"""Where everything on the shaft stands: diameters to scale, shims thicker than they are, true heights kept beside.

Heights here are units of the drawing above the shoulder, upward; `half_section` turns them over.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from compat.engineering.drawing.items import THIN, Assembly, Item, Kind
from compat.engineering.drawing.labels import PITCH
from compat.engineering.drawing.shapes import Note

HALF = 116.0  # units from the axis to the largest diameter
GAP = 1.6  # light between two thin parts, which are filled
THINNEST = 3.3  # a bar that is still a bar at arm's length
THICKEST = 34.0
MOST_FACTOR = 60  # thinner than this makes a bar, shims are drawn THINNEST and a note says so
MOST_BARS = 8  # a line of more pieces is one broken block
BLOCK = 4  # and that many pieces high
# (least, most) units of a part's height, so that its section can be read and no part crowds out the others
LIMITS = {
    Kind.WASHER: (8.0, 40.0),
    Kind.SLEEVE: (12.0, 60.0),
    Kind.BASE_PLATE: (16.0, 50.0),
    Kind.PISTON: (40.0, 80.0),
    Kind.NUT: (26.0, 60.0),
}
OUTER_PLATE = 44.0  # least height of the plate at the lip: where the lip lies in it must be seen
UNKNOWN = {Kind.WASHER: 10.0, Kind.SLEEVE: 30.0, Kind.BASE_PLATE: 20.0, Kind.PISTON: 60.0, Kind.NUT: 44.0}
UNKNOWN_THIN = 5.0
TIMES_SHAFT = {  # outer diameter where it is unknown, in shaft diameters
    Kind.WASHER: 1.7,
    Kind.SLEEVE: 1.5,
    Kind.BASE_PLATE: 2.3,
    Kind.SHIM: 2.5,
    Kind.SPACER: 2.5,
    Kind.PISTON: 3.5,
    Kind.NUT: 1.55,
}
RIM = 1.14  # a base plate's outer diameter where only its contact diameter is known, in contact diameters


@dataclass(frozen=True, slots=True)
class Scale:
    """Units a millimetre across the axis and, `factor` times as many, along it for shims."""

    across: float
    factor: int
    shaft_mm: float

    @property
    def thickness(self) -> float:
        return self.across * self.factor


@dataclass(frozen=True, slots=True)
class Placed:
    """An item in its place: `bars` (low, high) of its pieces, or of the two ends of a block; radii in units.

    `true_mm` (low, high) from the shoulder, None above a part of unknown height. `outward` says that the item lies
    beyond the piston (or beyond its stack, where there is no piston); `at_lip` that it is the outer base plate.
    """

    item: Item
    bars: tuple[tuple[float, float], ...]
    inner: float
    outer: float
    true_mm: tuple[float, float] | None
    outward: bool
    at_lip: bool
    block: bool = False

    @property
    def low(self) -> float:
        return self.bars[0][0]

    @property
    def high(self) -> float:
        return self.bars[-1][1]

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


def outer_mm(item: Item, shaft_mm: float, bore_mm: float | None) -> float:
    """The outer diameter, or one that looks like such a part where it is unknown, millimetres."""
    if item.outer_mm is not None:
        return item.outer_mm
    if item.kind is Kind.BASE_PLATE and item.contact_diameter_mm is not None:
        return item.contact_diameter_mm * RIM
    if item.kind is Kind.PISTON and bore_mm is not None:
        return bore_mm
    return shaft_mm * TIMES_SHAFT[item.kind]


def shaft_diameter(assembly: Assembly) -> float:
    """The shaft's diameter, else the smallest bore on it, else a quarter of the largest diameter, millimetres."""
    if assembly.shaft.diameter_mm is not None:
        return assembly.shaft.diameter_mm
    bores = [item.inner_mm for item in assembly.items if item.inner_mm is not None]
    if bores:
        return min(bores)
    outers = [item.outer_mm for item in assembly.items if item.outer_mm is not None]
    return max([*outers, assembly.body_bore_mm or 0.0, 4.0]) / 4


def scale_of(assembly: Assembly) -> Scale:
    """The scale across the axis from the largest diameter, and the factor on thickness.

    The factor is whole: the least one with which the thinnest piece is THINNEST units, and up to twice that one where
    the labels need the height anyway.
    """
    shaft = shaft_diameter(assembly)
    widest = max([outer_mm(item, shaft, assembly.body_bore_mm) for item in assembly.items])
    across = HALF / (max(widest, assembly.body_bore_mm or 0.0, shaft) / 2)
    thin = [item.height_mm for item in assembly.items if item.kind in THIN and item.height_mm is not None]
    least = max(1, math.ceil(min(MOST_FACTOR, round(THINNEST / (min(thin) * across), 6)))) if thin else 1
    wanted = PITCH * (len(assembly.items) + 1)
    for factor in range(least, 2 * least):
        scale = Scale(across, factor, shaft)
        if sum(_height(item, scale, at_lip=False) for item in assembly.items) >= wanted:
            return scale
    return Scale(across, 2 * least if thin else 1, shaft)


def place(assembly: Assembly, scale: Scale) -> tuple[list[Placed], list[Note]]:
    """Every item in its place from the shoulder outward, and notes on heights and diameters that are not as drawn."""
    placed: list[Placed] = []
    notes: list[Note] = []
    at_lip = outer_plate(assembly.items)
    turn = _turn(assembly.items)
    y, true = 0.0, 0.0
    known = True
    for index, item in enumerate(assembly.items):
        if index and item.kind in THIN and assembly.items[index - 1].kind in THIN:
            y += GAP
        bars, block = _bars(item, scale, y, at_lip=index == at_lip)
        if item.height_mm is None:
            notes.append(Note("height_unknown", item.ref))
            known = False
        elif not block and not _to_scale(item, scale, bars):
            notes.append(Note("height_not_to_scale", item.ref))
        if block:
            notes.append(Note("pieces_in_a_block", item.ref))
        if item.outer_mm is None:
            notes.append(Note("outer_unknown", item.ref))
        top = true + (item.height_mm or 0.0) * item.pieces
        outer = outer_mm(item, scale.shaft_mm, assembly.body_bore_mm) / 2 * scale.across
        inner = max(item.inner_mm or 0.0, scale.shaft_mm) / 2 * scale.across
        placed.append(
            Placed(
                item,
                tuple(bars),
                min(inner, outer),
                outer,
                (true, top) if known else None,
                index >= turn,
                index == at_lip,
                block,
            )
        )
        y, true = bars[-1][1], top
    return placed, notes


def outer_plate(items: Sequence[Item]) -> int | None:
    """The index of the base plate that the lip rule is about: the last one, if it lies beyond the stack it holds."""
    plates = [index for index, item in enumerate(items) if item.kind is Kind.BASE_PLATE]
    return plates[-1] if plates and plates[-1] >= _turn(items) else None


def _turn(items: Sequence[Item]) -> int:
    """From which index on parts lie beyond the piston, or without one beyond the first shim."""
    pistons = [index for index, item in enumerate(items) if item.kind is Kind.PISTON]
    shims = [index for index, item in enumerate(items) if item.kind in THIN]
    return (pistons or shims or [0])[0] + bool(pistons)


def _one(item: Item, scale: Scale, *, at_lip: bool) -> float:
    """Units of one piece along the axis."""
    if item.kind in THIN:
        return min(THICKEST, max(THINNEST, item.height_mm * scale.thickness)) if item.height_mm else UNKNOWN_THIN
    least, most = LIMITS[item.kind]
    if at_lip:
        least = OUTER_PLATE
    return min(most, max(least, item.height_mm * scale.across if item.height_mm else UNKNOWN[item.kind]))


def _height(item: Item, scale: Scale, *, at_lip: bool) -> float:
    bars, _ = _bars(item, scale, 0.0, at_lip=at_lip)
    return bars[-1][1]


def _bars(item: Item, scale: Scale, low: float, *, at_lip: bool) -> tuple[list[tuple[float, float]], bool]:
    """(low, high) of every piece from `low` upward; a block has the bars of its two ends."""
    one = _one(item, scale, at_lip=at_lip)
    gap = GAP if item.kind in THIN else 0.0
    if item.pieces <= MOST_BARS:
        return [(low + n * (one + gap), low + n * (one + gap) + one) for n in range(item.pieces)], False
    end = BLOCK / 2 * min(one, THICKEST / BLOCK)
    return [(low, low + end), (low + end + 3 * GAP, low + 2 * end + 3 * GAP)], True


def _to_scale(item: Item, scale: Scale, bars: Sequence[tuple[float, float]]) -> bool:
    per_mm = scale.thickness if item.kind in THIN else scale.across
    return math.isclose(bars[0][1] - bars[0][0], (item.height_mm or 0.0) * per_mm, rel_tol=1e-6)
