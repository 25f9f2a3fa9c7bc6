"""What a seal meets, as several questions take it."""

from __future__ import annotations

from compat.asking.fields import number, request, spread, text, yes_no
from compat.asking.requests import refuse
from compat.engineering.seals import compounds
from compat.engineering.seals.extrusion import pressure_from
from compat.engineering.units import Range

DUTY = "What it does"
FLUIDS = {
    "mineral_oil": "mineral oil",
    "synthetic_oil": "synthetic oil",
    "glycol_brake_fluid": "glycol brake fluid",
    "other": "another",
}
COMPOUNDS = {name: name for name in compounds.COMPOUNDS}
MOTIONS = {"static": "stands still", "dynamic": "moves to and fro"}
HARDNESS = "Shore A, as in 70; it stands on the bag."


@request
class Service:
    """What a seal meets: the oil, how hot and cold it becomes, and its gauge pressure in one of two units.

    `backup_rings`: one stands on each side of the ring and closes the gap."""

    fluid: str | None = text("Seals against", most=40, words=FLUIDS, group=DUTY)
    temperature_c: float | None = number("Hottest", least=-100, most=400, unit="°C", group=DUTY)
    coldest_c: float | None = number("Coldest", least=-100, most=400, unit="°C", group=DUTY)
    pressure_mpa: Range | None = spread(least=0, most=200)
    pressure_bar: Range | None = spread(
        "Pressure", least=0, most=2_000, unit="bar", help="The highest, by gauge.", group=DUTY
    )
    backup_rings: bool | None = yes_no("Back-up rings on both sides", group=DUTY, later=True)

    def check(self) -> None:
        hot, cold = self.temperature_c, self.coldest_c
        if hot is not None and cold is not None and cold > hot:
            refuse("range", coldest_c="must not be above the oil's temperature")
        if self.pressure_mpa and self.pressure_bar:
            refuse("two", pressure_bar="give this or the pressure in megapascals, not both")

    def service(self, compound: str | None = None, hardness_shore_a: Range | None = None) -> compounds.Service:
        """What a seal of that compound is made of and meets, for the engine."""
        return compounds.Service(
            compound=compound,
            fluid=self.fluid,
            hottest_c=self.temperature_c,
            coldest_c=self.coldest_c,
            pressure_mpa=pressure_from(self.pressure_mpa, self.pressure_bar),
            hardness_shore_a=hardness_shore_a,
            backup_rings=bool(self.backup_rings),
        )
