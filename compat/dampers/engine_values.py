"""From a damper model's document, and the readings of one damper, to the engine's values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from compat.engineering.lip import LipRule
from compat.engineering.nut_on_shaft import ENDS, groove_as_read
from compat.engineering.nut_on_shaft import ShaftEnd as Threaded
from compat.engineering.shims import Form, Line, Size
from compat.engineering.units import MM_PER_INCH, UM_PER_MM, Range, um_to_mm
from compat.engineering.valves import BasePlate, Kind, Place, Spacing, Valve, ValveSide
from compat.texts.refusals import engine_errors
from inventory.common.errors import invalid
from inventory.dampers import document
from inventory.dampers.document import DamperDocument, ShaftEnd
from inventory.dampers.words import SIDES
from inventory.documents import typed
from inventory.documents.lengths import Length
from inventory.documents.typed import Flag, Measured, Number, Text, may

NEAR_MM = 0.1


@typed.document
class EndAsRead(ShaftEnd):
    """The end of one damper's shaft as it was read, with what only the bench can read, and the base plate and the
    piston that stand on it."""

    base_plate_mm: Length | None = may(Measured())
    piston_height_mm: Length | None = may(Measured())
    gauged_pitch_mm: float | None = may(Number())
    gauged_threads_per_inch: float | None = may(Number())
    major_mm: Length | None = may(Measured())
    end_condition: str | None = may(Text(ENDS))
    full_length_gauged: bool | None = may(Flag())


@dataclass(frozen=True, slots=True)
class ValveOnFile:
    """A valve with what the shop requires of it."""

    valve: Valve
    overlap_mm: Range | None


def length(told: Length | None) -> Range | None:
    """A length of a document as the engine takes it."""
    return None if told is None else range_of(told)


def range_of(told: Length) -> Range:
    """A length that is told as the engine takes it."""
    return Range(told.low, told.high, told.nominal)


def um_from(told: Length) -> int:
    """A length told as one number, in whole micrometres."""
    return round(told.nominal * UM_PER_MM)


def valve_from(valve: document.Valve, read: EndAsRead | None = None) -> ValveOnFile:
    """A valve of a document; readings of this very damper count before the model's sizes.

    Raises DomainError `invalid` where the document contradicts itself.
    """
    here = read if read is not None and valve.code == "main" else EndAsRead()
    base_plates = {name: _plate(plate) for name in SIDES if (plate := valve.plate(name)) is not None}
    if here.base_plate_mm is not None:
        outer = base_plates.get("rebound", BasePlate())
        base_plates["rebound"] = BasePlate(length(here.base_plate_mm), outer.contact_diameter_mm)
    with engine_errors("valve"):
        found = Valve(
            kind=Kind(valve.code),
            sides=tuple(
                _side(name, side or document.PistonSide())
                for name in SIDES
                if (side := valve.side(name)) is not None or valve.code == "main"
            ),
            piston_height_mm=length(here.piston_height_mm or valve.piston_height_mm),
            base_plates=base_plates,
            spacings=tuple(Spacing(one.name, length(one.height_mm), Place(one.stands)) for one in valve.washers or ()),
            body_bore_mm=length(valve.body_bore_mm),
            shaft_mm=length(here.diameter_mm or valve.shaft_mm),
        )
    return ValveOnFile(found, length(valve.overlap_mm))


def valve_called(damper: DamperDocument, code: str) -> document.Valve:
    """The valve of that code in a damper's document. Raises DomainError `invalid`."""
    found = damper.valve(code)
    if found is None:
        raise invalid("valve", f"this damper has no valve {code}; it has: {', '.join(damper.codes)}")
    return found


def lines_from(lines: Sequence[document.Line], shaft_mm: Range | None, path: str) -> list[Line]:
    """Lines of a stack as the engine takes them; a line without a bore takes the shaft's diameter.

    Raises DomainError `invalid` where neither is known.
    """
    found = []
    for index, line in enumerate(lines):
        od, bore = um_from(line.od_mm), usual_bore_um(shaft_mm) if line.bore_mm is None else um_from(line.bore_mm)
        if not bore:
            raise invalid(f"{path}.{index}.bore_mm", "is required here: the damper does not state the shaft's diameter")
        if bore >= od:
            raise invalid(f"{path}.{index}.od_mm", f"must be larger than the bore, {bore / 1000:g} mm")
        size = Size(od, um_from(line.thickness_mm), bore, Form(line.form or "round"))
        found.append(Line(size, line.quantity))
    return found


