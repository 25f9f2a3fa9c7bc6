"""Stacks in contact against regression values, finite elements, scaling laws and their own energy."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compat.engineering.bending.contact import RIGID
from compat.engineering.bending.path import Path
from compat.engineering.bending.residuals import residuals
from compat.engineering.bending.shape import deflection, stresses
from compat.engineering.bending.stack import Layer, Mount, Preload
from tests.engineering.cases_bending import CLAMP, bent, random_stack
from tests.engineering.oracle_bending import lifts_by_elements

LIFTS = np.array([0.05, 0.1, 0.3, 0.8])
BARE = Mount(10.0, 10.0, 12.0, 18.0, edge_slip=0.0)
TWO_STAGE = [
    Layer(40, 0.15, 3),
    Layer(24, 0.10),
    Layer(38, 0.20, 2),
    Layer(34, 0.20),
    Layer(30, 0.20),
    Layer(26, 0.20),
    CLAMP,
]
# Pressures in MPa at LIFTS. Source: computed by four methods that agree to 6e-4 (this contact model, unmerged Hermite
# elements with penalty contact, Lemke's method, axisymmetric elasticity to 0.22 %).
REGRESSION = [
    ("one plate", [Layer(40, 0.2), CLAMP], BARE, [0.01079, 0.02159, 0.06477, 0.17271]),
    ("five alike", [Layer(40, 0.2, 5), CLAMP], BARE, [0.05397, 0.10795, 0.32384, 0.86357]),
    ("a small one behind", [Layer(40, 0.2), Layer(30, 0.2), CLAMP], BARE, [0.01992, 0.03984, 0.11952, 0.31873]),
    (
        "a taper",
        [Layer(40, 0.2), Layer(34, 0.2), Layer(28, 0.2), CLAMP],
        BARE,
        [0.02915, 0.05829, 0.17488, 0.46634],
    ),
    (
        "two stages",
        TWO_STAGE,
        Mount(11.0, 10.0, 12.0, 17.5, edge_slip=0.0),
        [0.03023, 0.06045, 0.32598, 1.09010],
    ),
]


@pytest.mark.parametrize(("layers", "mount", "pressures"), [case[1:] for case in REGRESSION])
def test_pressure_at_a_lift(layers: list[Layer], mount: Mount, pressures: list[float]) -> None:
    assert bent(layers, mount, 0.8).pressures_at(LIFTS) == pytest.approx(pressures, rel=1e-3)


def test_equal_plates_are_as_many_times_one() -> None:
    """Without friction; exact."""
    one, seven = (bent([Layer(40, 0.2, count), CLAMP], BARE, 0.5).pressures_at(LIFTS[:3]) for count in (1, 7))
    assert seven == pytest.approx(7 * one, rel=1e-12)


def _on_grid(number: int) -> tuple[list[Layer], Mount]:
    """A random stack whose radii all lie on steps of a quarter millimetre from the clamp."""
    layers, mount = random_stack(random.Random(number), most=16)
    return layers, replace(mount, edge_slip=0.0)


@pytest.mark.parametrize("number", range(12))
def test_random_stacks_agree_with_finite_elements(number: int) -> None:
    layers, mount = _on_grid(number)
    lifts = np.array([0.05, 0.2, 0.5])
    pressures = bent(layers, mount, 0.5).pressures_at(lifts)
    found = lifts_by_elements(layers, mount, pressures.tolist())
    assert found == pytest.approx(lifts, rel=5e-3)


@pytest.mark.parametrize("number", range(20))
def test_a_path_is_true_to_its_equations(number: int) -> None:
    layers, mount = random_stack(random.Random(number))
    found = residuals(bent(layers, mount, 0.5))
    assert found.energy < 2e-3
    assert found.complementarity < 1e-5
    assert found.penetration < 5e-3


def test_the_energy_balance_would_show_a_wrong_path() -> None:
    """The same knots with the work of another pressure."""
    path = bent(TWO_STAGE, BARE, 0.8)
    assert residuals(path).energy < 1e-3
    assert (
        residuals(replace(path, pressure_mpa=path.pressure_mpa * np.linspace(1, 1.1, len(path.lift_mm)))).energy > 0.01
    )


def test_more_contact_radii_hardly_move_the_curve() -> None:
    lifts = np.geomspace(0.02, 0.5, 8)
    for number in range(8):
        layers, mount = random_stack(random.Random(number))
        usual, fine = (bent(layers, mount, 0.5, fill=fill).pressures_at(lifts) for fill in (12, 48))
        assert usual == pytest.approx(fine, rel=1e-2)


def _first_closing(path: Path) -> float:
    return path.closings[0].lift_mm


def test_the_gap_closes_where_the_curve_turns() -> None:
    mount = Mount(11.0, 10.0, 12.0, 17.5, edge_slip=0.0)
    path = bent(TWO_STAGE, mount, 0.8)
    assert [(closing.below, closing.above) for closing in path.closings] == [(0, 2)]
    closes = _first_closing(path)
    before = path.pressures_at(np.array([closes / 2, closes]))
    assert before[1] == pytest.approx(2 * before[0], rel=1e-4)  # straight until then
    after = path.pressures_at(np.array([closes, closes * 1.5]))
    assert after[1] - after[0] > 1.5 * (before[1] - before[0])
    # at that lift the two groups meet somewhere, and nowhere before
    radii = np.linspace(10.5, 19.0, 200)
    apart = 0.10 - deflection(path, closes, 0, radii) + deflection(path, closes, 2, radii)
    assert apart.min() == pytest.approx(0.0, abs=2e-4)


def test_the_base_plate_stops_the_lift() -> None:
    """A base plate as large as the face shim leaves it the thickness of the clamp shim and no more."""
    path = bent([Layer(40, 0.2), CLAMP], Mount(10.0, 20.0, 12.0, 18.0), 0.8)
    assert path.stopped
    assert np.isnan(path.pressures_at(np.array([0.5]))).all()
    assert path.lift_mm[-1] == pytest.approx(0.3, rel=0.05)
    assert path.closings[-1].above == RIGID


def test_a_seat_holds_the_shim_down_until_its_preload_is_overcome() -> None:
    seat = Mount(10.0, 10.0, 12.0, 18.0, Preload(18.0, 0.1))
    free, held = (
        bent([Layer(40, 0.2), CLAMP], replace(seat, preload=None), 0.3),
        bent([Layer(40, 0.2), CLAMP], seat, 0.2),
    )
    opening = float(held.pressure_mpa[held.lift_mm <= 1e-9].max())
    assert opening > 0
    # one plate is linear: opened, it lies where the free one lies, which is 0.1 higher than the lift above the seat
    lifted = deflection(held, 0.1, 0, np.array([18.0]))[0]
    assert lifted == pytest.approx(0.2, rel=1e-6)
    pressure = float(held.pressures_at(np.array([0.1]))[0])
    rim = deflection(held, 0.1, 0, np.array([20.0]))[0]
    assert pressure == pytest.approx(float(free.pressures_at(np.array([rim]))[0]), rel=1e-6)


def test_stress_of_one_plate_is_the_handbooks() -> None:
    """M_b = K_M q a^2 (Roark, case 2l, b/a = 0.5; memory), sigma = 6 M / t^2."""
    mount = Mount(10.0, 10.0, 10.0, 20.0, edge_slip=0.0)
    path = bent([Layer(40, 0.2), CLAMP], mount, 0.1)
    pressure = float(path.pressures_at(np.array([0.1]))[0])
    peak = stresses(path, 0.1)[0]
    assert peak.radius_mm == 10.0
    assert peak.mpa == pytest.approx(6 * 0.173569 * pressure * 400 / 0.04, rel=1e-4)


def test_the_rim_of_a_crossover_can_bear_more_than_the_clamp() -> None:
    path = bent([Layer(40, 0.15, 3), Layer(30, 0.3, 3), Layer(20, 0.3)], BARE, 0.3)
    assert stresses(path, 0.3)[0].radius_mm == 15.0


sizes = st.lists(
    st.tuples(st.sampled_from(range(22, 41, 2)), st.sampled_from((0.10, 0.15, 0.20, 0.30))), min_size=1, max_size=8
)


def _single_stage(drawn: list[tuple[int, float]]) -> list[Layer]:
    """A taper under a 40 mm face shim: nothing lies apart, so the curve is a straight line."""
    return [Layer(40.0, 0.2), *(Layer(float(od), t) for od, t in sorted(drawn, reverse=True)), CLAMP]


def _pressure(layers: list[Layer], mount: Mount, lift_mm: float = 0.2) -> float:
    return float(bent(layers, mount, lift_mm).pressures_at(np.array([lift_mm]))[0])


@settings(max_examples=40, deadline=None)
@given(sizes, st.data())
def test_more_thickness_never_softens(drawn: list[tuple[int, float]], data: st.DataObject) -> None:
    """Where nothing lies apart: a thicker crossover opens its gap, and that softens."""
    layers = _single_stage(drawn)
    at = data.draw(st.integers(0, len(layers) - 2))
    thicker = [*layers[:at], replace(layers[at], thickness_mm=layers[at].thickness_mm + 0.05), *layers[at + 1 :]]
    assert _pressure(thicker, BARE) >= _pressure(layers, BARE) * (1 - 1e-6)


@settings(max_examples=40, deadline=None)
@given(sizes, st.sampled_from((10.5, 11.0)))
def test_a_larger_clamp_never_softens(drawn: list[tuple[int, float]], clamp: float) -> None:
    layers = _single_stage(drawn)
    wider = replace(BARE, hub_radius_mm=clamp, base_radius_mm=clamp)
    larger = [layer if layer.od_mm > 2 * clamp else replace(layer, od_mm=2 * clamp) for layer in layers]
    assert _pressure(larger, wider) >= _pressure(layers, BARE) * (1 - 1e-6)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.3, 3.0))
def test_scaling_laws_hold(number: int, factor: float) -> None:
    """p ~ E at the same lift; all lengths times k: the same pressure at k times the lift (p ~ E w t^3 / a^4)."""
    layers, mount = random_stack(random.Random(number), most=14)
    lifts = np.array([0.05, 0.15, 0.3])
    here = bent(layers, mount, 0.3).pressures_at(lifts)
    stiffer = bent(layers, replace(mount, youngs_mpa=mount.youngs_mpa * factor), 0.3)
    assert stiffer.pressures_at(lifts) == pytest.approx(factor * here, rel=2e-4)
    grown = [replace(layer, od_mm=layer.od_mm * factor, thickness_mm=layer.thickness_mm * factor) for layer in layers]
    radii = ("hub_radius_mm", "base_radius_mm", "inner_radius_mm", "outer_radius_mm")
    around = replace(mount, **{name: getattr(mount, name) * factor for name in radii})
    assert bent(grown, around, 0.3 * factor).pressures_at(lifts * factor) == pytest.approx(here, rel=2e-4)
