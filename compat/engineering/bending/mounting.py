"""What holds and loads a stack, from the valve that it stands on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from compat.engineering.answers import Finding, ask, note
from compat.engineering.bending.stack import Mount, Preload
from compat.engineering.valves import Valve, ValveSide

CONTACT = "contact_model"


@dataclass(frozen=True, slots=True)
class Fit:
    """What a measured curve told of a piston: the side and its mount when it was measured, the numbers that explain
    the curve, and the share of the force by which the worst point is off. on: the day, as people write it."""

    side: str
    mount: Mount
    youngs_mpa: float
    edge_slip: float
    residual: float
    on: str


def mount_on(valve: Valve, side: str, told: Mapping[str, float] | None = None) -> tuple[Mount | None, list[Finding]]:
    """The mount of one side's stack at nominal sizes, or None with what is still to be measured.

    told: radii by their names in Mount that count before the valve's. The pressure lies on the ring of the side's
    ports; a raised seat preloads the face shim. Raises ValueError for a side that the valve does not have.
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
    if (here.seat_mm is None) is not (here.seat_height_mm is None):
        unknown.append(ask("curve_seat_unknown", CONTACT))
    if unknown:
        return None, unknown
    hub, base, inner, outer = (radii[name] for name in on_file)
    return Mount(hub, base, inner, outer, _preload(here)), []


def _preload(side: ValveSide) -> Preload | None:
    """The seat that bends the face shim at rest; None where it is level with the hub."""
    if side.seat_mm is None or side.seat_height_mm is None or not side.seat_height_mm.nominal:
        return None
    return Preload(side.seat_mm.nominal / 2, side.seat_height_mm.nominal)


def calibrated(mount: Mount, side: str, fits: Sequence[Fit], today: Mapping[str, Mount]) -> tuple[Mount, list[Finding]]:
    """The mount of a side with what was measured on its piston, and a note of that.

    fits: of this piston, the newest first; one of the side itself counts before one of the other side. today: the
    mounts by side as the sizes on file are now: a fit on other sizes is another piston's and counts for nothing.
    """
    if not fits:
        return mount, []
    holding = [fit for fit in fits if today.get(fit.side) == fit.mount]
    if not holding:
        return mount, [note("calibration_outdated", CONTACT, on=fits[0].on)]
    fit = next((one for one in holding if one.side == side), holding[0])
    numbers = {"youngs_gpa": fit.youngs_mpa / 1000, "edge_slip": fit.edge_slip, "worst_percent": 100 * fit.residual}
    told = note("calibrated", CONTACT, measured_side=fit.side, on=fit.on, **numbers)
    return replace(mount, youngs_mpa=fit.youngs_mpa, edge_slip=fit.edge_slip, residual=fit.residual), [told]
