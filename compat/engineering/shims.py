"""Shims as the engine sees them: nominal sizes in whole micrometres, and the spread of a piece's thickness."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

# Thickness tolerance of narrow cold-rolled stainless strip, normal class, ISO 9445-1 as tabulated by strip makers:
# (nominal thickness up to and including, plus or minus), micrometres. Below 0.10 mm the 0.10 mm row is kept (memory:
# the standard's next finer row is tighter, so this errs to the wide side).
STRIP_TOLERANCE_UM: tuple[tuple[int, int], ...] = ((100, 10), (150, 15), (200, 15), (250, 17), (300, 20), (500, 25))
MEASURED_FROM = 3  # readings; fewer say where a lot lies but not how far it scatters
MICROMETER_UM = 2  # what a workshop micrometer leaves open: a spread is never called smaller


class Form(StrEnum):
    """Outline of a shim."""

    ROUND = "round"
    NOTCHED = "notched"
    SLOTTED = "slotted"
    POLYGON = "polygon"
    RING = "ring"


@dataclass(frozen=True, slots=True, order=True)
class Size:
    """A nominal shim size, micrometres. Two shims of one size are alike for building."""

    od_um: int
    thickness_um: int
    bore_um: int
    form: Form = Form.ROUND


@dataclass(frozen=True, slots=True)
class Line:
    """`quantity` shims of one size, as the tuner writes a line of a stack; face first."""

    size: Size
    quantity: int


def strip_tolerance_um(thickness_um: int) -> int:
    """Plus or minus on a nominal thickness, micrometres, where nothing was measured (ISO 9445-1, normal class).

    Above the table's last row the tolerance grows in proportion to it.
    """
    for up_to, tolerance in STRIP_TOLERANCE_UM:
        if thickness_um <= up_to:
            return tolerance
    up_to, tolerance = STRIP_TOLERANCE_UM[-1]
    return -(-thickness_um * tolerance // up_to)


def thickness_of(nominal_um: int, readings: int, mean_um: float, low_um: int, high_um: int) -> tuple[int, int]:
    """(mean, spread) of one piece of a lot, whole micrometres.

    The mean is the readings' mean, or the nominal thickness where there are none. The spread is the largest
    distance of a reading from that mean, at least MICROMETER_UM; with fewer than MEASURED_FROM readings at least the
    strip's tolerance, since one reading says nothing of scatter.
    """
    if readings == 0:
        return nominal_um, strip_tolerance_um(nominal_um)
    mean = round(mean_um)
    least = MICROMETER_UM if readings >= MEASURED_FROM else strip_tolerance_um(nominal_um)
    return mean, max(least, high_um - mean, mean - low_um)


def roles_of(lines: Sequence[Line]) -> list[str]:
    """The role of every line of one side, face first: `face`, `crossover`, `clamp` or `taper`.

    The face group is the leading run of one diameter, the clamp the trailing run; a line smaller than a line before
    it and than a line after it is a crossover wherever it stands. A stack of one diameter is all face. Only `taper`
    lines may be replaced by stand-ins. Common practice of the trade; no published source.
    """
    diameters = [line.size.od_um for line in lines]
    if not diameters:
        return []
    roles = ["taper"] * len(lines)
    for index, od in enumerate(diameters):
        if all(other == diameters[-1] for other in diameters[index:]):
            roles[index] = "clamp"
        if all(other == diameters[0] for other in diameters[: index + 1]):
            roles[index] = "face"
        elif 0 < index < len(diameters) - 1 and od < max(diameters[:index]) and od < max(diameters[index + 1 :]):
            roles[index] = "crossover"
    return roles
