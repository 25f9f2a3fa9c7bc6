"""The order of assembly, from the shoulder to the nut, and how high each part stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from compat.engineering.groups import Ply
from compat.engineering.lip import LipWindow
from compat.engineering.shims import roles_of
from compat.engineering.units import Range
from compat.engineering.valves import Kind, Place, Valve

Step = dict[str, Any]
HEIGHT = "height_mm"


def _plate(valve: Valve, side: str, towards: str) -> list[Step]:
    told = side in valve.base_plates
    if not told and (valve.kind is Kind.MID or not valve.has(side)):
        return []  # a floating stack is held by a spring, a missing side by nothing: only a plate that is told exists
    return [{"part": "base_plate", "side": side, "face_towards": towards, HEIGHT: valve.plate(side).height_mm}]


def _spacings(valve: Valve, place: Place) -> list[Step]:
    return [
        {"part": "spacing", "name": spacing.name, HEIGHT: spacing.height_mm}
        for spacing in valve.spacings
        if spacing.place is place
    ]


def _shims(side: str, plies: Sequence[Ply], towards: str) -> list[Step]:
    """One step a line. `face_towards` is where the piston is seen from the shims, so the face shim lies that way."""
    roles = roles_of([ply.line for ply in plies])
    steps: list[Step] = [
        {
            "part": "shim",
            "side": side,
            "line": number,
            "role": role,
            "pieces": ply.line.quantity,
            "od_mm": ply.od_mm,
            "bore_mm": ply.bore_mm,
            "thickness_mm": ply.thickness_mm,
            "form": ply.line.size.form.value,
            "face_towards": towards,
            HEIGHT: ply.height_mm,
        }
        for number, (ply, role) in enumerate(zip(plies, roles, strict=True), start=1)
    ]
    return steps if towards == "shoulder" else steps[::-1]


def spacers_between(window: LipWindow | None) -> Range | None:
    """What spacers add while nobody has chosen them, millimetres: what the window allows where some are needed, nothing
    where none are or where there is no lip; None while that is unknown."""
    if window is None or window.add_min_mm == 0 or (window.add_max_mm is not None and window.add_max_mm < 0):
        return Range.exact(0.0)
    return window.add_mm


def _spacers(window: LipWindow | None, chosen: Range | None) -> list[Step]:
    """A place for spacers wherever the window does not rule them out, and wherever some are chosen."""
    open_ = spacers_between(window)
    if chosen is None and open_ is not None and open_.high == 0:
        return []
    if chosen is not None and chosen.high == 0:
        return []
    return [{"part": "spacers", "add_mm": window.add_mm if window else None, HEIGHT: chosen or open_}]


def steps_of(
    valve: Valve,
    stacks: Mapping[str, Sequence[Ply]],
    window: LipWindow | None,
    *,
    spacers_mm: Range | None = None,
    nut_height_mm: Range | None = None,
) -> list[Step]:
    """The steps from the shoulder outward, each with its `height_mm`, None where that is unknown.

    `stacks` are face first. The inner (compression) stack goes on reversed: clamp shim first, face shim towards the
    nut; the piston follows with its outer side up (towards the nut); then the outer stack from face to clamp, spacers
    if any, its base plate and the nut. `face_towards` of a base plate is the way its contact face looks. `spacers_mm`
    is the thickness of spacers that are chosen, zero for none. Lengths in millimetres. Source: common practice of the
    trade, no published source.
    """
    inner, outer = valve.inner, valve.outer
    steps = [
        *_spacings(valve, Place.SHOULDER),
        *_plate(valve, inner, "nut"),
        *_spacings(valve, Place.INNER),
        *_shims(inner, stacks.get(inner, ()), "nut"),
    ]
    if valve.kind is not Kind.MID:
        steps.append({"part": "piston", "down": inner, "up": outer, HEIGHT: valve.piston_height_mm})
    return [
        *steps,
        *_shims(outer, stacks.get(outer, ()), "shoulder"),
        *_spacings(valve, Place.OUTER),
        *_spacers(window, spacers_mm),
        *_plate(valve, outer, "shoulder"),
        {"part": "nut", HEIGHT: nut_height_mm},
    ]
