"""A measured curve gives back what it was made with: by the model itself, and by finite elements."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from compat.engineering.bending.calibration import calibrate
from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import follow
from compat.engineering.bending.spread import LEAST_MPA, MOST_MPA
from compat.engineering.bending.stack import CannotBend, Groups, Layer, Mount
from tests.engineering.cases_bending import CLAMP, bent
from tests.engineering.oracle_bending import lifts_by_elements

STACK = [Layer(40, 0.15, 3), Layer(24, 0.10), Layer(38, 0.20, 2), Layer(34, 0.20), Layer(30, 0.20), CLAMP]
MOUNT = Mount(11.0, 10.0, 12.0, 17.5)
LIFTS = [0.03, 0.06, 0.1, 0.15, 0.2]


def measured(mount: Mount) -> list[float]:
    return list(bent(STACK, mount, LIFTS[-1]).pressures_at(np.array(LIFTS)) * mount.ring_area_mm2)


@pytest.mark.parametrize(("youngs", "slip"), [(206_000.0, 0.1), (195_000.0, 0.35), (212_000.0, 0.8)])
def test_a_curve_of_the_model_gives_its_own_numbers_back(youngs: float, slip: float) -> None:
    found = calibrate(STACK, MOUNT, LIFTS, measured(replace(MOUNT, youngs_mpa=youngs, edge_slip=slip)))
    # E and the slip both scale the force, so they are told apart by the curve's turn alone
    assert found.rms_percent < 0.1
    assert found.best.youngs_mpa == pytest.approx(youngs, rel=0.03)
    assert found.best.edge_slip == pytest.approx(slip, abs=0.35)


def test_a_curve_of_finite_elements_is_met() -> None:
    """Unmerged Hermite elements, E 200 GPa, an edge that does not slip (tests/engineering/oracle_bending.py)."""
    mount = replace(MOUNT, youngs_mpa=200_000.0, edge_slip=0.0)
    pressures = bent(STACK, mount, LIFTS[-1]).pressures_at(np.array(LIFTS))
    lifts = lifts_by_elements(STACK, mount, pressures.tolist())
    found = calibrate(STACK, MOUNT, lifts.tolist(), (pressures * mount.ring_area_mm2).tolist())
    assert found.rms_percent < 0.5
    refound = replace(MOUNT, youngs_mpa=found.best.youngs_mpa, edge_slip=found.best.edge_slip)
    assert measured(refound) == pytest.approx(measured(mount), rel=0.01)


def test_noise_is_left_over_and_said() -> None:
    random_ = random.Random(4)
    noisy = [force * random_.uniform(0.97, 1.03) for force in measured(MOUNT)]
    found = calibrate(STACK, MOUNT, LIFTS, noisy)
    assert 0.3 < found.rms_percent <= found.worst_percent < 4


def test_what_no_spring_steel_does_ends_at_a_bound() -> None:
    twice = [2 * force for force in measured(MOUNT)]
    found = calibrate(STACK, MOUNT, LIFTS, twice)
    assert found.best.youngs_mpa == MOST_MPA and "youngs" in found.at_bound
    assert found.worst_percent > 40
    soft = calibrate(STACK, MOUNT, LIFTS, [force / 2 for force in measured(MOUNT)])
    assert soft.best.youngs_mpa == LEAST_MPA and set(soft.at_bound) == {"youngs", "edge_slip"}


@pytest.mark.parametrize(
    ("lifts", "forces"),
    [
        ([0.1, 0.2], [1.0, 2.0]),
        ([0.1, 0.2, 0.3], [1.0, 2.0]),
        ([0.1, 0.1, 0.3], [1.0, 2.0, 3.0]),
        ([0.0, 0.1, 0.3], [1.0, 2.0, 3.0]),
        ([0.1, 0.2, 0.3], [1.0, -2.0, 3.0]),
        ([0.1, 0.2, float("nan")], [1.0, 2.0, 3.0]),
    ],
)
def test_points_that_are_none_are_refused(lifts: list[float], forces: list[float]) -> None:
    with pytest.raises(ValueError, match=r"points|above zero|rise"):
        calibrate(STACK, MOUNT, lifts, forces)


def test_a_lift_beyond_the_stop_is_refused() -> None:
    stopped = replace(MOUNT, base_radius_mm=20.0)
    with pytest.raises(CannotBend, match="lift_beyond_stop"):
        calibrate([Layer(40, 0.2), CLAMP], stopped, [0.1, 0.2, 0.5], [1.0, 2.0, 5.0])


def test_a_stack_that_rests_on_its_stop_at_once_is_refused() -> None:
    """A base plate as large as the pressed ring: no lift is reached, and no force explains one."""
    layers = [Layer(30, 0.1, 2), Layer(28, 0.2, 2)]
    with pytest.raises(CannotBend, match="lift_beyond_stop"):
        calibrate(layers, Mount(10.0, 14.0, 11.0, 14.0), [0.02, 0.05, 0.1], [21.3, 52.7, 114.6])


def test_no_pressure_is_told_for_a_lift_that_is_not_reached_though_the_path_is_rest_alone() -> None:
    stack = Groups.of([Layer(30, 0.1, 2), Layer(28, 0.2, 2)])
    path = follow(contacts_of(stack, Mount(10.0, 14.0, 11.0, 14.0)), 0.1)
    assert path.lift_mm.tolist() == [0.0]
    assert np.isnan(path.pressures_at(np.array([0.02, 0.1]))).all() and path.pressures_at(np.array([0.0])) == [0.0]
