"""Stresses of all groups at many lifts against those of one plate after the other, on random stacks."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from compat.engineering.bending import plates
from compat.engineering.bending.path import Path
from compat.engineering.bending.shape import peak_stress_mpa, peaks_mpa, stresses
from compat.engineering.bending.stack import Layer, Mount, Preload
from tests.engineering.cases_bending import CLAMP, bent, random_stack

CASES = 40


def one_by_one(path: Path, lift_mm: float) -> list[tuple[int, float, float]]:
    """(group, radius, MPa) of every group's largest stress, sigma = 6 M t / sum t^3: each plate by itself, from the
    closed forms of one ring load."""
    contacts = path.contacts
    groups, mount = contacts.groups, contacts.mount
    edge, poisson = mount.edge_radius_mm(groups), mount.poisson
    scaled = path.forces_at(lift_mm) * contacts.unit
    pressure = float(path.pressures_at(np.array([lift_mm]))[0])
    found = []
    for group in np.flatnonzero(contacts.reach).tolist():
        rim = float(groups.radius_mm[group])
        newtons = scaled * contacts.sign_on(group)
        most = (edge, 0.0)
        for radius in [edge, *contacts.radii[: contacts.reach[group]].tolist()]:
            moment = sum(
                force * plates.radial_moment(radius, contacts.radii[node], rim, edge, poisson)
                for force, node in zip(newtons.tolist(), contacts.node.tolist(), strict=True)
                if force
            )
            if group == 0:
                moment += pressure * plates.rings_moment(radius, mount.rings(groups), rim, edge, poisson)
            if abs(moment) > abs(most[1]):
                most = (radius, moment)
        mpa = 6 * abs(most[1]) * groups.thickest_mm[group] / groups.cubes_mm3[group]
        found.append((group, most[0], float(mpa)))
    return found


def cases() -> list[tuple[list[Layer], Mount]]:
    """Random stacks, oil beside the ports on some, a raised seat under others."""
    random_ = random.Random(20)
    found = []
    for number in range(CASES):
        layers, mount = random_stack(random_)
        mount = replace(mount, beyond=(0.0, 0.5, 1.0)[number % 3], edge_slip=random_.choice((0.0, 0.1, 0.4)))
        if number % 4 == 0:
            mount = replace(mount, preload=Preload(mount.outer_radius_mm + 0.5, random_.choice((0.05, 0.1))))
        found.append((layers, mount))
    return found


def test_both_ways_to_ask_give_the_stresses_of_each_plate_by_itself() -> None:
    lifts = np.array([0.02, 0.11, 0.3])
    for layers, mount in cases():
        path = bent(layers, mount, 0.3)
        peaks = peaks_mpa(path, np.minimum(lifts, path.lift_mm[-1]))
        for lift, peak in zip(np.minimum(lifts, path.lift_mm[-1]).tolist(), peaks.tolist(), strict=True):
            theirs, ours = one_by_one(path, lift), stresses(path, lift)
            assert [one.group for one in ours] == [group for group, _, _ in theirs]
            assert [one.mpa for one in ours] == pytest.approx([mpa for _, _, mpa in theirs], rel=1e-9, abs=1e-6)
            assert [one.radius_mm for one in ours if one.mpa > 1e-3] == [r for _, r, mpa in theirs if mpa > 1e-3]
            assert peak == pytest.approx(max(mpa for _, _, mpa in theirs), rel=1e-9)
            assert peak_stress_mpa(path, lift) == pytest.approx(peak, rel=1e-12)


def test_a_held_stack_is_stressed_before_it_lifts() -> None:
    path = bent([Layer(40, 0.2), CLAMP], Mount(10.0, 10.0, 12.0, 18.0, Preload(18.5, 0.1)), 0.2)
    assert peaks_mpa(path, np.zeros(1))[0] == pytest.approx(one_by_one(path, 0.0)[0][2], rel=1e-9)
    assert peaks_mpa(path, np.zeros(1))[0] > 50
