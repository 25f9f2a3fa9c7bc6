"""What is on the bench: the damper, its stacks as typed, what may be used, and the request for a plan that follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django import forms

from compat.asked.plans import PlanIn
from compat.damper_values import length, usual_bore_um
from compat.pages import stack_rows
from compat.pages.measured import Measured, write_length
from compat.pages.stack_rows import Side
from inventory.api.problems import flat
from inventory.common.errors import DomainError, FieldError, invalid
from inventory.counter.forms import Line, Sheet
from inventory.dampers.selectors import Damper

SIDES = ("compression", "rebound")
READINGS = {
    "shoulder_to_lip_mm": "Shoulder to lip",
    "base_plate_mm": "Rebound base plate",
    "piston_height_mm": "Piston height",
    "diameter_mm": "Shaft diameter",
}
ALSO_SEPARATOR = ";"
# The options as they stand before anybody touches them: a form that is sent holds only what is ticked.
UNTOUCHED = {"stand_ins": "on", "spacer": "on"}


class Options(Sheet):
    """What a plan asks for besides its stacks."""

    job = Line(label="Job", required=False, widget=forms.TextInput(attrs={"list": "jobs"}))
    also = Line(
        label="Nut and other parts",
        most=400,
        required=False,
        help_text="Part numbers, several separated by ; and a count as in NU-M12x1.25 x1",
        widget=forms.TextInput(attrs={"list": "nuts", "class": "wide"}),
    )
    name = Line(label="Name of the stack", most=80, required=False)
    note = Line(label="Note", most=400, required=False)
    stand_ins = forms.BooleanField(label="Stand-ins allowed", required=False)
    take_offs = forms.BooleanField(label="Take-offs allowed", required=False)
    spacer = forms.BooleanField(label="Choose spacers for the lip", required=False)
    shoulder_to_lip_mm = Measured(label=READINGS["shoulder_to_lip_mm"])
    base_plate_mm = Measured(label=READINGS["base_plate_mm"])
    piston_height_mm = Measured(label=READINGS["piston_height_mm"])
    diameter_mm = Measured(label=READINGS["diameter_mm"])

    @property
    def readings(self) -> list[Any]:
        """The fields for readings of this damper."""
        return [self[name] for name in READINGS]


@dataclass(slots=True)
class BenchSheet:
    """Everything that is typed on the bench for one damper."""

    damper: Damper
    sides: list[Side]
    options: Options
    errors: list[str] = field(default_factory=list)

    def side(self, key: str) -> Side | None:
        """The side of that name, as in `main-rebound`."""
        return next((side for side in self.sides if side.key == key), None)

    @property
    def has_lines(self) -> bool:
        return any(not row.is_empty for side in self.sides for row in side.rows)

    @property
    def has_readings(self) -> bool:
        return any(field.value() for field in self.options.readings)

    @property
    def is_wrong(self) -> bool:
        rows = any(row.errors for side in self.sides for row in side.rows)
        return bool(self.errors or self.options.errors or rows or any(side.faults for side in self.sides))

    def request(self) -> dict[str, Any]:
        """The request for a plan, as the API takes it, of what can be read; what cannot is marked where it stands."""
        valves: dict[str, dict[str, Any]] = {}
        for side in self.sides:
            lines = side.lines()
            if lines:
                valves.setdefault(side.valve, {})[side.side] = lines
        sent: dict[str, Any] = {
            "damper": self.damper.code,
            "valves": [{"code": code, "stacks": stacks} for code, stacks in valves.items()],
        }
        if self.options.is_valid():
            found = self.options.cleaned_data
            readings = {name: found[name] for name in READINGS if found[name] is not None}
            sent |= {"spacer": found["spacer"]}
            sent["allow"] = {"stand_ins": found["stand_ins"], "take_offs": found["take_offs"]}
            if readings:
                sent["readings"] = readings
            if found["also"]:
                sent["also"] = also_from(found["also"])
            if found["job"]:
                sent["job"] = found["job"]
        return sent

    def checked(self) -> tuple[dict[str, Any], dict[str, Any]]:
        """(the request as sent, the request checked). Raises DomainError `invalid`."""
        try:
            sent = self.request()
        except DomainError as error:
            self.refuse(error)
            raise
        if self.is_wrong:
            raise DomainError("invalid")
        if not sent["valves"]:
            raise invalid("stacks", "no shims yet: type diameter, thickness and count")
        found = PlanIn(data=sent)
        if not found.is_valid():
            raise DomainError("invalid", errors=list(flat(found.errors)))
        return sent, found.validated_data

    def to_save(self) -> tuple[str, dict[str, Any]]:
        """(valve, stacks) to save under a name. Raises DomainError `invalid` unless exactly one valve has shims."""
        sent, _ = self.checked()
        if len(sent["valves"]) > 1:
            raise invalid("name", "a name is for one valve; take the shims of the other valves away and save again")
        return sent["valves"][0]["code"], sent["valves"][0]["stacks"]

    def refuse(self, error: DomainError) -> None:
        """Shows a refusal where it belongs: beside a row, beside a field, or on top."""
        self.options.is_valid()
        # What is wrong in the typing itself is marked already.
        unmarked = [] if error.code == "invalid" else [FieldError("", error.code, error.text)]
        for one in error.errors or unmarked:
            text = _sentence(one.message)
            name = next((word for word in reversed(one.field.split(".")) if word in self.options.fields), "")
            if stack_rows.refuse(self.sides, one.field, text):
                continue
            if name:
                self.options.add_error(name, text)
            else:
                self.errors.append(text)


def empty(damper: Damper) -> BenchSheet:
    """The bench for a damper with nothing typed yet."""
    return BenchSheet(damper, [Side(code, side) for code, side in sides_of(damper)], Options(UNTOUCHED))


def from_post(damper: Damper, data: Mapping[str, str]) -> BenchSheet:
    """The bench as it was sent."""
    return BenchSheet(
        damper, [stack_rows.side_from(data, code, side) for code, side in sides_of(damper)], Options(data)
    )


def from_request(damper: Damper, sent: Mapping[str, Any]) -> BenchSheet:
    """The bench as it stood when a plan was asked for."""
    valves = sent.get("valves") or [{"code": "main", "stacks": sent.get("stacks") or {}}]
    stacks = {(valve["code"], side): lines for valve in valves for side, lines in valve["stacks"].items()}
    allow = sent.get("allow") or {}
    flags = {
        "stand_ins": allow.get("stand_ins", True),
        "take_offs": allow.get("take_offs", False),
        "spacer": sent.get("spacer", True),
    }
    readings = {name: write_length(value) for name, value in (sent.get("readings") or {}).items()}
    typed = {
        "job": sent.get("job", ""),
        "also": f"{ALSO_SEPARATOR} ".join(f"{one['part']} x{one['quantity']}" for one in sent.get("also") or ()),
        **{name: "on" for name, flag in flags.items() if flag},
        **{name: text for name, text in readings.items() if name in READINGS},
    }
    return BenchSheet(damper, _sides(damper, stacks), Options(typed))


def with_stack(damper: Damper, valve: str, stacks: Mapping[str, Any]) -> BenchSheet:
    """The bench with a saved stack on one valve."""
    return BenchSheet(
        damper, _sides(damper, {(valve, side): lines for side, lines in stacks.items()}), Options(UNTOUCHED)
    )


def sides_of(damper: Damper) -> list[tuple[str, str]]:
    """(valve, side) of every side that shims can stand on: a main valve has both, another those that are told."""
    found = []
    for valve in damper.document["valves"]:
        told = valve.get("sides") or {}
        found += [(valve["code"], side) for side in SIDES if valve["code"] == "main" or side in told]
    return found


def also_from(text: str) -> list[dict[str, Any]]:
    """`NU-M12x1.25 x1; WA-3` as lines of a request. Raises DomainError `invalid`."""
    found = []
    for word in text.split(ALSO_SEPARATOR):
        part, blank, count = word.strip().rpartition(" ")
        if not (blank and count.lstrip("xX×").isdigit() and count[:1] in "xX×"):
            part, count = word.strip(), "1"
        if part:
            found.append({"part": part.strip(), "quantity": int(count.lstrip("xX×")[:6])})
    return found


def usual_bore_mm(damper: Damper, valve: str) -> float | None:
    """The bore that a line without one has on this valve."""
    document: Mapping[str, Any] = next((one for one in damper.document["valves"] if one["code"] == valve), {})
    bore = usual_bore_um(length(document.get("shaft_mm")))
    return None if bore is None else bore / 1000


def _sides(damper: Damper, stacks: Mapping[tuple[str, str], Any]) -> list[Side]:
    return [
        stack_rows.side_of(valve, side, stacks.get((valve, side), ()), usual_bore_mm(damper, valve))
        for valve, side in sides_of(damper)
    ]


def _sentence(text: str) -> str:
    text = f"It {text}" if text[:1].islower() else text
    return text if text.endswith((".", "?", "!")) else f"{text}."
