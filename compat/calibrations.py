"""Measured curves of force against lift, kept for the pistons that they were measured on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from compat import damper_values, mounts, rendering
from compat.asked.fit import CurveCalibrationIn
from compat.asking import checked
from compat.curves import calibration_on
from compat.engineering.answers import Answer, Verdict
from compat.engineering.bending.mounting import mount_on
from compat.engineering.bending.stack import Mount
from inventory.common.errors import DomainError
from inventory.dampers.models import Calibration
from inventory.dampers.selectors import calibrations_of, damper_called, damper_row
from inventory.dampers.services import keep_calibration
from inventory.people.actors import Actor

NUMBERS = ("youngs_gpa", "edge_slip", "rms_percent", "worst_percent")
IN_USE, OUTDATED, REPLACED, WITHDRAWN = "in_use", "outdated", "replaced", "withdrawn"


@dataclass(frozen=True, slots=True)
class Tried:
    """The answer to a measured curve, and the mount of the damper model that it was measured on."""

    answer: Answer
    mount: Mount | None


def try_on(damper: str, sent: Mapping[str, Any]) -> Tried:
    """Explains `sent` - `valve`, `side`, `stack`, `points` in the form of the API - and keeps nothing.

    Raises DomainError `not_found` for an unknown damper, `invalid` for what is no curve.
    """
    told = {name: sent[name] for name in ("valve", "side", "stack", "points") if name in sent}
    return Tried(*calibration_on(checked(CurveCalibrationIn, {**told, "damper": damper})))


def keep(damper: str, sent: Mapping[str, Any], actor: Actor) -> Calibration:
    """Explains a measured curve as try_on() does and keeps what it tells of the piston, with its `note`.

    Raises what try_on() raises, and DomainError `calibration_refused` where the points are not explained.
    """
    tried = try_on(damper, sent)
    fit, mount = tried.answer.values, tried.mount
    if tried.answer.verdict is not Verdict.FITS or mount is None:
        verdict = str(tried.answer.verdict)
        raise DomainError("calibration_refused", why=rendering.summary(verdict, tried.answer.findings))
    return keep_calibration(
        damper=damper_row(damper),
        valve=sent["valve"],
        side=sent["side"],
        measured={"stack": sent["stack"], "points": sent["points"], "mount": mounts.sizes_of(mount)},
        fit={name: fit[name] for name in NUMBERS},
        note=sent.get("note", ""),
        actor=actor,
    )


def with_states(damper: str) -> list[tuple[Calibration, str]]:
    """Every calibration of a damper model, the newest first, and whether it counts: IN_USE, OUTDATED (the sizes on
    file have changed), REPLACED (by a newer one of the same side) or WITHDRAWN. Two queries. Raises DomainError
    `not_found`."""
    document = damper_called(damper).document
    today = _mounts(document)
    found, taken = [], set[tuple[str, str]]()
    for row in calibrations_of(damper):
        place = (row.valve, row.side)
        if row.withdrawn_at is not None:
            state = WITHDRAWN
        elif today.get(place) != mounts.mount_from(row.measured["mount"]):
            state = OUTDATED
        elif place in taken:
            state = REPLACED
        else:
            state = IN_USE
            taken.add(place)
        found.append((row, state))
    return found


def _mounts(document: Mapping[str, Any]) -> dict[tuple[str, str], Mount]:
    """The mounts of a damper's document by (valve, side), where all sizes are known."""
    found = {}
    for told in document["valves"]:
        try:
            valve = damper_values.valve_from(told, kind=told["code"]).valve
        except DomainError:  # sizes that contradict each other were saved: nothing holds on them
            continue
        for side in valve.sides:
            mount, _ = mount_on(valve, side.name)
            if mount is not None:
                found[told["code"], side.name] = mount
    return found
