"""The stack-curve question: from the request, the damper model and the lots to an Answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from compat import damper_values, mounts, shelf
from compat.asked.fit import as_range
from compat.engineering.answers import Answer, Finding, ask
from compat.engineering.bending.mounting import RADII, Told, spread_of
from compat.engineering.bending.spread import Spread
from compat.engineering.bending.stack import Mount
from compat.engineering.curve_calibration import curve_calibration
from compat.engineering.groups import Ply, gauged
from compat.engineering.shims import Form, Line, Size
from compat.engineering.stack_curve import stack_curve
from compat.engineering.units import Range, um_to_mm
from compat.refusals import engine_errors
from inventory.common.errors import invalid
from inventory.dampers.selectors import damper_called

NO_BORE_UM = 1  # of a shim whose bore nothing tells, so that it stands in no clamp's way
CONTACT = "contact_model"


def ask_stack_curve(asked: Mapping[str, Any]) -> Answer:
    """What force lifts this stack how far, on the valve of a damper model or on a mount that is told?

    Raises DomainError `invalid` for what cannot be computed, `not_found` for an unknown damper.
    """
    held = _held(asked)
    plies = _plies(asked["stack"], held)
    if held.spread is None:
        return _open("stack-curve", held.findings)
    lifts = [um_to_mm(um) for um in asked["lifts_mm"]] if asked.get("lifts_mm") else None
    bears = None if asked.get("yield_mpa") is None else Range.exact(asked["yield_mpa"])
    with engine_errors("stack"):
        answer = stack_curve(plies, held.spread, lifts_mm=lifts, open_fraction=held.open_fraction, yield_mpa=bears)
    return replace(answer, findings=(*answer.findings, *held.findings, *_bores(asked, held)))


def ask_curve_calibration(asked: Mapping[str, Any]) -> Answer:
    """What E and what slip of the clamp's edge explain a measured curve? Raises as ask_stack_curve() does."""
    return explained(asked).answer


@dataclass(frozen=True, slots=True)
class Explained:
    """The answer to a measured curve, the mount that it was measured on, None where that is not known, and the shims
    with the thickness that they were taken to have."""

    answer: Answer
    mount: Mount | None
    plies: Sequence[Ply]


def explained(asked: Mapping[str, Any]) -> Explained:
    """A measured curve with all that is worth keeping of it. Raises as ask_stack_curve() does."""
    held = _held(asked, calibrated=False)
    plies = _read(_plies(asked["stack"], held), asked)
    if held.spread is None:
        return Explained(_open("curve-calibration", held.findings), None, plies)
    lifts, forces = [um_to_mm(point["lift_mm"]) for point in asked["points"]], [p["force_n"] for p in asked["points"]]
    with engine_errors("points"):
        answer = curve_calibration(plies, held.spread, lifts, forces)
    answer = replace(answer, findings=(*answer.findings, *held.findings, *_bores(asked, held)))
    return Explained(answer, held.spread.mount, plies)


def _read(plies: Sequence[Ply], asked: Mapping[str, Any]) -> list[Ply]:
    """Shims whose thickness was read with a gauge: as told, plus or minus its error; those of a lot by its readings."""
    error = asked.get("thickness_error_mm")
    if error is None:
        return list(plies)
    return [
        ply if sent.get("lot") else gauged(ply.line, error) for ply, sent in zip(plies, asked["stack"], strict=True)
    ]


@dataclass(frozen=True, slots=True)
class _Held:
    """A mount, the open part of its ring, and what was measured on it; without a mount what is to be measured.
    bore_um: that of shims which tell none, where the valve's shaft is known."""

    spread: Spread | None
    open_fraction: float | None = None
    findings: Sequence[Finding] = ()
    bore_um: int | None = None


def _open(question: str, findings: Sequence[Finding]) -> Answer:
    """The answer where something must be measured before anything can be computed."""
    return Answer(question, tuple(findings), {}, (CONTACT,), ("makers_instructions",))


def _plies(sent: list[Mapping[str, Any]], held: _Held) -> list[Ply]:
    """A line that tells no bore takes its lot's, else the usual one of its valve's shaft."""
    lots = shelf.named_lots(sent)
    lines = []
    for index, one in enumerate(sent):
        size, _ = lots.get(one.get("lot", ""), (None, None))
        bore = one.get("bore_mm") or (held.bore_um or NO_BORE_UM if size is None else size.bore_um)
        if bore >= one["od_mm"]:
            raise invalid(f"stack.{index}.od_mm", f"must be larger than the bore, {bore / 1000:g} mm")
        lines.append(Line(Size(one["od_mm"], one["thickness_mm"], bore, Form(one["form"])), one["quantity"]))
    return shelf.with_lots(lines, sent, "stack", lots)


def _bores(asked: Mapping[str, Any], held: _Held) -> list[Finding]:
    """Bores that nothing tells: whether the clamp reaches beyond them is not known."""
    unknown = [
        number
        for number, one in enumerate(asked["stack"], start=1)
        if one.get("bore_mm") is None and one.get("lot") is None
    ]
    return [ask("curve_bore_unknown", CONTACT, line=unknown[0])] if unknown and held.bore_um is None else []


def _held(asked: Mapping[str, Any], *, calibrated: bool = True) -> _Held:
    """The mount of a damper on file with what the request tells in its place, and the open part of its ring."""
    told, open_fraction = _told(asked)
    if asked.get("damper") is None:
        unknown = [] if told.seated else [ask("curve_seat_not_told", CONTACT)]
        return _Held(spread_of(told), open_fraction, unknown)
    damper = damper_called(asked["damper"])
    valve = damper_values.valve_from(damper_values.valve_called(damper.document, asked["valve"])).valve
    fits = mounts.fits_of(damper.code).get(asked["valve"], ()) if calibrated and not told.anything else ()
    bore = damper_values.usual_bore_um(valve.shaft_mm)
    with engine_errors("side"):
        spread, findings = mounts.spread_of(valve, asked["side"], fits, told)
    if spread is None:
        return _Held(None, None, findings, bore)
    # a fraction belongs to its ring: the file's says nothing of a ring that is told
    if asked.get("pressure") is None:
        open_fraction = next(side.open_fraction for side in valve.sides if side.name == asked["side"])
    return _Held(spread, open_fraction, findings, bore)


def _told(asked: Mapping[str, Any]) -> tuple[Told, float | None]:
    """What a request tells of the mount, and of the open part of its ring."""
    pressure, seat = asked.get("pressure") or {}, asked.get("preload")
    lengths = {**{name: asked.get(name) for name in RADII[:2]}, **{name: pressure.get(name) for name in RADII[2:]}}
    sizes = {name: one for name, value in lengths.items() if (one := as_range(value)) is not None}
    steel = {name: Range.exact(asked[name]) for name in ("poisson", "edge_slip") if asked.get(name) is not None}
    if asked.get("youngs_gpa") is not None:
        steel["youngs_mpa"] = Range.exact(asked["youngs_gpa"] * 1000)
    raised = None if seat is None else (_length(seat["radius_mm"]), _length(seat["height_mm"]))
    return Told(sizes, steel, raised, seated="preload" in asked), pressure.get("open_fraction")


def _length(value: Mapping[str, float]) -> Range:
    return Range(value["min"], value["max"], value["nominal"])
