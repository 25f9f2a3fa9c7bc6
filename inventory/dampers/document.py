"""A damper model's document and a stack's, as they are stored: `read` and `written` of inventory/documents/typed.py.

Lengths are in millimetres. What was sent is checked first (`checked`), and refused with the path of what is wrong.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inventory.catalogue.kinds.shims import FORMS
from inventory.dampers.document_sealing import Band, Limit, Oil, RodGland, Shaft
from inventory.dampers.words import HANDS, PLACES, VALVES
from inventory.documents.lengths import Length
from inventory.documents.outside import outside
from inventory.documents.typed import (
    Flag,
    Json,
    Measured,
    Millimetres,
    Number,
    Part,
    Several,
    Text,
    document,
    may,
    need,
    read,
)


@document
class Line:
    """Some shims of one size; a stack lists them face first."""

    od_mm: Length = need(Millimetres())
    thickness_mm: Length = need(Millimetres())
    quantity: int = need(Number(whole=True))
    bore_mm: Length | None = may(Millimetres())
    form: str | None = may(Text(FORMS))
    lot: str | None = may(Text())


@document
class Stacks:
    """The stacks of one valve by side, each face first."""

    compression: tuple[Line, ...] | None = may(Several(Line))
    rebound: tuple[Line, ...] | None = may(Several(Line))

    def of(self, side: str) -> tuple[Line, ...]:
        """The lines of a side; none where it is left out."""
        found: tuple[Line, ...] | None = getattr(self, side)
        return found or ()


@document
class PistonSide:
    """One side of a piston: its diameters, how much of the ring its ports leave open, 0 to 1, and a raised seat."""

    ports_inner_mm: Length | None = may(Measured())
    ports_outer_mm: Length | None = may(Measured())
    land_outer_mm: Length | None = may(Measured())
    hub_mm: Length | None = may(Measured())
    other_side_feed_inner_mm: Length | None = may(Measured())
    open_fraction: float | None = may(Number())
    seat_mm: Length | None = may(Measured())
    seat_height_mm: Length | None = may(Measured())


@document
class Sides:
    """The sides of a piston that are there."""

    compression: PistonSide | None = may(Part(PistonSide))
    rebound: PistonSide | None = may(Part(PistonSide))


@document
class BasePlate:
    """A base plate: its height, and the diameter on which shims lean."""

    height_mm: Length | None = may(Measured())
    contact_diameter_mm: Length | None = may(Measured())


@document
class BasePlates:
    """The base plates that are there, by side."""

    compression: BasePlate | None = may(Part(BasePlate))
    rebound: BasePlate | None = may(Part(BasePlate))


@document
class Washer:
    """A washer or sleeve that counts in the height."""

    name: str = need(Text())
    height_mm: Length | None = may(Measured())
    place: str | None = may(Text(PLACES))

    @property
    def stands(self) -> str:
        """Where it stands: at the shoulder unless it is told."""
        return self.place or PLACES[0]


@document
class Valve:
    """One valve of a damper."""

    code: str = need(Text(VALVES))
    piston_height_mm: Length | None = may(Measured())
    shaft_mm: Length | None = may(Measured())
    body_bore_mm: Length | None = may(Measured())
    overlap_mm: Length | None = may(Millimetres())
    base_plates: BasePlates | None = may(Part(BasePlates))
    washers: tuple[Washer, ...] | None = may(Several(Washer))
    sides: Sides | None = may(Part(Sides))

    def side(self, name: str) -> PistonSide | None:
        """The side of that name; None where the valve has none, or nothing is told of it."""
        found: PistonSide | None = getattr(self.sides, name, None)
        return found

    def plate(self, side: str) -> BasePlate | None:
        """The base plate of a side, as `side` gives that."""
        found: BasePlate | None = getattr(self.base_plates, side, None)
        return found


@document
class ShaftEnd:
    """The end of the shaft; lengths are measured from the shoulder."""

    diameter_mm: Length | None = may(Measured())
    hole_mm: Length | None = may(Measured())
    thread: str | None = may(Text())
    tolerance_class: str | None = may(Text())
    hand: str | None = may(Text(HANDS))
    shoulder_to_lip_mm: Length | None = may(Measured())
    on_straight_mm: Length | None = may(Millimetres())
    past_lip_mm: Length | None = may(Millimetres())
    full_thread_start_mm: Length | None = may(Measured())
    shaft_end_mm: Length | None = may(Measured())
    thread_relief: bool | None = may(Flag())
    relief_diameter_mm: Length | None = may(Measured())
    property_class: str | None = may(Text())


@document
class DamperDocument:
    """All that is known of a damper model besides its code and its name."""

    valves: tuple[Valve, ...] = need(Several(Valve))
    shaft_end: ShaftEnd | None = may(Part(ShaftEnd))
    band: Band | None = may(Part(Band))
    shaft: Shaft | None = may(Part(Shaft))
    rod_gland: RodGland | None = may(Part(RodGland))
    oil: Oil | None = may(Part(Oil))
    limits: tuple[Limit, ...] | None = may(Several(Limit))

    @property
    def codes(self) -> list[str]:
        """The codes of its valves in their order."""
        return [valve.code for valve in self.valves]

    def valve(self, code: str) -> Valve | None:
        """The valve of that code; None where the model has none."""
        return next((valve for valve in self.valves if valve.code == code), None)


@dataclass(frozen=True, slots=True)
class Told:
    """A damper model as it was sent: what it is called, and its document."""

    code: str
    name: str
    document: DamperDocument


def told(checked: Mapping[str, Any]) -> Told:
    """A damper model from what the check of a request left (DamperIn)."""
    sent: Json = outside(checked)
    code, name = sent.pop("code"), sent.pop("name")
    return Told(code, name, read(DamperDocument, sent))


def stacks_told(checked: Mapping[str, Any]) -> Stacks:
    """Stacks from what the check of a request left (StacksIn)."""
    return read(Stacks, outside(checked))
