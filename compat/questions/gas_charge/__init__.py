"""What pressure belongs in a gas-charged damper, and what do stroke and heat make of it?"""

from __future__ import annotations

from compat.asking.fields import measured, number, request, spread, text
from compat.asking.question import Desk, Question, Value
from compat.asking.words import SEALS
from compat.engineering.answers import Answer
from compat.engineering.units import Range
from compat.questions.gas_charge import charge as engine
from compat.questions.gas_charge.picture import charge_shapes

SHEET, FILLING, CHAMBER, USE = "The sheet", "Filling", "Gas chamber and rod", "In use"


@request
class GasCharge:
    """What pressure belongs in a gas-charged damper, and what do stroke and heat make of it? Pressures by gauge."""

    charge_bar: Range | None = spread(
        "Charge pressure",
        least=0.1,
        most=300,
        unit="bar",
        help="By gauge, from the damper's sheet.",
        group=SHEET,
    )
    charge_c: Range | None = spread(
        "at", least=-40, most=100, unit="°C", help="The temperature that the sheet gives it for.", group=SHEET
    )
    least_bar: float | None = number(
        "Least pressure allowed", least=0, most=300, unit="bar", help="0 where the sheet allows any.", group=SHEET
    )
    most_bar: float | None = number(
        "Most pressure allowed", least=0.1, most=500, unit="bar", help="Hot, with the rod in.", group=SHEET
    )
    limits_source: str | None = text("Where the limits come from", most=200, help="Which sheet or book.", group=SHEET)
    fill_c: Range | None = spread("Temperature of the damper", least=-40, most=100, unit="°C", group=FILLING)
    air_bar: Range | None = spread(
        "Pressure of the open air",
        least=0.5,
        most=1.1,
        unit="bar",
        help="Not brought to sea level; any up to 5,500 m if left empty.",
        group=FILLING,
        later=True,
    )
    bore_mm: Range | None = measured(
        "Bore of the floating piston", least_um=1_000, most_um=200_000, letter="A", group=CHAMBER
    )
    depth_mm: Range | None = measured(
        "Length of the gas, rod out",
        least_um=1_000,
        most_um=1_000_000,
        help="From the piston to what it would stand on.",
        letter="B",
        group=CHAMBER,
    )
    rod_mm: Range | None = measured("Diameter of the rod", least_um=1_000, most_um=200_000, letter="C", group=CHAMBER)
    stroke_mm: Range | None = measured("Stroke of the rod", most_um=1_000_000, letter="D", group=CHAMBER)
    oil_ml: Range | None = spread(
        "Oil in it", least=0, most=20_000, unit="ml", help="All that heat lets grow.", group=CHAMBER
    )
    coldest_c: float | None = number("Coldest", least=-60, most=200, unit="°C", group=USE)
    hottest_c: float | None = number("Hottest", least=-60, most=200, unit="°C", group=USE)


def answer(asked: GasCharge) -> Answer:
    """Every figure that is told is one that the engine takes."""
    return engine.gas_charge(
        engine.Charge(
            charge_bar=asked.charge_bar,
            charge_c=asked.charge_c,
            fill_c=asked.fill_c,
            air_bar=asked.air_bar,
            bore_mm=asked.bore_mm,
            depth_mm=asked.depth_mm,
            rod_mm=asked.rod_mm,
            stroke_mm=asked.stroke_mm,
            oil_ml=asked.oil_ml,
            coldest_c=asked.coldest_c,
            hottest_c=asked.hottest_c,
            least_bar=asked.least_bar,
            most_bar=asked.most_bar,
            limits_source=asked.limits_source,
        )
    )


QUESTION = Question(
    "gas-charge",
    "What pressure belongs in a gas-charged damper, and what do stroke and heat make of it?",
    GasCharge,
    answer,
    desk=Desk(
        about=SEALS,
        place=9,
        title="What pressure belongs in this gas charge?",
        needs="The maker's charge pressure and limits, bore and depth of the floating piston, rod, stroke and oil.",
        picture=charge_shapes,
        picture_title="What to measure on a gas chamber and its rod",
    ),
    values=(
        Value("fill_bar", "Fill to, by gauge", "bar"),
        Value("piston_travel_mm", "The piston goes, with the whole stroke"),
        Value("gas_left_mm", "Gas left, rod in and hot"),
        Value("rod_in_bar", "Rod in, as filled", "bar"),
        Value("cold_bar", "At the coldest", "bar"),
        Value("hot_bar", "At the hottest", "bar"),
        Value("hot_rod_in_bar", "At the hottest, rod in", "bar"),
    ),
)
