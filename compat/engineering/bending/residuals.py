"""How true a path is to its own equations: what a reader of the numbers can check without another model."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from compat.engineering.bending import plates
from compat.engineering.bending.contact import RIGID
from compat.engineering.bending.path import Path
from compat.engineering.bending.plates import Array
from compat.engineering.bending.shape import deflection

_POINTS = 40


@dataclass(frozen=True, slots=True)
class Residuals:
    """Shares of one, best zero.

    energy: the work of the pressure less the energy that the plates hold, over that energy. complementarity: the
    largest overlap, or opening under a force, at a contact radius over the lift. penetration: the largest overlap of
    two plates anywhere between contact radii over the lift.
    """

    energy: float
    complementarity: float
    penetration: float


def residuals(path: Path) -> Residuals:
    """The residuals of a path at its last knot (energy: over the whole path)."""
    return Residuals(_energy(path), _complementarity(path), _penetration(path))


def _swept(path: Path) -> Array:
    """The volume, mm3, that the face shim frees over the ring at every knot; by reciprocity the pressure's work."""
    contacts = path.contacts
    groups, mount = contacts.groups, contacts.mount
    edge, rim, poisson = mount.edge_radius_mm(groups), float(groups.radius_mm[0]), mount.poisson
    stiff = float(plates.stiffness(groups.cubes_mm3[0], mount.youngs_mpa, poisson))
    points, weights = np.polynomial.legendre.leggauss(_POINTS)
    rings, alone = mount.rings(groups), 0.0
    for inner, outer, share in rings:
        radii = (outer - inner) / 2 * points + (outer + inner) / 2
        by_pressure = plates.rings_deflection(radii, rings, rim, edge, poisson) / stiff
        alone += share * float((2 * np.pi * radii * by_pressure * weights).sum() * (outer - inner) / 2)
    return np.asarray(path.pressure_mpa * alone + path.forces @ contacts.load)


def _energy(path: Path) -> float:
    """Contacts without friction do no work, so all of the pressure's work from rest is in the plates."""
    swept, pressure, contacts = _swept(path), path.pressure_mpa, path.contacts
    work = float((np.diff(swept) * (pressure[1:] + pressure[:-1]) / 2).sum())
    held = (pressure * swept - path.forces @ contacts.gap) / 2
    stored = float(held[-1] - held[0])
    return abs(work - stored) / stored if stored > 0 else 0.0


def _complementarity(path: Path) -> float:
    contacts, forces = path.contacts, path.forces[-1]
    openings = (contacts.matrix @ forces + contacts.gap + path.pressure_mpa[-1] * contacts.load) / contacts.unit
    off = max(float(-openings.min(initial=0.0)), float(abs(openings[forces > 0]).max(initial=0.0)))
    return off / float(path.lift_mm[-1])


def _penetration(path: Path) -> float:
    contacts, lift = path.contacts, float(path.lift_mm[-1])
    groups = contacts.groups
    level = np.concatenate([[0.0], np.cumsum(groups.height_mm)])
    worst = 0.0
    for below, above in {*zip(contacts.below.tolist(), contacts.above.tolist(), strict=True)}:
        if RIGID in (below, above):
            continue
        here = contacts.radii[contacts.node[(contacts.below == below) & (contacts.above == above)]]
        between = (here[1:] + here[:-1]) / 2
        apart = deflection(path, lift, above, between) - deflection(path, lift, below, between)
        worst = max(worst, float(-(apart + level[above] - level[below + 1]).min(initial=0.0)))
    return worst / lift
