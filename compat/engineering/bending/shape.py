"""How the plates of a path lie and what they bear at one lift: deflection and stress of every group."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from compat.engineering.bending import plates
from compat.engineering.bending.contact import Contacts
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
        moved = moved + pressure * plates.rings_deflection(radii_mm, mount.rings(groups), rim, edge, poisson)
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
            moments = moments + pressure * plates.rings_moment(radii, mount.rings(groups), rim, edge, poisson)
        worst = int(np.argmax(abs(moments)))
        mpa = 6 * abs(moments[worst]) * groups.thickest_mm[group] / groups.cubes_mm3[group]
        found.append(Stress(group, float(radii[worst]), float(mpa)))
    return found


def rims(path: Path, lifts_mm: Array) -> Array:
    """(lifts, groups that bend): how far each group's rim has moved away from the piston, mm, at lifts (m,)."""
    return np.stack(_each(path, lifts_mm, _at_rim), axis=1)


def peaks_mpa(path: Path, lifts_mm: Array) -> Array:
    """(m,): the largest of `stresses` at lifts (m,), up to the last knot."""
    return np.asarray(np.stack(_each(path, lifts_mm, _at_peak), axis=1).max(axis=1))


def _each(path: Path, lifts_mm: Array, of: Callable[[_Bent], Array]) -> list[Array]:
    contacts = path.contacts
    forces = path.forces_between(lifts_mm) * contacts.unit
    pressures = path.pressures_at(np.minimum(lifts_mm, path.lift_mm[-1]))
    return [
        of(_Bent(contacts, group, forces * contacts.sign_on(group), pressures))
        for group in np.flatnonzero(contacts.reach).tolist()
    ]


@dataclass(frozen=True, slots=True)
class _Bent:
    """One group at several lifts: newtons (lifts, contacts) that press it away from the piston; pressures (lifts,)."""

    contacts: Contacts
    group: int
    newtons: Array
    pressures: Array

    @property
    def sizes(self) -> tuple[float, float, float]:
        groups, mount = self.contacts.groups, self.contacts.mount
        return float(groups.radius_mm[self.group]), mount.edge_radius_mm(groups), mount.poisson

    @property
    def rings(self) -> list[tuple[float, float, float]]:
        return self.contacts.mount.rings(self.contacts.groups) if self.group == 0 else []

    @property
    def pressing(self) -> tuple[Array, Array]:
        """(radii, newtons) of the contacts that press on it at any of the lifts."""
        there = np.flatnonzero(self.newtons.any(axis=0))
        return self.contacts.radii[self.contacts.node[there]], self.newtons[:, there]


def _at_rim(bent: _Bent) -> Array:
    at, newtons = bent.pressing
    rim = np.array([bent.sizes[0]])
    moved = newtons @ plates.deflection(rim, at, *bent.sizes)
    moved = moved + bent.pressures * plates.rings_deflection(rim, bent.rings, *bent.sizes)
    mount = bent.contacts.mount
    stiff = plates.stiffness(bent.contacts.groups.cubes_mm3[bent.group], mount.youngs_mpa, mount.poisson)
    return np.asarray(moved / stiff)


def _at_peak(bent: _Bent) -> Array:
    at, newtons = bent.pressing
    contacts, groups = bent.contacts, bent.contacts.groups
    radii = np.concatenate([[bent.sizes[1]], contacts.radii[: contacts.reach[bent.group]]])
    moments = newtons @ plates.radial_moment(radii[:, None], at, *bent.sizes).T
    moments = moments + bent.pressures[:, None] * plates.rings_moment(radii, bent.rings, *bent.sizes)
    return np.asarray(6 * abs(moments).max(axis=1) * groups.thickest_mm[bent.group] / groups.cubes_mm3[bent.group])


def peak_stress_mpa(path: Path, lift_mm: float) -> float:
    """The largest of `stresses`."""
    return max((stress.mpa for stress in stresses(path, lift_mm)), default=0.0)
