"""What holds and loads a stack, from the valve that it stands on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from compat.engineering.answers import Finding, ask, note
from compat.engineering.bending.spread import Spread
from compat.engineering.bending.stack import Fitted, Mount, Preload
from compat.engineering.refused import Refused
from compat.engineering.units import Range
from compat.engineering.valves import Valve, ValveSide

CONTACT = "contact_model"
SAME_MM = 0.0006  # radii; documents tell diameters to a micrometre
LEAST_SEAT_MM = 1e-4  # far under any reading
RADII = ("hub_radius_mm", "base_radius_mm", "inner_radius_mm", "outer_radius_mm")


@dataclass(frozen=True, slots=True)
class Told:
    """What is told of a mount and counts before what is on file: radii in millimetres by their names in Mount, the
    steel (`youngs_mpa`, `poisson`, `edge_slip`), and the radius and height of the seat. seated: whether a seat, or that
    there is none, is told."""

    sizes: Mapping[str, Range] = field(default_factory=dict)
    steel: Mapping[str, Range] = field(default_factory=dict)
    seat: tuple[Range, Range] | None = None
    seated: bool = False

    @property
    def anything(self) -> bool:
        return bool(self.sizes or self.steel or self.seated)


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


def spread_on(valve: Valve, side: str, told: Told | None = None) -> tuple[Spread | None, list[Finding]]:
    """The mount of one side's stack with the ranges of its sizes, or None with what is still to be measured.

    The pressure lies on the ring of the side's ports; a raised seat preloads the face shim. Raises Refused for a side
    that the valve does not have.
    """
    here = next((one for one in valve.sides if one.name == side), None)
    if here is None:
        raise Refused("curve_without_side", "side", side=side)
    told = told or Told()
    on_file = {
        "hub_radius_mm": ("hub", here.hub_mm),
        "base_radius_mm": ("contact_diameter", valve.plate(side).contact_diameter_mm),
        "inner_radius_mm": ("ports_inner", here.ports_inner_mm),
        "outer_radius_mm": ("ports_outer", here.ports_outer_mm),
    }
    radii, unknown = dict[str, Range](), list[Finding]()
    for name, (word, size) in on_file.items():
        if name in told.sizes:
            radii[name] = told.sizes[name]
        elif size is None:
            unknown.append(ask(f"curve_{word}_unknown", CONTACT))
        else:
            radii[name] = size.times(0.5)
    if not told.seated and not _is_level(here) and (here.seat_mm is None or here.seat_height_mm is None):
        unknown.append(ask("curve_seat_unknown", CONTACT))
    if unknown:
        return None, unknown
    return spread_of(replace(told, sizes=radii, seat=told.seat if told.seated else _seat(here))), []


def spread_of(told: Told) -> Spread:
    """The mount of sizes that are all told."""
    sizes = dict(told.sizes)
    hub, base, inner, outer = (sizes[name].nominal for name in RADII)
    seat = None
    if told.seat is not None:
        # a seat that may be level is all but level at the least: it stays the place where lift is measured
        radius, height = told.seat
        low, high = max(height.low, LEAST_SEAT_MM), max(height.high, LEAST_SEAT_MM)
        height = Range(low, high, max(height.nominal, LEAST_SEAT_MM))
        seat = Preload(radius.nominal, height.nominal)
        sizes |= {"seat_radius_mm": radius, "seat_height_mm": height}
    steel: dict[str, Any] = {name: one.nominal for name, one in told.steel.items()}
    return Spread.of(Mount(hub, base, inner, outer, seat, **steel), **sizes, **told.steel)


def mount_on(valve: Valve, side: str) -> tuple[Mount | None, list[Finding]]:
    """The same at nominal sizes."""
    spread, unknown = spread_on(valve, side)
    return None if spread is None else spread.mount, unknown


def _is_level(side: ValveSide) -> bool:
    """Is no seat on file, or one that surely stands no higher than the hub?"""
    height = side.seat_height_mm
    return (side.seat_mm is None and height is None) or (height is not None and not height.high)


def _seat(side: ValveSide) -> tuple[Range, Range] | None:
    """The seat that bends the face shim at rest, its radius and height; None where it is level with the hub."""
    if _is_level(side) or side.seat_mm is None or side.seat_height_mm is None:
        return None
    return side.seat_mm.times(0.5), side.seat_height_mm


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
