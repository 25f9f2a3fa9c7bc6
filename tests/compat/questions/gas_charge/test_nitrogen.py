"""Nitrogen beside CoolProp's, which has the same published equation (Span and others, 2000) in code of its own."""

from __future__ import annotations

import random

import CoolProp.CoolProp as coolprop
import pytest

from compat.questions.gas_charge import nitrogen

KELVIN = (213.15, 253.15, 293.15, 353.15, 473.15)
BAR = (1.0, 10.0, 60.0, 150.0, 300.0)


def of_coolprop(what: str, one: str, first: float, other: str, second: float) -> float:
    """One property of nitrogen from two others, SI units."""
    return float(coolprop.PropsSI(what, one, first, other, second, "Nitrogen"))


@pytest.mark.parametrize("kelvin", KELVIN)
@pytest.mark.parametrize("bar", BAR)
def test_density_and_pressure_are_those_of_the_reference(bar: float, kelvin: float) -> None:
    mol_l = of_coolprop("Dmolar", "T", kelvin, "P", bar * 1e5) / 1000
    assert nitrogen.density(bar, kelvin) == pytest.approx(mol_l, rel=1e-6)
    assert nitrogen.pressure(mol_l, kelvin) == pytest.approx(bar, rel=1e-6)


def test_a_squeeze_without_heat_is_the_reference_s_isentrope() -> None:
    draw = random.Random(3)
    for _ in range(200):
        kelvin, bar = draw.uniform(220, 420), draw.uniform(2, 60)
        before = of_coolprop("Dmolar", "T", kelvin, "P", bar * 1e5)
        after = min(before * draw.uniform(0.6, 6), nitrogen.DENSEST * 1000)
        entropy = of_coolprop("Smolar", "T", kelvin, "Dmolar", before)
        warm = of_coolprop("T", "Smolar", entropy, "Dmolar", after)
        assert nitrogen.squeezed(before / 1000, kelvin, after / 1000) == pytest.approx(warm, rel=1e-6)


def test_thin_gas_is_nearly_ideal_and_dense_gas_is_not() -> None:
    """At 1 bar nitrogen is ideal to a thousandth; at 200 bar and 20 °C its factor is 1.05 (CoolProp)."""
    for bar, factor in ((1.0, 0.99978), (200.0, 1.05179)):
        assert bar * 100 / (nitrogen.R * 293.15 * nitrogen.density(bar, 293.15)) == pytest.approx(factor, abs=2e-5)


def test_the_densest_that_is_told_lies_far_over_any_damper() -> None:
    assert min(nitrogen.pressure(nitrogen.DENSEST, kelvin) for kelvin in KELVIN) > 500
