"""Diameters read at several depths, as several questions take them."""

from __future__ import annotations

from compat.asking.fields import length, measured, number, request, rows
from compat.asking.requests import refuse
from compat.engineering import roundness
from compat.engineering.units import Range

SIZES, READ = "Sizes", "What was read"
MOST_READINGS = 500
ROWS = (
    "A line for each depth D in mm, then the diameters C read there, as in 20: 46.02 46.01 46.02. Directions E are "
    "equally spread, three of them 60 degrees apart, unless said, as in 46.02@45."
)


@request
class DiameterReading:
    """One reading of a diameter: how deep, at which angle."""

    depth_mm: float = length(least_um=0, most_um=2_000_000, needed=True, letter="D")
    angle_deg: float = number(least=-360, most=360, needed=True, letter="E")
    diameter_mm: Range | None = measured(least_um=1, letter="C")

    def check(self) -> None:
        if self.diameter_mm is None:
            refuse("required", diameter_mm="is required")

    def as_read(self) -> roundness.DiameterReading:
        """For the engine, once it is checked."""
        assert self.diameter_mm is not None
        return roundness.DiameterReading(self.depth_mm, self.angle_deg, self.diameter_mm)


@request
class Readings:
    """Diameters read at several depths and in several directions, and over which depths the seal travels."""

    nominal_mm: Range | None = measured("Nominal diameter", least_um=1, letter="A", group=SIZES)
    readings: tuple[DiameterReading, ...] = rows(
        DiameterReading, "Diameters by depth", kind="diameters", help=ROWS, group=READ
    )
    travel_from_mm: Range | None = measured(
        "The seal travels from", most_um=2_000_000, help="In the same depths.", letter="F", group=READ
    )
    travel_to_mm: Range | None = measured(
        "to", most_um=2_000_000, help="The last depth that it reaches.", letter="G", group=READ
    )

    def check(self) -> None:
        if len(self.readings) > MOST_READINGS:
            refuse("too_many", readings=f"may be at most {MOST_READINGS}")
        start, end = self.travel_from_mm, self.travel_to_mm
        if start and end and start.high >= end.low:
            refuse("range", travel_to_mm="must not be less than where the travel begins")

    @property
    def read(self) -> list[roundness.DiameterReading]:
        """What was read, for the engine."""
        return [one.as_read() for one in self.readings]

    @property
    def travel(self) -> roundness.Travel:
        """Over which depths the seal travels."""
        return roundness.Travel(self.travel_from_mm, self.travel_to_mm)
