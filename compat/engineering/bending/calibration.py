"""E and the slip of the clamp's edge from a measured curve of force against lift, within physical bounds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import follow
from compat.engineering.bending.plates import Array
from compat.engineering.bending.spread import LEAST_MPA, MOST_MPA
from compat.engineering.bending.stack import CannotBend, Groups, Layer, Mount

LEAST_POINTS = 3
AS_GOOD = 0.005  # of the force, root mean square: slips that leave so little more explain the points as well
SLIPS = 11  # looked at over the whole range, before the best is narrowed down
GOLDEN = (5**0.5 - 1) / 2
STEPS = 7


@dataclass(frozen=True, slots=True)
class Steel:
    """A pair of numbers that explains a measured curve: youngs_mpa, and edge_slip in thicknesses of a face shim."""

    youngs_mpa: float
    edge_slip: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """The fit: `best`, and what is left over, percent of the force, as root mean square and largest.

    as_good: the pairs of least and most slip that explain the points as well. at_bound names what ended at a physical
    bound: `youngs`, `edge_slip`. forces_n: of the curve, a point.
    """

    best: Steel
    as_good: tuple[Steel, Steel]
    rms_percent: float
    worst_percent: float
    at_bound: tuple[str, ...]
    forces_n: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Try:
    """One slip with its E, the mean square left over, and the ratio of computed and measured forces."""

    steel: Steel
    rest: float
    ratio: Array


def calibrate(
    layers: Sequence[Layer], mount: Mount, lifts_mm: Sequence[float], forces_n: Sequence[float]
) -> Calibration:
    """The E and edge slip whose curve is nearest the measured points, by relative least squares.

    layers: face first, at the thickness measured. lifts_mm: rising, above zero, at the rim (at the seat with a
    preload); forces_n: on the whole ring, above zero; at least LEAST_POINTS of them. Force goes with E exactly, so E
    follows from each slip; the slip is looked for over its range and narrowed down by golden section. Raises
    ValueError for points that are none, CannotBend outside the model (a lift beyond the stop too), NotSolved where the
    contacts do not settle.
    """
    lifts, forces = np.array(lifts_mm, dtype=float), np.array(forces_n, dtype=float)
    if len(lifts) < LEAST_POINTS or len(lifts) != len(forces):
        raise ValueError(f"a curve has at least {LEAST_POINTS} points, each a lift and a force")
    if not (np.isfinite(lifts).all() and np.isfinite(forces).all()) or min(lifts.min(), forces.min()) <= 0:
        raise ValueError("lifts and forces are above zero")
    if (np.diff(lifts) <= 0).any():
        raise ValueError("lifts rise")
    groups = Groups.of(layers)

    def tried(slip: float) -> _Try:
        path = follow(contacts_of(groups, replace(mount, edge_slip=slip)), float(lifts[-1]))
        pressures = path.pressures_at(lifts)
        if not np.isfinite(pressures).all():
            raise CannotBend("lift_beyond_stop", lift_mm=float(lifts[-1]), stop_mm=float(path.lift_mm[-1]))
        ratio = pressures * mount.ring_area_mm2 / forces
        scale = float(ratio.sum() / (ratio @ ratio))
        youngs = float(np.clip(scale * mount.youngs_mpa, LEAST_MPA, MOST_MPA))
        ratio = ratio * (youngs / mount.youngs_mpa)
        return _Try(Steel(youngs, slip), float(((ratio - 1) ** 2).mean()), ratio)

    known = [tried(float(slip)) for slip in np.linspace(0.0, 1.0, SLIPS)]
    known += _narrowed(tried, known)
    best = min(known, key=lambda one: one.rest)
    enough = (best.rest**0.5 + AS_GOOD) ** 2
    as_good = sorted((one.steel for one in known if one.rest <= enough), key=lambda steel: steel.edge_slip)
    bounds = {
        "youngs": best.steel.youngs_mpa in (LEAST_MPA, MOST_MPA),
        "edge_slip": best.steel.edge_slip in (0.0, 1.0),
    }
    return Calibration(
        best.steel,
        (as_good[0], as_good[-1]),
        100 * best.rest**0.5,
        100 * float(abs(best.ratio - 1).max()),
        tuple(name for name, reached in bounds.items() if reached),
        tuple((best.ratio * forces).tolist()),
    )


def _narrowed(tried: Callable[[float], _Try], known: Sequence[_Try]) -> list[_Try]:
    """Slips round the best of the known ones, which stand in order, by golden section."""
    at = min(range(len(known)), key=lambda place: known[place].rest)
    low, high = known[max(at - 1, 0)].steel.edge_slip, known[min(at + 1, len(known) - 1)].steel.edge_slip
    left, right = tried(high - GOLDEN * (high - low)), tried(low + GOLDEN * (high - low))
    found = [left, right]
    for _ in range(STEPS):
        if left.rest <= right.rest:
            high, right = right.steel.edge_slip, left
            left = tried(high - GOLDEN * (high - low))
            found.append(left)
        else:
            low, left = left.steel.edge_slip, right
            right = tried(low + GOLDEN * (high - low))
            found.append(right)
    return found
