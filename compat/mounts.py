"""What holds and loads the stacks of a damper model, with what was measured on its pistons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from compat.engineering.answers import Finding, ask
from compat.engineering.bending.mounting import Fit, calibrated, mount_on
from compat.engineering.bending.stack import Fitted, Mount, Preload
from compat.engineering.valves import Kind, Valve
from inventory.common import clock
from inventory.dampers.models import Calibration
from inventory.dampers.selectors import calibrations_in_use

RADII = ("hub_radius_mm", "base_radius_mm", "inner_radius_mm", "outer_radius_mm")
# The fits of a damper model's pistons by the valve's code, the newest first.
Fits = Mapping[str, Sequence[Fit]]


def fits_of(damper: str, at: datetime | None = None) -> Fits:
    """What is known of the pistons of a damper model now, or was known at a time; one query."""
    found: dict[str, list[Fit]] = {}
    for row in calibrations_in_use(damper, at):
        found.setdefault(row.valve, []).append(fit_from(row))
    return found


def fit_from(row: Calibration) -> Fit:
    """A calibration as the engine takes it."""
    fit = row.fit
    first, last = ((steel["youngs_gpa"] * 1000, steel["edge_slip"]) for steel in fit["as_good"])
    fitted = Fitted(row.leaves_open / 100, (first, last))
    mount = mount_from(row.measured["mount"])
    return Fit(row.side, mount, fit["youngs_gpa"] * 1000, fit["edge_slip"], fitted, clock.day_of(row.at).isoformat())


def mount_from(sizes: Mapping[str, Any]) -> Mount:
    """A mount from the sizes that were stored with a calibration."""
    seat = sizes.get("preload")
    hub, base, inner, outer = (float(sizes[name]) for name in RADII)
    return Mount(hub, base, inner, outer, None if seat is None else Preload(**seat))


def sizes_of(mount: Mount) -> dict[str, Any]:
    """The sizes of a mount as they are stored with a calibration."""
    seat = mount.preload
    told = None if seat is None else {"radius_mm": seat.radius_mm, "height_mm": seat.height_mm}
    return {**{name: getattr(mount, name) for name in RADII}, "preload": told}


def mount_of(
    valve: Valve, side: str, fits: Sequence[Fit] = (), told: Mapping[str, Any] | None = None
) -> tuple[Mount | None, list[Finding]]:
    """The mount of one side: what is told, else the sizes on file with what was measured on this piston.

    None with what is still to be measured; a mount with a note of the calibration that it has. A piston with other
    sizes than those on file is another one, so nothing of what was measured holds where sizes are told. Raises
    ValueError for a side that the valve does not have.
    """
    if valve.kind is Kind.MID:
        return None, [ask("curve_of_floating", "contact_model")]
    mount, unknown = mount_on(valve, side, told)
    if mount is None or told or not fits:
        return mount, unknown
    return calibrated(mount, valve.kind.value, side, fits, on_file(valve))


def on_file(valve: Valve) -> dict[str, Mount]:
    """The mounts of a valve's sides by name, where all sizes are on file."""
    return {one.name: mount for one in valve.sides if (mount := mount_on(valve, one.name)[0]) is not None}
