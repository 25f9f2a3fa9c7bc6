"""What holds and loads a stack, from the valve that it stands on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from compat.engineering.answers import Finding, ask, note
from compat.engineering.bending.stack import Fitted, Mount, Preload
from compat.engineering.valves import Valve, ValveSide

CONTACT = "contact_model"
SAME_MM = 0.0006  # radii; documents tell diameters to a micrometre


@dataclass(frozen=True, slots=True)
class Fit:
    """What a measured curve told of a piston: the side and its mount when it was measured, the numbers that explain
    the curve and what they leave open. on: the day, as people write it."""

    side: str
    mount: Mount
    youngs_mpa: float
    edge_slip: float
    fitted: Fitted
    on: str


def mount_on(valve: Valve, side: str, told: Mapping[str, Any] | None = None) -> tuple[Mount | None, list[Finding]]:
    """The mount of one side's stack at nominal sizes, or None with what is still to be measured.

    told: radii, and the preload, by their names in Mount, that count before the valve's. The pressure lies on the ring
    of the side's ports; a raised seat preloads the face shim. Raises ValueError for a side that the valve does not
    have.
    """
    here = next((one for one in valve.sides if one.name == side), None)
    if here is None:
        raise ValueError(f"the valve has no side {side}")
    on_file = {
        "hub_radius_mm": ("hub", here.hub_mm),
        "base_radius_mm": ("contact_diameter", valve.plate(side).contact_diameter_mm),
        "inner_radius_mm": ("ports_inner", here.ports_inner_mm),
        "outer_radius_mm": ("ports_outer", here.ports_outer_mm),
    }
    radii, unknown = dict[str, float](), list[Finding]()
    for name, (word, size) in on_file.items():
        if told and name in told:
            radii[name] = told[name]
        elif size is None:
            unknown.append(ask(f"curve_{word}_unknown", CONTACT))
        else:
            radii[name] = size.nominal / 2
    seat_told = told is not None and "preload" in told
    if not seat_told and not _is_level(here) and (here.seat_mm is None or here.seat_height_mm is None):
        unknown.append(ask("curve_seat_unknown", CONTACT))
    if unknown:
        return None, unknown
    hub, base, inner, outer = (radii[name] for name in on_file)
    return Mount(hub, base, inner, outer, _preload(here)), []


def _is_level(side: ValveSide) -> bool:
    """Is no seat on file, or one that stands no higher than the hub?"""
    height = side.seat_height_mm
    return (side.seat_mm is None and height is None) or (height is not None and not height.nominal)


def _preload(side: ValveSide) -> Preload | None:
    """The seat that bends the face shim at rest; None where it is level with the hub."""
    if _is_level(side) or side.seat_mm is None or side.seat_height_mm is None:
        return None
    return Preload(side.seat_mm.nominal / 2, side.seat_height_mm.nominal)


def calibrated(
    mount: Mount, valve: str, side: str, fits: Sequence[Fit], today: Mapping[str, Mount]
) -> tuple[Mount, list[Finding]]:
    """The mount of a side with what was measured on its piston, and what to say of that.

    fits: of this piston, the newest first; one of the side itself counts before one of the other side. today: the
    mounts by side as the sizes on file are now: a fit on other sizes is another piston's and counts for nothing.
    """
    holding = [fit for fit in fits if fit.side in today and same_sizes(today[fit.side], fit.mount)]
    newest = next((fit for fit in fits if fit.side == side), fits[0] if fits else None)
    told = []
    if newest is not None and newest not in holding:
        told.append(note("calibration_outdated", CONTACT, valve=valve, measured_side=newest.side, on=newest.on))
    fit = next((one for one in holding if one.side == side), next(iter(holding), None))
    if fit is None:
        return mount, told
    numbers = {"youngs_gpa": fit.youngs_mpa / 1000, "edge_slip": fit.edge_slip, "percent": 100 * fit.fitted.share}
    told.append(note("calibrated", CONTACT, valve=valve, measured_side=fit.side, on=fit.on, **numbers))
    return replace(mount, youngs_mpa=fit.youngs_mpa, edge_slip=fit.edge_slip, fitted=fit.fitted), told


def same_sizes(one: Mount, other: Mount) -> bool:
    """Do two mounts differ by less than any size is told to?"""
    sizes = [(m.hub_radius_mm, m.base_radius_mm, m.inner_radius_mm, m.outer_radius_mm) for m in (one, other)]
    seats = [(0.0, 0.0) if m.preload is None else (m.preload.radius_mm, m.preload.height_mm) for m in (one, other)]
    apart = [abs(a - b) for pair in (sizes, seats) for a, b in zip(*pair, strict=True)]
    return bool(max(apart) < SAME_MM)
