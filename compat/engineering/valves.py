"""A damper's valve as the stack question sees it: its sides, base plates and what else stands in the height."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from compat.engineering.answers import Finding, ask, note
from compat.engineering.refused import Refused
from compat.engineering.rounding import tidy
from compat.engineering.units import Range

TRADE = "trade"


class Kind(StrEnum):
    """`main` sits on the shaft, `base` on its own bolt, `mid` floats on a sleeve under a spring."""

    MAIN = "main"
    BASE = "base"
    MID = "mid"


class Place(StrEnum):
    """Where a washer or sleeve stands: at the shoulder, under the inner stack, or beyond the outer stack."""

    SHOULDER = "shoulder"
    INNER = "inner"
    OUTER = "outer"


@dataclass(frozen=True, slots=True)
class ValveSide:
    """One face of the piston: diameters in millimetres, None where unknown. `name` is `compression` or `rebound`.

    `open_fraction`: how much of the ring between the ports' edges is open, 0 to 1. `seat_mm`, `seat_height_mm`: a seat
    that stands proud of the hub and bends the face shim at rest: its diameter, and by how much.
    """

    name: str
    ports_inner_mm: Range | None = None
    ports_outer_mm: Range | None = None
    land_outer_mm: Range | None = None
    hub_mm: Range | None = None
    other_side_feed_inner_mm: Range | None = None
    open_fraction: float | None = None
    seat_mm: Range | None = None
    seat_height_mm: Range | None = None


@dataclass(frozen=True, slots=True)
class BasePlate:
    """What a stack is clamped against: its height and the diameter at which it touches the stack, millimetres."""

    height_mm: Range | None = None
    contact_diameter_mm: Range | None = None


@dataclass(frozen=True, slots=True)
class Spacing:
    """A washer or sleeve that counts in the height, millimetres."""

    name: str
    height_mm: Range | None = None
    place: Place = Place.SHOULDER


@dataclass(frozen=True, slots=True)
class Valve:
    """A valve with one or two sides.

    `on_shaft_order` names the sides from the shoulder outward; the last one is the outer side, whose base plate the
    lip rule is about. `shaft_mm` is the diameter that the shims ride on: shaft, bolt or sleeve. A mid-valve's sleeve
    is a `Spacing` of the main valve on the same shaft. Raises Refused for sides that do not match the order, or a
    base plate of no side.
    """

    kind: Kind
    sides: tuple[ValveSide, ...]
    piston_height_mm: Range | None = None
    base_plates: Mapping[str, BasePlate] = field(default_factory=dict)
    spacings: tuple[Spacing, ...] = ()
    body_bore_mm: Range | None = None
    shaft_mm: Range | None = None
    on_shaft_order: tuple[str, ...] = ("compression", "rebound")

    def __post_init__(self) -> None:
        names = [side.name for side in self.sides]
        if len(set(names)) != len(names) or not set(names) <= set(self.on_shaft_order):
            raise Refused("sides_unknown", sides=", ".join(names), known=", ".join(self.on_shaft_order))
        if len(self.on_shaft_order) != 2 or len(set(self.on_shaft_order)) != 2:
            raise ValueError("the order on the shaft names two sides")
        if self.kind is Kind.MAIN and len(names) != 2:
            raise Refused("main_valve_one_sided")
        if not set(self.base_plates) <= set(self.on_shaft_order):
            raise Refused("base_plate_of_no_side")

    @property
    def inner(self) -> str:
        return self.on_shaft_order[0]

    @property
    def outer(self) -> str:
        return self.on_shaft_order[1]

    def has(self, name: str) -> bool:
        """Is there a side of this name?"""
        return any(side.name == name for side in self.sides)

    def plate(self, side: str) -> BasePlate:
        """The base plate of a side; all unknown where none is told."""
        return self.base_plates.get(side, BasePlate())


def fixed_height(valve: Valve) -> tuple[Range | None, list[Finding]]:
    """The height of everything that is not a shim, millimetres, and what is still to be measured.

    Inner base plate, washers, sleeves and piston; None while one of them is unknown. A main valve asks for it; a base
    or mid-valve has no lip rule, so there a missing height is only a note, and a mid-valve has no piston of its own.
    """
    parts: list[tuple[str, str, Range | None]] = []
    if valve.inner in valve.base_plates or (valve.kind is not Kind.MID and valve.has(valve.inner)):
        parts.append(("inner_base_plate_height_unknown", valve.inner, valve.plate(valve.inner).height_mm))
    if valve.kind is not Kind.MID:
        parts.append(("piston_height_unknown", "piston", valve.piston_height_mm))
    parts += [("spacing_height_unknown", spacing.name, spacing.height_mm) for spacing in valve.spacings]
    missing = [ask(code, TRADE, part=name) for code, name, height in parts if height is None]
    if missing:
        return None, missing if valve.kind is Kind.MAIN else [note("valve_height_not_known", TRADE)]
    total = Range.exact(0.0)
    for _, _, height in parts:
        total = total + (height or Range.exact(0.0))
    return tidy(total), []