def usual_bore_um(shaft_mm: Range | None) -> int | None:
    """The bore of shims for a shaft, micrometres: the next half millimetre, as bores are named, if that is near.

    A shaft measured 11.97 takes 12.00 shims (common practice, no published source).
    """
    if shaft_mm is None:
        return None
    named = round(shaft_mm.nominal * 2) / 2
    return round(1000 * (named if abs(named - shaft_mm.nominal) <= NEAR_MM else shaft_mm.nominal))


def usual_bore_mm(damper: DamperDocument, code: str) -> float | None:
    """The bore that a line without one has on a valve of a damper's document, millimetres; None where the valve or its
    shaft is not known."""
    valve = damper.valve(code)
    bore = None if valve is None else usual_bore_um(length(valve.shaft_mm))
    return None if bore is None else um_to_mm(bore)


def lip_rule(shaft_end: ShaftEnd | None) -> LipRule:
    """What the shaft's end says of the lip; the base plate comes with the valve. Raises DomainError `invalid`."""
    end = shaft_end or ShaftEnd()
    with engine_errors("shaft_end", below=True):
        return LipRule(
            shoulder_to_lip_mm=length(end.shoulder_to_lip_mm),
            on_straight_mm=None if end.on_straight_mm is None else end.on_straight_mm.nominal,
            past_lip_mm=None if end.past_lip_mm is None else end.past_lip_mm.nominal,
        )


def end_as_read(model: ShaftEnd | None, read: EndAsRead) -> EndAsRead:
    """A shaft's end as its model states it, with what was read of this damper in place of that."""
    stated = {} if model is None else _told(model)
    end = EndAsRead(**{**stated, **_told(read)})
    groove = groove_as_read(read.thread_relief, measured=read.relief_diameter_mm is not None)
    if groove:
        return replace(end, thread_relief=True)
    if groove is False:
        return replace(end, relief_diameter_mm=None)
    return end


def gauged_pitch(part: str, in_mm: float | None, per_inch: float | None) -> float | None:
    """The pitch of a threaded part by gauge, mm, told in one of two ways. Raises DomainError `invalid` for both."""
    if per_inch is None:
        return in_mm
    if in_mm is not None:
        raise invalid(f"{part}.gauged_threads_per_inch", "give the pitch in mm or in threads per inch, not both")
    return MM_PER_INCH / per_inch


def threaded_end(shaft_end: ShaftEnd | None) -> Threaded:
    """The shaft's thread as the model states it, with what was read of this damper. Raises DomainError `invalid`."""
    end = end_as_read(shaft_end, EndAsRead())
    with engine_errors("shaft_end", below=True):
        return Threaded(
            thread=end.thread,
            tolerance_class=end.tolerance_class,
            hand=end.hand,
            hole_mm=length(end.hole_mm),
            full_thread_start_mm=length(end.full_thread_start_mm),
            shaft_end_mm=length(end.shaft_end_mm),
            property_class=end.property_class,
            thread_relief=end.thread_relief,
            relief_diameter_mm=length(end.relief_diameter_mm),
            full_length_gauged=bool(end.full_length_gauged),
            gauged_pitch_mm=gauged_pitch("readings", end.gauged_pitch_mm, end.gauged_threads_per_inch),
            major_mm=length(end.major_mm),
            end_condition=end.end_condition,
        )


def _told(told: ShaftEnd) -> dict[str, Any]:
    """{field: what is told of it}."""
    return {one.name: value for one in fields(told) if (value := getattr(told, one.name)) is not None}


def _plate(plate: document.BasePlate) -> BasePlate:
    return BasePlate(length(plate.height_mm), length(plate.contact_diameter_mm))


def _side(name: str, side: document.PistonSide) -> ValveSide:
    return ValveSide(
        name,
        ports_inner_mm=length(side.ports_inner_mm),
        ports_outer_mm=length(side.ports_outer_mm),
        land_outer_mm=length(side.land_outer_mm),
        hub_mm=length(side.hub_mm),
        other_side_feed_inner_mm=length(side.other_side_feed_inner_mm),
        open_fraction=side.open_fraction,
        seat_mm=length(side.seat_mm),
        seat_height_mm=length(side.seat_height_mm),
    )
