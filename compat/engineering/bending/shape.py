"""How the plates of a path lie and what they bear at one lift: deflection and stress of every group."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from compat.engineering.bending import plates
from compat.engineering.bending.path import Path
from compat.engineering.bending.plates import Array


@dataclass(frozen=True, slots=True)
class Stress:
    """The largest bending stress of a group, MPa, in its thickest shim: where, and how much."""

    group: int
    radius_mm: float
    mpa: float


def _loads(path: Path, lift_mm: float, group: int) -> tuple[Array, Array, float]:
    """(radii, newtons) of the contacts that press on a group, and the pressure on it, MPa (the face group's alone)."""
    contacts = path.contacts
    newtons = path.forces_at(lift_mm) * contacts.unit * contacts.sign_on(group)
    pressing = np.flatnonzero(newtons)
    pressure = float(path.pressures_at(np.array([lift_mm]))[0]) if group == 0 else 0.0
    return contacts.radii[contacts.node[pressing]], newtons[pressing], pressure


def deflection(path: Path, lift_mm: float, group: int, radii_mm: Array) -> Array:
    """How far a group has moved away from the piston at these radii (m,), beyond the clamp and inside its rim, mm."""
    contacts = path.contacts
    groups, mount = contacts.groups, contacts.mount
    rim, edge, poisson = float(groups.radius_mm[group]), mount.edge_radius_mm(groups), mount.poisson
    at, newtons, pressure = _loads(path, lift_mm, group)
    moved = plates.deflection(radii_mm[:, None], at, rim, edge, poisson) @ newtons
    if pressure:
        moved = moved + pressure * plates.pressure_deflection(radii_mm, *mount.pressed_mm(groups), rim, edge, poisson)
    return np.asarray(moved / plates.stiffness(groups.cubes_mm3[group], mount.youngs_mpa, poisson))


def stresses(path: Path, lift_mm: float) -> list[Stress]:
    """The peak of every group that bends, at the clamp or at any contact radius (the rim of a crossover among them).

    sigma = 6 M t / sum t^3 with the radial moment M of the group and the thickness t of its thickest shim: the shims
    of a group share the moment by their stiffness. Source: plate theory.
    """
    contacts = path.contacts
    groups, mount = contacts.groups, contacts.mount
    edge, poisson = mount.edge_radius_mm(groups), mount.poisson
    found = []
    for group in np.flatnonzero(contacts.reach).tolist():
        rim = float(groups.radius_mm[group])
        at, newtons, pressure = _loads(path, lift_mm, group)
        radii = np.concatenate([[edge], contacts.radii[: contacts.reach[group]]])
        moments = plates.radial_moment(radii[:, None], at, rim, edge, poisson) @ newtons
        if pressure:
            ring = mount.pressed_mm(groups)
            moments = moments + pressure * plates.pressure_radial_moment(radii, *ring, rim, edge, poisson)
        worst = int(np.argmax(abs(moments)))
        mpa = 6 * abs(moments[worst]) * groups.thickest_mm[group] / groups.cubes_mm3[group]
        found.append(Stress(group, float(radii[worst]), float(mpa)))
    return found


def peak_stress_mpa(path: Path, lift_mm: float) -> float:
    """The largest of `stresses`."""
    return max((stress.mpa for stress in stresses(path, lift_mm)), default=0.0)
