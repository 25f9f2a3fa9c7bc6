"""The gas charge: figures beside CoolProp and the gas laws, each finding, and every missing figure leaves it open."""

from __future__ import annotations

import math
import random
from dataclasses import fields, replace
from itertools import product
from typing import Any

import CoolProp.CoolProp as coolprop
import pytest

from compat.engineering.answers import Verdict
from compat.engineering.units import Range
from compat.questions.gas_charge.charge import OIL_PER_K, OPEN_AIR_BAR, Charge, gas_charge
from tests.api.conftest import caller, ok
from tests.people import storefront

AIR = 1.01325
SHEET = Charge(
    charge_bar=Range.exact(10.0),
    charge_c=Range.exact(20.0),
    fill_c=Range.exact(20.0),
    air_bar=Range.exact(AIR),
    bore_mm=Range.exact(46.0),
    depth_mm=Range.exact(60.0),
    rod_mm=Range.exact(16.0),
    stroke_mm=Range.exact(100.0),
    oil_ml=Range.exact(200.0),
    coldest_c=-10.0,
    hottest_c=80.0,
    least_bar=6.0,
    most_bar=30.0,
    limits_source="Halvik sheet 9",
)


def told(**changes: Any) -> Charge:
    """The sheet with some figures changed; a number stands for one that is known exactly."""
    spread = {one.name for one in fields(Charge) if "Range" in str(one.type)}
    exact = {name: Range.exact(float(one)) for name, one in changes.items() if name in spread and _is_number(one)}
    changed: dict[str, Any] = {**changes, **exact}
    return replace(SHEET, **changed)


def _is_number(told: Any) -> bool:
    return isinstance(told, int | float)


def codes(charge: Charge) -> set[str]:
    return {one.code for one in gas_charge(charge).findings}


def value(charge: Charge, name: str) -> Range:
    found = gas_charge(charge).values[name]
    assert isinstance(found, Range)
    return found


def moles(bar: float, celsius: float) -> float:
    """Moles in a cubic metre at a gauge pressure, by CoolProp."""
    return float(coolprop.PropsSI("Dmolar", "T", celsius + 273.15, "P", (bar + AIR) * 1e5, "Nitrogen"))


def gauge(density: float, kelvin: float) -> float:
    """bar by gauge of so many moles in a cubic metre, by CoolProp."""
    return float(coolprop.PropsSI("P", "T", kelvin, "Dmolar", density, "Nitrogen")) / 1e5 - AIR


def adiabatic(density: float, kelvin: float, denser: float) -> float:
    """bar by gauge after a squeeze without heat, by CoolProp."""
    entropy = coolprop.PropsSI("Smolar", "T", kelvin, "Dmolar", density, "Nitrogen")
    return float(coolprop.PropsSI("P", "Smolar", entropy, "Dmolar", denser, "Nitrogen")) / 1e5 - AIR


@pytest.mark.parametrize("charge_bar", [3, 10, 14, 60])
@pytest.mark.parametrize("fill_c", [-5, 20, 35])
def test_what_belongs_in_it_at_another_temperature_has_the_same_density(charge_bar: int, fill_c: int) -> None:
    found = value(told(charge_bar=charge_bar, fill_c=fill_c, charge_c=20), "fill_bar")
    wanted = gauge(moles(charge_bar, 20), fill_c + 273.15)
    assert found.low == found.high == pytest.approx(wanted, abs=1e-5 * (charge_bar + 1))


def test_at_its_own_temperature_it_is_the_sheet_s_pressure() -> None:
    assert value(SHEET, "fill_bar").nominal == pytest.approx(10, abs=1e-6)


def test_the_ideal_gas_law_of_gauge_pressures_is_close_at_low_pressure() -> None:
    """Amontons: (p + air) / T is constant; 10 bar at 20 °C are 12.26 at 80 °C, and the real gas is within 0.3 %."""
    wanted = (10 + AIR) * 353.15 / 293.15 - AIR
    found = value(told(fill_c=80), "fill_bar").nominal
    assert found == pytest.approx(wanted, rel=0.01) and found != pytest.approx(wanted, rel=1e-4)


def test_the_piston_goes_by_the_rod_s_volume() -> None:
    """100 mm of a 16 mm rod are 20.1 ml; over a bore of 46 mm that is 12.098 mm."""
    assert value(SHEET, "piston_travel_mm").nominal == pytest.approx(100 * 16**2 / 46**2, abs=1e-9)
    assert value(told(oil_ml=0), "gas_left_mm").nominal == pytest.approx(60 - 12.09830, abs=1e-5)


