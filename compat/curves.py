"""The stack-curve question: from the request, the damper model and the lots to an Answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from compat import damper_values, mounts, shelf
from compat.engineering.answers import Answer, Finding, ask
from compat.engineering.bending.band import SLIP, nominal
from compat.engineering.bending.stack import Groups, Mount, Preload
from compat.engineering.curve_calibration import curve_calibration
from compat.engineering.groups import Ply, gauged
from compat.engineering.shims import Form, Line, Size
from compat.engineering.stack_curve import stack_curve
from compat.engineering.units import um_to_mm
from compat.refusals import engine_errors
from inventory.dampers.selectors import damper_called

CONTACT = "contact_model"


def ask_stack_curve(asked: Mapping[str, Any]) -> Answer:
    """What force lifts this stack how far, on the valve of a damper model or on a mount that is told?

    Raises DomainError `invalid` for what cannot be computed, `not_found` for an unknown damper.
    """
    plies = _plies(asked["stack"])
    held = _held(asked)
    if held.mount is None:
        return _open("stack-curve", held.findings)
    slip = SLIP if asked.get("edge_slip") is None else (held.mount.edge_slip, held.mount.edge_slip)
    lifts = [um_to_mm(um) for um in asked["lifts_mm"]] if asked.get("lifts_mm") else None
    with engine_errors("stack"):
        inside = _inside_bore(plies, held.mount)
        if inside:
            return _open("stack-curve", inside)
        answer = stack_curve(plies, held.mount, lifts_mm=lifts, open_fraction=held.open_fraction, slip=slip)
    return replace(answer, findings=(*answer.findings, *held.findings))


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
    plies = _read(_plies(asked["stack"]), asked)
    held = _held(asked, calibrated=False)
    if held.mount is None:
        return Explained(_open("curve-calibration", held.findings), None, plies)
    lifts, forces = [um_to_mm(point["lift_mm"]) for point in asked["points"]], [p["force_n"] for p in asked["points"]]
    with engine_errors("points"):
        inside = _inside_bore(plies, held.mount)
        if inside:
            return Explained(_open("curve-calibration", inside), held.mount, plies)
        return Explained(curve_calibration(plies, held.mount, lifts, forces), held.mount, plies)


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
    """A mount, the open part of its ring, and what was measured on it; without a mount what is to be measured."""

    mount: Mount | None
    open_fraction: float | None = None
    findings: Sequence[Finding] = ()


def _open(question: str, findings: Sequence[Finding]) -> Answer:
    """The answer where something must be measured before anything can be computed."""
    return Answer(question, tuple(findings), {}, (CONTACT,), ("makers_instructions",))


def _plies(sent: list[Mapping[str, Any]]) -> list[Ply]:
    """A line that tells no bore takes its lot's; without a lot the bore does not matter to a curve."""
    lots = shelf.named_lots(sent)
    lines = []
    for one in sent:
        size, _ = lots.get(one.get("lot", ""), (None, None))
        bore = one.get("bore_mm") or (1 if size is None else size.bore_um)
        lines.append(Line(Size(one["od_mm"], one["thickness_mm"], bore, Form(one["form"])), one["quantity"]))
    return shelf.with_lots(lines, sent, "stack", lots)


def _inside_bore(plies: list[Ply], mount: Mount) -> list[Finding]:
    """A clamp that does not even reach the shims' bore: one of the sizes is wrong."""
    bore, clamp = max(ply.bore_mm for ply in plies), mount.clamp_radius_mm(Groups.of(nominal(plies)))
    return [ask("clamp_inside_bore", CONTACT, clamp_radius_mm=clamp, bore_mm=bore)] if clamp <= bore / 2 else []


def _held(asked: Mapping[str, Any], *, calibrated: bool = True) -> _Held:
    """The mount of a damper on file with what the request tells in its place, and the open part of its ring."""
    told, open_fraction = _told(asked)
    if asked.get("damper") is None:
        return _Held(Mount(**told), open_fraction)
    damper = damper_called(asked["damper"])
    document = damper_values.valve_document(damper.document, asked["valve"])
    valve = damper_values.valve_from(document, kind=asked["valve"]).valve
    fits = mounts.fits_of(damper.code).get(asked["valve"], ()) if calibrated and not told else ()
    with engine_errors("side"):
        on_file, findings = mounts.mount_of(valve, asked["side"], fits, told)
    if on_file is None:
        return _Held(None, None, findings)
    # a fraction belongs to its ring: the file's says nothing of a ring that is told
    if asked.get("pressure") is None:
        open_fraction = next(side.open_fraction for side in valve.sides if side.name == asked["side"])
    return _Held(replace(on_file, **told), open_fraction, findings)


def _told(asked: Mapping[str, Any]) -> tuple[dict[str, Any], float | None]:
    """What a request tells of the mount, by the names of Mount."""
    told: dict[str, Any] = {
        name: um_to_mm(asked[name]) for name in ("hub_radius_mm", "base_radius_mm") if asked.get(name) is not None
    }
    told |= {name: asked[name] for name in ("poisson", "edge_slip") if asked.get(name) is not None}
    if asked.get("youngs_gpa") is not None:
        told["youngs_mpa"] = asked["youngs_gpa"] * 1000
    pressure, seat = asked.get("pressure") or {}, asked.get("preload")
    told |= {name: um_to_mm(pressure[name]) for name in ("inner_radius_mm", "outer_radius_mm") if name in pressure}
    if "preload" in asked:  # null: told to have none
        told["preload"] = None if seat is None else Preload(um_to_mm(seat["radius_mm"]), um_to_mm(seat["height_mm"]))
    return told, pressure.get("open_fraction")
