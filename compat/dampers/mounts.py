"""What holds and loads the stacks of a damper model, with what was measured on its pistons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from compat.engineering.answers import Finding, ask
from compat.engineering.bending.mounting import RADII, Fit, Told, calibrated, mount_on, spread_on
from compat.engineering.bending.spread import Spread
from compat.engineering.bending.stack import Fitted, Mount, Preload
from compat.engineering.valves import Kind, Valve
from inventory.common import clock
from inventory.dampers.document_calibration import MountSizes, Seat
from inventory.dampers.models import Calibration
from inventory.dampers.selectors import calibrations_in_use, fit_of, measured_of

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
    fit = fit_of(row)
    first, last = ((steel.youngs_gpa * 1000, steel.edge_slip) for steel in fit.as_good)
    fitted = Fitted(fit.leaves_open / 100, (first, last))
    mount = mount_from(measured_of(row).mount)
    return Fit(row.side, mount, fit.youngs_gpa * 1000, fit.edge_slip, fitted, clock.day_of(row.at).isoformat())


def mount_from(sizes: MountSizes) -> Mount:
    """A mount from the sizes that were stored with a calibration."""
    hub, base, inner, outer = (getattr(sizes, name) for name in RADII)
    seat = sizes.preload
    return Mount(hub, base, inner, outer, None if seat is None else Preload(seat.radius_mm, seat.height_mm))


def sizes_of(mount: Mount) -> MountSizes:
    """The sizes of a mount as they are stored with a calibration."""
    seat = mount.preload
    told = None if seat is None else Seat(radius_mm=seat.radius_mm, height_mm=seat.height_mm)
    return MountSizes(**{name: getattr(mount, name) for name in RADII}, preload=told)


def spread_of(
    valve: Valve, side: str, fits: Sequence[Fit] = (), told: Told | None = None
) -> tuple[Spread | None, list[Finding]]:
    """The mount of one side with its ranges: what is told, else what is on file with what was measured on it.

    None with what is still to be measured; a mount with a note of the calibration that it has. A piston with other
    sizes than those on file is another one, so nothing of what was measured holds where sizes are told. Raises
    Refused for a side that the valve does not have.
    """
    if valve.kind is Kind.MID:
        return None, [ask("curve_of_floating", "contact_model")]
    spread, unknown = spread_on(valve, side, told)
    if spread is None or (told is not None and told.anything) or not fits:
        return spread, unknown
    mount, notes = calibrated(spread.mount, valve.kind.value, side, fits, on_file(valve))
    return spread if mount.fitted is None else spread.measured(mount), notes


def mount_of(valve: Valve, side: str, fits: Sequence[Fit] = ()) -> tuple[Mount | None, list[Finding]]:
    """The same at nominal sizes."""
    spread, findings = spread_of(valve, side, fits)
    return None if spread is None else spread.mount, findings


def on_file(valve: Valve) -> dict[str, Mount]:
    """The mounts of a valve's sides by name, where all sizes are on file."""
    return {one.name: mount for one in valve.sides if (mount := mount_on(valve, one.name)[0]) is not None}
