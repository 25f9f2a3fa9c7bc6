"""A valve as the stack question and damper models take it."""

from __future__ import annotations

from typing import ClassVar

from compat.asking.fields import measured, number, request, text, within, word
from compat.engineering.units import Range
from compat.engineering.valves import BasePlate as Plate
from compat.engineering.valves import Place, Spacing, ValveSide
from inventory.dampers.checked import BasePlateIn, BasePlatesIn, PistonSideIn, SidesIn, WasherIn

VALVE_SIZES = "The valve"
PLACES = {
    "shoulder": "at the shoulder",
    "inner": "on the compression plate",
    "outer": "beyond the rebound stack",
}
OF_A_CURVE = ("open_fraction", "seat_mm", "seat_height_mm")  # what the force that lifts a stack needs, and nothing else


@request
class PistonSide:
    """One side of a piston: all diameters, how much of the ring its ports leave open, and a raised seat."""

    CHECKED_BY: ClassVar = PistonSideIn

    ports_inner_mm: Range | None = measured("Ports, inner edges", help="Diameter on which they lie.", later=True)
    ports_outer_mm: Range | None = measured("Ports, outer edges", help="Diameter on which they lie.", later=True)
    land_outer_mm: Range | None = measured("Land, outer diameter", help="Of the land round the ports.", later=True)
    hub_mm: Range | None = measured("Hub", help="Diameter of the seat that carries the shim's centre.", later=True)
    other_side_feed_inner_mm: Range | None = measured(
        "Feed of the other side", help="Diameter at which its openings begin here.", later=True
    )
    open_fraction: float | None = number(
        "Open part of the ports' ring",
        least=0.01,
        most=1,
        help="0 to 1; for the force that lifts a stack.",
        later=True,
    )
    seat_mm: Range | None = measured(
        "Raised seat",
        help="Diameter at which it bends the face shim; empty where seat and hub are level.",
        later=True,
    )
    seat_height_mm: Range | None = measured(
        "Raised seat, height", help="By how much it stands proud of the hub.", later=True
    )

    def side(self, name: str) -> ValveSide:
        """For the engine. Raises Refused where the sizes contradict each other."""
        return ValveSide(
            name,
            ports_inner_mm=self.ports_inner_mm,
            ports_outer_mm=self.ports_outer_mm,
            land_outer_mm=self.land_outer_mm,
            hub_mm=self.hub_mm,
            other_side_feed_inner_mm=self.other_side_feed_inner_mm,
            open_fraction=self.open_fraction,
            seat_mm=self.seat_mm,
            seat_height_mm=self.seat_height_mm,
        )


@request
class Sides:
    """Both sides of the piston."""

    CHECKED_BY: ClassVar = SidesIn

    compression: PistonSide | None = within(
        PistonSide, null=False, group="Ports and lands, compression side", hidden=OF_A_CURVE
    )
    rebound: PistonSide | None = within(
        PistonSide, null=False, group="Ports and lands, rebound side", hidden=OF_A_CURVE
    )


@request
class BasePlate:
    """A base plate: its height, and the diameter on which shims lean."""

    CHECKED_BY: ClassVar = BasePlateIn

    height_mm: Range | None = measured("Height of the base plate", later=True)
    contact_diameter_mm: Range | None = measured("Contact diameter", help="On which the shims lean.", later=True)

    def plate(self) -> Plate:
        """For the engine."""
        return Plate(self.height_mm, self.contact_diameter_mm)


@request
class BasePlates:
    """A base plate for each side."""

    CHECKED_BY: ClassVar = BasePlatesIn

    compression: BasePlate | None = within(
        BasePlate,
        null=False,
        group=VALVE_SIZES,
        labels={
            "height_mm": "Height of the base plate, compression",
            "contact_diameter_mm": "Contact diameter, compression",
        },
        letters={"height_mm": "B", "contact_diameter_mm": "C"},
    )
    rebound: BasePlate | None = within(
        BasePlate,
        null=False,
        group=VALVE_SIZES,
        labels={"height_mm": "Height of the base plate, rebound", "contact_diameter_mm": "Contact diameter, rebound"},
        letters={"height_mm": "E", "contact_diameter_mm": "F"},
    )


@request
class Washer:
    """A washer or sleeve that counts in the height."""

    CHECKED_BY: ClassVar = WasherIn

    name: str = text("Washer or sleeve", most=60, needed=True, later=True)
    height_mm: Range | None = measured("Height", letter="A", later=True)
    place: str = word(PLACES, "Where", default="shoulder", later=True)

    def spacing(self) -> Spacing:
        """For the engine."""
        return Spacing(self.name, self.height_mm, Place(self.place))
