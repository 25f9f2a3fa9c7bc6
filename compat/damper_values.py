"""From a damper model's document, and the readings of one damper, to the engine's values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from compat.engineering.lip import LipRule
from compat.engineering.nut_on_shaft import ShaftEnd, groove_as_read
from compat.engineering.shims import Form, Line, Size
from compat.engineering.units import MM_PER_INCH, Range, um_to_mm
from compat.engineering.valves import BasePlate, Kind, Place, Spacing, Valve, ValveSide
from compat.refusals import engine_errors
from inventory.common.errors import invalid

SIDES = ("compression", "rebound")
NEAR_MM = 0.1


@dataclass(frozen=True, slots=True)
class ValveOnFile:
    """A valve with what the shop requires of it."""

    valve: Valve
    overlap_mm: Range | None


def length(value: Mapping[str, float] | float | None) -> Range | None:
    """A stored or sent length - a number or {min, max, nominal} - as a Range."""
    if value is None:
        return None
    if isinstance(value, Mapping):
        return Range(value["min"], value["max"], value["nominal"])
    return Range.exact(float(value))


def valve_from(document: Mapping[str, Any], *, kind: str, readings: Mapping[str, Any] | None = None) -> ValveOnFile:
    """The valve of a document; readings of this very damper count before the model's sizes.

    Raises DomainError `invalid` where the document contradicts itself.
    """
    readings = readings or {}
    sides = document.get("sides") or {}
    plates = document.get("base_plates") or {}
    names = SIDES if kind == "main" else tuple(name for name in SIDES if name in sides)
    base_plates = {
        name: BasePlate(length(plate.get("height_mm")), length(plate.get("contact_diameter_mm")))
        for name, plate in plates.items()
    }
    if readings.get("base_plate_mm") is not None and kind == "main":
        outer = base_plates.get("rebound", BasePlate())
        base_plates["rebound"] = BasePlate(length(readings["base_plate_mm"]), outer.contact_diameter_mm)
    piston = readings.get("piston_height_mm") if kind == "main" else None
    shaft = readings.get("diameter_mm") if kind == "main" else None
    with engine_errors("valve"):
        valve = Valve(
            kind=Kind(kind),
            sides=tuple(_side(name, sides.get(name) or {}) for name in names),
            piston_height_mm=length(piston if piston is not None else document.get("piston_height_mm")),
            base_plates=base_plates,
            spacings=tuple(
                Spacing(one["name"], length(one.get("height_mm")), Place(one.get("place", "shoulder")))
                for one in document.get("washers") or ()
            ),
            body_bore_mm=length(document.get("body_bore_mm")),
            shaft_mm=length(shaft if shaft is not None else document.get("shaft_mm")),
        )
    return ValveOnFile(valve, length(document.get("overlap_mm")))


def valve_document(document: Mapping[str, Any], code: str) -> Mapping[str, Any]:
    """The valve of that code in a damper's document. Raises DomainError `invalid`."""
    for valve in document["valves"]:
        if valve["code"] == code:
            return dict(valve)
    known = ", ".join(valve["code"] for valve in document["valves"])
    raise invalid("valve", f"this damper has no valve {code}; it has: {known}")


def lines_from(lines: Sequence[Mapping[str, Any]], shaft_mm: Range | None, path: str) -> list[Line]:
    """Checked lines of a request as the engine takes them; a line without a bore takes the shaft's diameter.

    Raises DomainError `invalid` where neither is known.
    """
    found = []
    for index, line in enumerate(lines):
        bore = line.get("bore_mm") or usual_bore_um(shaft_mm)
        if not bore:
            raise invalid(f"{path}.{index}.bore_mm", "is required here: the damper does not state the shaft's diameter")
        if bore >= line["od_mm"]:
            raise invalid(f"{path}.{index}.od_mm", f"must be larger than the bore, {bore / 1000:g} mm")
        size = Size(line["od_mm"], line["thickness_mm"], bore, Form(line.get("form", "round")))
        found.append(Line(size, line["quantity"]))
    return found


