"""A plan's request in the engine's terms: valves, lines with their roles, the lip, and what may be given instead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any

from compat.dampers import engine_values
from compat.dampers.engine_values import EndAsRead, ValveOnFile, lines_from, um_from, valve_called
from compat.dampers.mounts import Fits, mount_of
from compat.engineering.answers import Finding
from compat.engineering.lip import LipLimits, LipRule, shim_limits
from compat.engineering.plans.problem import STOOD_IN, BentSide, Position, Role
from compat.engineering.shims import Line, roles_of
from compat.engineering.stacks import rule_for
from compat.engineering.units import Range
from compat.engineering.valves import fixed_height
from compat.plans.document import Allow, AskedPlan, NutAsRead
from inventory.dampers.document import DamperDocument
from inventory.dampers.selectors import Damper
from inventory.dampers.words import SIDES
from inventory.documents.lengths import Length

NUT_LENGTHS = ("minor_mm", "height_mm", "chamfer_mm", "unthreaded_mm")
# The widest change that stand-ins may make unless the request says otherwise, percent: of a side's curve of force
# against lift, or of a position's sum of t^3 where a curve is not known.
CURVE_PERCENT = 15.0
# How far a stand-in's diameter may be from the one asked for where the curve is known, micrometres.
REACH_UM = 2_000
# A reading further from the model's size than both of these is asked about (this project's choice).
FAR_MM = 0.2
FAR_SHARE = 0.02
# What the lip rule needs to have read from this very damper, and how people call it.
LIP_READINGS = {
    "shoulder_to_lip_mm": "shoulder to lip",
    "base_plate_mm": "rebound base plate",
    "piston_height_mm": "piston height",
}


@dataclass(frozen=True, slots=True)
class Allowed:
    """What may be given in place of what was asked for."""

    stand_ins: bool = True
    take_offs: bool = False
    curve_percent: float = CURVE_PERCENT
    height_um: int | None = None
    reach_um: int = REACH_UM
    roles: frozenset[Role] = STOOD_IN
    search_ms: float | None = None


@dataclass(frozen=True, slots=True)
class ValvePlan:
    """One valve with the lines asked for on each of its sides."""

    code: str
    on_file: ValveOnFile
    lines: Mapping[str, Sequence[Line]]


@dataclass(frozen=True, slots=True)
class PlanRequest:
    """Everything that a plan needs to know before it looks at the shelf."""

    damper: Damper
    valves: tuple[ValvePlan, ...]
    shaft_end: EndAsRead
    not_read: tuple[str, ...]
    far_off: tuple[tuple[str, float, float], ...]
    rule: LipRule
    allowed: Allowed
    spacer: bool
    also: Sequence[tuple[str, int]] = field(default=())
    nut: bool = True
    nut_part: str | None = None
    nut_readings: Mapping[str, Any] = field(default_factory=dict)

    @property
    def main(self) -> ValvePlan | None:
        """The main valve, if the plan has it."""
        return next((valve for valve in self.valves if valve.code == "main"), None)

    def positions(self) -> list[Position]:
        """Every line as a position of the search, in order: valve, side, line."""
        found = []
        for valve in self.valves:
            for side in SIDES:
                lines = valve.lines.get(side, ())
                for index, (line, role) in enumerate(zip(lines, roles_of(lines), strict=True)):
                    key = position_key(valve.code, side, index)
                    found.append(Position(key, line.size, line.quantity, Role(role), in_height=valve.code == "main"))
        return found

    def bent_sides(self, fits: Fits) -> tuple[list[BentSide], list[Finding], list[Finding]]:
        """The sides whose curve can be known with what was measured on their pistons, what is to be measured for the
        others, and what calibrations tell of the first.

        A mid-valve's shims float under a spring and are clamped by nothing, so it has no curve here.
        """
        sides, unknown, told = list[BentSide](), list[Finding](), list[Finding]()
        for valve in self.valves:
            for side, lines in valve.lines.items():
                if valve.code == "mid":
                    continue
                mount, findings = mount_of(valve.on_file.valve, side, fits.get(valve.code, ()))
                if mount is None:
                    unknown += [one.on(side) for one in findings]
                else:
                    told += [one for one in findings if one not in told]
                    keys = tuple(position_key(valve.code, side, index) for index in range(len(lines)))
                    sides.append(BentSide(keys, mount))
        return sides, unknown, told

    def lip_limits(self) -> LipLimits | None:
        """The lip rule on the shims of the main valve; None where there is none or something is unknown."""
        main = self.main
        if main is None or any(side not in main.lines for side in SIDES):
            return None
        rule = rule_for(main.on_file.valve, self.rule)
        plate, on, past = rule.base_plate_mm, rule.on_straight_mm, rule.past_lip_mm
        if plate is None or on is None or past is None or plate.low < on + past:
            return None
        return shim_limits(rule, fixed_height(main.on_file.valve)[0])

    def contact_mm(self) -> Range | None:
        """The contact diameter of the rebound base plate, which no spacer may exceed."""
        return self.main.on_file.valve.plate("rebound").contact_diameter_mm if self.main else None


def position_key(valve: str, side: str, index: int) -> str:
    """The name of a position, as answers show it."""
    return f"{valve}.{side}.{index + 1}"


def build(damper: Damper, asked: AskedPlan) -> PlanRequest:
    """The request for a damper. Raises DomainError `invalid` for valves it does not have or bores unknown."""
    readings = asked.readings or EndAsRead()
    shaft_end = engine_values.end_as_read(damper.document.shaft_end, readings)
    model = sizes_of_model(damper.document)
    valves = []
    for code, stacks, path in asked.valves_in_order:
        valve = valve_called(damper.document, code)
        on_file = engine_values.valve_from(valve, readings)
        shaft = engine_values.length(valve.shaft_mm)
        lines = {side: lines_from(stacks.of(side), shaft, f"{path}.{side}") for side in SIDES if stacks.of(side)}
        valves.append(ValvePlan(code, on_file, lines))
    nut = asked.nut_readings or NutAsRead()
    return PlanRequest(
        damper=damper,
        valves=tuple(valves),
        shaft_end=shaft_end,
        not_read=tuple(name for name in LIP_READINGS if getattr(readings, name) is None and name in model),
        far_off=far_off(readings, model),
        rule=engine_values.lip_rule(shaft_end),
        allowed=_allowed(asked.allow or Allow()),
        spacer=asked.spacer is not False,
        also=[(line.part, line.quantity) for line in asked.also or ()],
        nut=asked.nut is not False,
        nut_part=nut.part or None,
        nut_readings=_nut_readings(nut),
    )


def _allowed(allow: Allow) -> Allowed:
    """What may be given instead; what is not said is as Allowed has it."""
    usual = Allowed()
    return Allowed(
        stand_ins=allow.stand_ins is not False,
        take_offs=bool(allow.take_offs),
        curve_percent=usual.curve_percent if allow.curve_percent is None else allow.curve_percent,
        height_um=None if allow.height_mm is None else um_from(allow.height_mm),
        reach_um=usual.reach_um if allow.reach_mm is None else um_from(allow.reach_mm),
        roles=STOOD_IN | {role for role in (Role.FACE, Role.CROSSOVER, Role.CLAMP) if getattr(allow, role.value)},
        search_ms=allow.search_ms,
    )


def _nut_readings(read: NutAsRead) -> dict[str, Any]:
    """What was read of this very nut, as the engine takes it. Raises DomainError `invalid` for two pitches."""
    pitch = engine_values.gauged_pitch("nut_readings", read.gauged_pitch_mm, read.gauged_threads_per_inch)
    told = {
        "gauged_pitch_mm": pitch,
        **{name: engine_values.length(getattr(read, name)) for name in NUT_LENGTHS},
        "property_class": read.property_class,
        "tolerance_class": read.tolerance_class,
    }
    return {name: value for name, value in told.items() if value is not None}


def sizes_of_model(document: DamperDocument) -> dict[str, Range]:
    """The sizes of a damper model that a reading of one damper may replace, by the reading's name."""
    main = document.valve("main")
    plate = None if main is None else main.plate("rebound")
    known = EndAsRead(
        base_plate_mm=None if plate is None else plate.height_mm,
        piston_height_mm=None if main is None else main.piston_height_mm,
    )
    found = _lengths(engine_values.end_as_read(document.shaft_end, known))
    if main is not None and main.shaft_mm is not None:
        found.setdefault("diameter_mm", engine_values.range_of(main.shaft_mm))
    return found


def far_off(readings: EndAsRead, model: Mapping[str, Range]) -> tuple[tuple[str, float, float], ...]:
    """(name, reading, model's size) of every reading that no wear or tolerance explains: a slip, or another damper."""
    found = []
    for name, reading in _lengths(readings).items():
        size = model.get(name)
        if size is None:
            continue
        apart = max(size.low - reading.high, reading.low - size.high)
        if apart > max(FAR_MM, FAR_SHARE * size.nominal):
            found.append((name, reading.nominal, size.nominal))
    return tuple(found)


def _lengths(end: EndAsRead) -> dict[str, Range]:
    """{field: the length that is told there}, in the order of the fields."""
    told = ((one.name, getattr(end, one.name)) for one in fields(end))
    return {name: engine_values.range_of(value) for name, value in told if isinstance(value, Length)}
