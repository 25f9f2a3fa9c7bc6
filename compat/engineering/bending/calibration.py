"""E and the slip of the clamp's edge from a measured curve of force against lift, within physical bounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import follow
from compat.engineering.bending.plates import Array
from compat.engineering.bending.stack import Groups, Layer, Mount

LEAST_MPA, MOST_MPA = 180_000.0, 220_000.0  # spring strip, carbon and stainless; from memory
LEAST_POINTS = 3
GOLDEN = (5**0.5 - 1) / 2
STEPS = 24


@dataclass(frozen=True, slots=True)
class Calibration:
    """The fit: youngs_mpa, edge_slip (0 to 1), and what is left over, percent of the force, as root mean square and
    largest. at_bound names what ended at a physical bound: `youngs`, `edge_slip`. forces_n: of the curve, a point."""

    youngs_mpa: float
    edge_slip: float
    rms_percent: float
    worst_percent: float
    at_bound: tuple[str, ...]
    forces_n: tuple[float, ...]


def calibrate(
    layers: Sequence[Layer], mount: Mount, lifts_mm: Sequence[float], forces_n: Sequence[float]
) -> Calibration:
    """The E and edge slip whose curve is nearest the measured points, by relative least squares.

    layers: face first, at the thickness measured. lifts_mm: rising, above zero, at the rim; forces_n: on the whole
    ring, above zero; at least LEAST_POINTS of them. Force goes with E exactly, so E follows from each slip, and the
    slip is found by golden section. Raises ValueError for points that are none, CannotBend outside the model (a lift
    beyond the stop too), NotSolved where the contacts do not settle.
    """
    lifts, forces = np.array(lifts_mm, dtype=float), np.array(forces_n, dtype=float)
    if len(lifts) < LEAST_POINTS or len(lifts) != len(forces):
        raise ValueError(f"a curve has at least {LEAST_POINTS} points, each a lift and a force")
    if not (np.isfinite(lifts).all() and np.isfinite(forces).all()) or min(lifts.min(), forces.min()) <= 0:
        raise ValueError("lifts and forces are above zero")
    if (np.diff(lifts) <= 0).any():
        raise ValueError("lifts rise")

    def fitted(slip: float) -> tuple[float, float, Array]:
        """(rest, E, ratio of computed and measured forces) at a slip."""
        held = replace(mount, edge_slip=slip)
        path = follow(contacts_of(Groups.of(layers), held), float(lifts[-1]))
        pressures = path.pressures_at(lifts)
        if not np.isfinite(pressures).all():
            raise ValueError("a lift lies beyond where the stack rests on its base plate")
        ratio = pressures * mount.ring_area_mm2 / forces
        scale = float(ratio.sum() / (ratio @ ratio))
        youngs = float(np.clip(scale * mount.youngs_mpa, LEAST_MPA, MOST_MPA))
        ratio = ratio * (youngs / mount.youngs_mpa)
        return float(((ratio - 1) ** 2).mean()), youngs, ratio

    low, high = 0.0, 1.0
    inner = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)]
    values = [fitted(slip)[0] for slip in inner]
    for _ in range(STEPS):
        if values[0] <= values[1]:
            high = inner[1]
            inner, values = [high - GOLDEN * (high - low), inner[0]], [0.0, values[0]]
            values[0] = fitted(inner[0])[0]
        else:
            low = inner[0]
            inner, values = [inner[1], low + GOLDEN * (high - low)], [values[1], 0.0]
            values[1] = fitted(inner[1])[0]
    slip = min((0.0, 1.0, (low + high) / 2), key=lambda one: fitted(one)[0])
    rest, youngs, ratio = fitted(slip)
    bounds = (("youngs", youngs in (LEAST_MPA, MOST_MPA)), ("edge_slip", slip in (0.0, 1.0)))
    return Calibration(
        youngs,
        slip,
        100 * rest**0.5,
        100 * float(abs(ratio - 1).max()),
        tuple(name for name, reached in bounds if reached),
        tuple((ratio * forces).tolist()),
    )
