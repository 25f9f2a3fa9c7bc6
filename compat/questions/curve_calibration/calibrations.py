"""Measured curves of force against lift, kept for the pistons that they were measured on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from compat.asking.requests import made, passed
from compat.dampers import engine_values, mounts
from compat.engineering import VERSION
from compat.engineering.answers import Severity, Verdict
from compat.engineering.bending.mounting import same_sizes
from compat.engineering.bending.stack import Mount
from compat.questions.curve_calibration import CurveCalibration, Explained, explained
from compat.texts import rendering
from inventory.common.errors import DomainError
from inventory.dampers.document import DamperDocument
from inventory.dampers.document_calibration import CurveFit, MeasuredCurve
from inventory.dampers.models import Calibration
from inventory.dampers.selectors import Damper, calibrations_of, damper_row, measured_of
from inventory.dampers.services import keep_calibration
from inventory.documents.typed import read, written
from inventory.people.actors import Actor

NUMBERS = ("youngs_gpa", "edge_slip", "rms_percent", "worst_percent", "open_percent", "as_good")
TOLD = ("valve", "side", "stack", "points", "thickness_error_mm")
IN_USE, OUTDATED, REPLACED, WITHDRAWN = "in_use", "outdated", "replaced", "withdrawn"


@dataclass(frozen=True, slots=True)
class Tried:
    """A measured curve on a damper model: what was sent, and what explains it, or why nothing could be computed."""

    damper: str
    sent: Mapping[str, Any]
    outcome: Explained | DomainError

    @property
    def found(self) -> Explained:
        """What explains it. Raises DomainError `not_found` for an unknown damper, `invalid` for what is no curve."""
        if isinstance(self.outcome, DomainError):
            raise self.outcome
        return self.outcome


def try_on(damper: str, sent: Mapping[str, object]) -> Tried:
    """Explains `sent` - `valve`, `side`, `stack`, `points`, `thickness_error_mm` in the form of the API - and keeps
    nothing. To be done outside any transaction, since it may take a second; what is wrong is raised by `found`."""
    told = {name: sent[name] for name in TOLD if sent.get(name) is not None}
    try:
        asked = made(CurveCalibration, passed(CurveCalibration, {**told, "damper": damper}))
        return Tried(damper, sent, explained(asked))
    except DomainError as error:
        return Tried(damper, sent, error)


def keep(tried: Tried, actor: Actor) -> Calibration:
    """Keeps what a measured curve tells of the piston, with its `note`. Callers open the transaction.

    Raises what `found` raises, and DomainError `calibration_refused` where the points are not explained.
    """
    found, sent = tried.found, tried.sent
    answer = found.answer
    if answer.verdict is not Verdict.FITS or found.mount is None:
        why = " ".join(rendering.sentence(one) for one in answer.findings if one.severity is Severity.ASK)
        raise DomainError("calibration_refused", why=why)
    shims = [
        {"thickness_mm": ply.thickness_mm, "od_mm": ply.od_mm, "quantity": ply.line.quantity} for ply in found.plies
    ]
    measured = {
        **{name: sent[name] for name in ("stack", "points")},
        "shims": rendering.number(shims),
        "mount": written(mounts.sizes_of(found.mount)),
    }
    fit = {**{name: answer.values[name] for name in NUMBERS}, "engine": VERSION}
    return keep_calibration(
        damper=damper_row(tried.damper),
        valve=sent["valve"],
        side=sent["side"],
        measured=read(MeasuredCurve, measured),
        fit=read(CurveFit, fit),
        note=sent.get("note", ""),
        actor=actor,
    )


def with_states(damper: Damper) -> list[tuple[Calibration, str]]:
    """Every calibration of a damper model, the newest first, and whether it counts: IN_USE, OUTDATED (the sizes on
    file have changed), REPLACED (by a newer one of the same side) or WITHDRAWN. One query."""
    today = _mounts(damper.document)
    found, taken = [], set[tuple[str, str]]()
    for row in calibrations_of(damper.code):
        place = (row.valve, row.side)
        if row.withdrawn_at is not None:
            state = WITHDRAWN
        elif place not in today or not same_sizes(today[place], mounts.mount_from(measured_of(row).mount)):
            state = OUTDATED
        elif place in taken:
            state = REPLACED
        else:
            state = IN_USE
            taken.add(place)
        found.append((row, state))
    return found


def _mounts(document: DamperDocument) -> dict[tuple[str, str], Mount]:
    """The mounts of a damper's document by (valve, side), where all sizes are known."""
    found: dict[tuple[str, str], Mount] = {}
    for told in document.valves:
        try:
            valve = engine_values.valve_from(told).valve
        except DomainError:  # sizes that contradict each other were saved: nothing holds on them
            continue
        found |= {(told.code, side): mount for side, mount in mounts.on_file(valve).items()}
    return found