def test_the_rod_in_lies_between_the_slowest_and_the_fastest_stroke() -> None:
    found = value(SHEET, "rod_in_bar")
    density = moles(10, 20)
    denser = density * 60 / (60 - 100 * 16**2 / 46**2)
    assert found.low == pytest.approx(gauge(denser, 293.15), rel=1e-6)
    assert found.high == pytest.approx(adiabatic(density, 293.15, denser), rel=1e-6)
    # Diatomic and nearly ideal: p V^1.4 within two per cent, and warmer than without heat held back.
    assert found.high + AIR == pytest.approx((10 + AIR) * (denser / density) ** 1.4, rel=0.02)


def test_warm_oil_takes_room_from_the_gas() -> None:
    """200 ml warmed by 60 degrees grow by 7.2 to 12 ml, 4.3 to 7.2 mm of the bore."""
    left = value(SHEET, "gas_left_mm")
    area = math.pi / 4 * 46**2
    grown = [200_000 * part * 60 / area for part in (OIL_PER_K.low, OIL_PER_K.high)]
    assert left.low == pytest.approx(60 - 12.0983 - grown[1], abs=1e-3)
    assert left.high == pytest.approx(60 - 12.0983 - grown[0], abs=1e-3)
    hot = value(SHEET, "hot_bar")
    assert hot.low == pytest.approx(gauge(moles(10, 20) * 60 / (60 - grown[0]), 353.15), rel=1e-6)
    assert hot.high == pytest.approx(gauge(moles(10, 20) * 60 / (60 - grown[1]), 353.15), rel=1e-6)
    cold = value(SHEET, "cold_bar")
    assert cold.high < 10 and cold.low < cold.high


def test_random_charges_inside_what_is_known_stay_inside_what_is_said() -> None:
    """Monte Carlo over the whole of what is told, computed by CoolProp alone."""
    vague = replace(
        SHEET,
        charge_bar=Range.between(9.8, 10.2),
        charge_c=Range.between(18, 22),
        fill_c=Range.between(5, 9),
        air_bar=Range.between(0.9, 1.05),
        bore_mm=Range.between(45.9, 46.1),
        depth_mm=Range.between(58, 61),
        rod_mm=Range.between(15.9, 16.1),
        stroke_mm=Range.between(98, 102),
        oil_ml=Range.between(190, 210),
    )
    values, draw = gas_charge(vague).values, random.Random(5)

    def pick(one: Range | None) -> float:
        assert one is not None
        return draw.choice((one.low, one.high, draw.uniform(one.low, one.high)))

    for _ in range(400):
        bar, from_c, fill, air = (pick(one) for one in (vague.charge_bar, vague.charge_c, vague.fill_c, vague.air_bar))
        bore, depth, rod, stroke = (pick(one) for one in (vague.bore_mm, vague.depth_mm, vague.rod_mm, vague.stroke_mm))
        grown = pick(vague.oil_ml) * pick(OIL_PER_K) * (80 - fill) * 1000 / (math.pi / 4 * bore**2)
        filled = float(coolprop.PropsSI("Dmolar", "T", from_c + 273.15, "P", (bar + air) * 1e5, "Nitrogen"))
        moved = stroke * (rod / bore) ** 2
        rest, inside = filled * depth / (depth - grown), filled * depth / (depth - grown - moved)
        seen = {
            "fill_bar": gauge(filled, fill + 273.15),
            "hot_bar": gauge(rest, 353.15),
            "hot_rod_in_bar": draw.choice((gauge(inside, 353.15), adiabatic(rest, 353.15, inside))),
        }
        for name, one in seen.items():
            said = values[name]
            assert isinstance(said, Range)
            assert said.low - 1e-4 <= one + AIR - air <= said.high + 1e-4, name
        left = values["gas_left_mm"]
        assert isinstance(left, Range) and left.low - 1e-9 <= depth - grown - moved <= left.high + 1e-9


def test_a_charge_inside_its_limits_fits() -> None:
    answer = gas_charge(SHEET)
    assert answer.verdict is Verdict.FITS
    assert {one.code for one in answer.findings} == {"gas_how_fast", "gas_oil_solid"}
    assert {"nitrogen_only", "makers_instructions"} <= set(answer.cautions)


NEEDED = [one.name for one in fields(Charge) if one.name != "air_bar"]


@pytest.mark.parametrize("name", NEEDED)
def test_whatever_is_missing_leaves_it_open_and_is_asked_for(name: str) -> None:
    answer = gas_charge(replace(SHEET, **{name: None}))
    assert answer.verdict is Verdict.CANNOT_TELL
    assert [one for one in answer.findings if one.severity == "ask" and one.code.endswith("_missing")]


def test_air_that_is_not_told_is_any_air_and_said() -> None:
    answer = gas_charge(replace(SHEET, air_bar=None, fill_c=Range.exact(0.0)))
    assert "gas_air_taken" in {one.code for one in answer.findings}
    found = answer.values["fill_bar"]
    ends = [value(told(air_bar=bar, fill_c=0), "fill_bar").nominal for bar in (OPEN_AIR_BAR.low, OPEN_AIR_BAR.high)]
    assert (found.low, found.high) == (min(ends), max(ends))


