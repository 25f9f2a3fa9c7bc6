"""How the plates of a path lie and what they bear at one lift: deflection and stress of every group."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from compat.engineering.bending import plates
from compat.engineering.bending.contact import RIGID, Places
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
    """The peak of every group that bends, at the clamp or at any contact radius (the rim of a crossover among them), at
    a lift up to the last knot."""
    bending, radii, found = _stresses(path, np.array([lift_mm]))
    worst = found[:, 0].argmax(axis=1)
    return [
        Stress(group, float(radii[at]), float(mpa))
        for group, at, mpa in zip(bending.tolist(), worst, found[:, 0].max(axis=1), strict=True)
    ]


def peaks_mpa(path: Path, lifts_mm: Array) -> Array:
    """(m,): the largest of `stresses` at lifts (m,), up to the last knot."""
    return np.asarray(_stresses(path, lifts_mm)[2].max(axis=(0, 2)))


def peak_stress_mpa(path: Path, lift_mm: float) -> float:
    """The largest of `stresses`."""
    return float(peaks_mpa(path, np.array([lift_mm]))[0])


def _stresses(path: Path, lifts_mm: Array) -> tuple[Places, Array, Array]:
    """(groups that bend (g,), radii (r,), MPa (g, m, r) at lifts (m,)): the clamp's edge and every contact radius, zero
    beyond a group's rim.

    sigma = 6 M t / sum t^3 with the radial moment M of the group and the thickness t of its thickest shim: the shims
    of a group share the moment by their stiffness. Source: plate theory.
    """
    contacts = path.contacts
    bending, newtons, pressures = _pressing(path, lifts_mm)
    groups, mount = contacts.groups, contacts.mount
    edge, poisson = mount.edge_radius_mm(groups), mount.poisson
    rim = groups.radius_mm[bending]
    radii = np.concatenate([[edge], contacts.radii])
    moments = plates.radial_moments(newtons, radii, contacts.radii, rim, edge, poisson)
    if contacts.reach[0]:
        moments[0] += pressures[:, None] * plates.rings_moment(radii, mount.rings(groups), rim[0], edge, poisson)
    there = np.arange(len(radii)) <= contacts.reach[bending, None]  # the edge, and the radii inside the group's rim
    by_moment = 6 * groups.thickest_mm[bending] / groups.cubes_mm3[bending]
    return bending, radii, np.where(there[:, None, :], abs(moments), 0.0) * by_moment[:, None, None]


def rims(path: Path, lifts_mm: Array) -> Array:
    """(lifts, groups that bend): how far each group's rim has moved away from the piston, mm, at lifts (m,)."""
    contacts = path.contacts
    bending, newtons, pressures = _pressing(path, lifts_mm)
    groups, mount = contacts.groups, contacts.mount
    edge, poisson = mount.edge_radius_mm(groups), mount.poisson
    rim = groups.radius_mm[bending]
    gives = plates.deflection(rim[:, None], contacts.radii, rim[:, None], edge, poisson)
    moved = np.einsum("glk,gk->lg", newtons, gives)
    if contacts.reach[0]:
        moved[:, 0] += pressures * plates.rings_deflection(rim[0], mount.rings(groups), rim[0], edge, poisson)
    return np.asarray(moved / plates.stiffness(groups.cubes_mm3[bending], mount.youngs_mpa, poisson))


def _pressing(path: Path, lifts_mm: Array) -> tuple[Places, Array, Array]:
    """(groups that bend (g,), newtons (g, m, k) that press them away from the piston at each radius, pressures (m,))
    at lifts (m,)."""
    contacts = path.contacts
    forces = (path.forces_between(lifts_mm) * contacts.unit).T
    newtons = np.zeros((len(contacts.groups.radius_mm), len(contacts.radii), len(lifts_mm)))
    for group, sign in ((contacts.above, 1.0), (contacts.below, -1.0)):
        of_plate = np.flatnonzero(group != RIGID)
        np.add.at(newtons, (group[of_plate], contacts.node[of_plate]), sign * forces[of_plate])
    bending = np.flatnonzero(contacts.reach)
    pressures = path.pressures_at(np.minimum(lifts_mm, path.lift_mm[-1]))
    return bending, newtons[bending].transpose(0, 2, 1), pressures