def usual_bore_um(shaft_mm: Range | None) -> int | None:
    """The bore of shims for a shaft, micrometres: the next half millimetre, as bores are named, if that is near.

    A shaft measured 11.97 takes 12.00 shims (common practice, no published source).
    """
    if shaft_mm is None:
        return None
    named = round(shaft_mm.nominal * 2) / 2
    return round(1000 * (named if abs(named - shaft_mm.nominal) <= NEAR_MM else shaft_mm.nominal))


def usual_bore_mm(document: Mapping[str, Any], code: str) -> float | None:
    """The bore that a line without one has on a valve of a damper's document, millimetres; None where the valve or its
    shaft is not known."""
    valve: Mapping[str, Any] = next((one for one in document["valves"] if one["code"] == code), {})
    bore = usual_bore_um(length(valve.get("shaft_mm")))
    return None if bore is None else um_to_mm(bore)


def lip_rule(shaft_end: Mapping[str, Any] | None) -> LipRule:
    """What the shaft's end says of the lip; the base plate comes with the valve. Raises DomainError `invalid`."""
    end = shaft_end or {}
    with engine_errors("shaft_end", below=True):
        return LipRule(
            shoulder_to_lip_mm=length(end.get("shoulder_to_lip_mm")),
            on_straight_mm=end.get("on_straight_mm"),
            past_lip_mm=end.get("past_lip_mm"),
        )


def end_as_read(model: Mapping[str, Any], read: Mapping[str, Any]) -> dict[str, Any]:
    """A shaft's end as its model states it, with what was read of this damper in place of that."""
    end = {**model, **{name: value for name, value in read.items() if value is not None}}
    groove = groove_as_read(read.get("thread_relief"), measured=read.get("relief_diameter_mm") is not None)
    if groove:
        end["thread_relief"] = True
    elif groove is False:
        end.pop("relief_diameter_mm", None)
    return end


def gauged(part: str, fields: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of a threaded part, a pitch gauged in threads per inch in millimetres.

    Raises DomainError `invalid` where both are given.
    """
    given = dict(fields)
    per_inch = given.pop("gauged_threads_per_inch", None)
    if per_inch is not None:
        given["gauged_pitch_mm"] = gauged_pitch(part, given.get("gauged_pitch_mm"), per_inch)
    return given


def gauged_pitch(part: str, in_mm: float | None, per_inch: float | None) -> float | None:
    """The pitch of a threaded part by gauge, mm, told in one of two ways. Raises DomainError `invalid` for both."""
    if per_inch is None:
        return in_mm
    if in_mm is not None:
        raise invalid(f"{part}.gauged_threads_per_inch", "give the pitch in mm or in threads per inch, not both")
    return MM_PER_INCH / per_inch


def threaded_end(shaft_end: Mapping[str, Any] | None) -> ShaftEnd:
    """The shaft's thread as the model states it, with what was read of this damper. Raises DomainError `invalid`."""
    end = gauged("readings", shaft_end or {})
    with engine_errors("shaft_end", below=True):
        return ShaftEnd(
            thread=end.get("thread"),
            tolerance_class=end.get("tolerance_class"),
            hand=end.get("hand"),
            hole_mm=length(end.get("hole_mm")),
            full_thread_start_mm=length(end.get("full_thread_start_mm")),
            shaft_end_mm=length(end.get("shaft_end_mm")),
            property_class=end.get("property_class"),
            thread_relief=end.get("thread_relief"),
            relief_diameter_mm=length(end.get("relief_diameter_mm")),
            full_length_gauged=bool(end.get("full_length_gauged")),
            gauged_pitch_mm=end.get("gauged_pitch_mm"),
            major_mm=length(end.get("major_mm")),
            end_condition=end.get("end_condition"),
        )


def _side(name: str, document: Mapping[str, Any]) -> ValveSide:
    lengths = {field: length(value) for field, value in document.items() if field != "open_fraction"}
    return ValveSide(name, **lengths, open_fraction=document.get("open_fraction"))