@pytest.mark.parametrize(
    ("changes", "code", "verdict"),
    [
        ({"depth_mm": 12.0}, "gas_piston_bottoms", Verdict.DOES_NOT_FIT),
        ({"depth_mm": Range.between(12.0, 60.0)}, "gas_piston_may_bottom", Verdict.CANNOT_TELL),
        ({"depth_mm": 18.0, "most_bar": 400.0}, "gas_piston_may_bottom", Verdict.CANNOT_TELL),
        ({"oil_ml": 3_000}, "gas_piston_bottoms", Verdict.DOES_NOT_FIT),
        ({"oil_ml": 2_000}, "gas_piston_may_bottom", Verdict.CANNOT_TELL),
        ({"depth_mm": 12.0}, "gas_squeezed_out", Verdict.DOES_NOT_FIT),
        ({"depth_mm": Range.between(12.0, 60.0)}, "gas_may_be_squeezed_out", Verdict.CANNOT_TELL),
        ({"least_bar": 9.5}, "gas_under_least", Verdict.DOES_NOT_FIT),
        ({"least_bar": 8.5}, "gas_may_be_under_least", Verdict.CANNOT_TELL),
        ({"most_bar": 14.0}, "gas_over_most", Verdict.DOES_NOT_FIT),
        ({"most_bar": 20.0}, "gas_may_be_over_most", Verdict.CANNOT_TELL),
        ({"rod_mm": 46.0}, "gas_rod_not_in_bore", Verdict.CANNOT_TELL),
        ({"coldest_c": 90.0}, "gas_cold_above_hot", Verdict.CANNOT_TELL),
        ({"least_bar": 31.0}, "gas_limits_crossed", Verdict.CANNOT_TELL),
        ({"charge_bar": 40}, "gas_charge_outside_limits", Verdict.CANNOT_TELL),
        ({"charge_bar": Range.between(5.0, 10.0)}, "gas_charge_outside_limits", Verdict.CANNOT_TELL),
    ],
)
def test_each_finding(changes: dict[str, Any], code: str, verdict: Verdict) -> None:
    answer = gas_charge(told(**changes))
    assert code in {one.code for one in answer.findings}
    assert answer.verdict is verdict


def test_a_pressure_in_psi_is_doubted() -> None:
    assert "gas_looks_like_psi" in codes(told(charge_bar=150, most_bar=300.0))
    assert "gas_looks_like_psi" not in codes(SHEET)


def test_a_piston_that_just_has_room_is_at_no_infinite_pressure() -> None:
    values = gas_charge(told(depth_mm=12.0984, oil_ml=0)).values
    assert values["rod_in_bar"] is None and values["fill_bar"] is not None


def test_limits_met_exactly_are_met() -> None:
    found = value(SHEET, "hot_rod_in_bar")
    assert codes(told(most_bar=found.high)) & {"gas_over_most", "gas_may_be_over_most"} == set()
    assert "gas_may_be_over_most" in codes(told(most_bar=found.high - 0.001))


def test_every_corner_of_what_is_told_is_inside_what_is_said() -> None:
    ends = {"charge_bar": (9.0, 11.0), "air_bar": (0.9, 1.05), "fill_c": (0.0, 30.0), "bore_mm": (45.0, 47.0)}
    vague = gas_charge(told(**{name: Range.between(*one) for name, one in ends.items()})).values
    for corner in product(*ends.values()):
        sharp = gas_charge(told(**dict(zip(ends, corner, strict=True)))).values
        for name, wide in vague.items():
            narrow = sharp[name]
            assert wide.low - 1e-9 <= narrow.low and narrow.high <= wide.high + 1e-9, (name, corner)


@pytest.mark.django_db
def test_the_api_answers_with_pressures_and_cautions() -> None:
    body = {
        "charge_bar": 10,
        "charge_c": 20,
        "fill_c": 5,
        "air_bar": 1.013,
        "bore_mm": 46,
        "depth_mm": 60,
        "rod_mm": 16,
        "stroke_mm": 100,
        "oil_ml": 200,
        "coldest_c": -10,
        "hottest_c": 80,
        "least_bar": 6,
        "most_bar": 30,
        "limits_source": "Halvik sheet 9",
    }
    answer = ok(caller(storefront()).ask("/fit/gas-charge", body))
    assert answer["verdict"] == "fits"
    assert answer["values"]["fill_bar"]["nominal"] == pytest.approx(9.43, abs=0.01)
    assert any("never oxygen or air" in said for said in answer["cautions"])
