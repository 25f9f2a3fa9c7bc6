"""What is on the bench: the damper, its stacks as typed, what may be used, and the request for a plan that follows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from compat.dampers.engine_values import usual_bore_mm
from compat.pages.bench import stack_rows
from compat.pages.bench.bench_options import UNTOUCHED, Options, typed_from
from compat.pages.bench.sent_stacks import SentStacks, sent_stacks
from compat.pages.bench.stack_rows import Side
from compat.pages.bench.stack_typing import side_from, side_of
from compat.plans.checked import PlanIn
from compat.plans.document import AskedPlan, asked_plan
from compat.plans.sent import SentLine, SentPlan, SentValve
from inventory.common.errors import DomainError, FieldError, invalid
from inventory.counter.forms import SENT_ALREADY, sentence
from inventory.dampers.selectors import Damper
from inventory.dampers.words import VALVES
from inventory.documents.faults import flat

SIDES = ("compression", "rebound")


@dataclass(slots=True)
class BenchSheet:
    """Everything that is typed on the bench for one damper. `stacks` are those of the request, once it was made.

    `stack` names the saved stack that was put on it, `shown` marks the answer that the page shows.
    """

    damper: Damper
    sides: list[Side]
    options: Options
    errors: list[str] = field(default_factory=list)
    stacks: SentStacks = field(default_factory=SentStacks)
    stack: str = ""
    shown: str = ""
    focus_errors: bool = False
    focus_answer: bool = False

    def side(self, key: str) -> Side | None:
        """The side of that name, as in `main-rebound`."""
        return next((side for side in self.sides if side.key == key), None)

    @property
    def can_be_asked(self) -> bool:
        """Whether a row is whole or cannot be read; without one there is nothing to answer yet."""
        return any(row.is_whole or row.errors for side in self.sides for row in side.rows)

    @property
    def is_wrong(self) -> bool:
        return bool(self.errors or self.options.errors) or any(side.is_wrong for side in self.sides)

    @property
    def uncounted(self) -> list[str]:
        """A sentence for every row that the answer leaves out."""
        return stack_rows.uncounted(self.sides)

    def request(self) -> SentPlan:
        """The request for a plan, as the API takes it, of what can be read; what cannot is marked where it stands."""
        self.stacks = sent_stacks(self.sides)
        code, valves = self.damper.code, self.stacks.valves
        return self.options.asked(code, valves) if self.options.is_valid() else {"damper": code, "valves": valves}

    def checked(self) -> tuple[SentPlan, AskedPlan]:
        """(the request as sent, the request checked). Raises DomainError `invalid`."""
        sent = self.request()
        if self.is_wrong:
            raise DomainError("invalid")
        if not sent["valves"]:
            raise invalid("stacks", "no shims yet: type diameter, thickness and count")
        found = PlanIn(data=sent)
        if not found.is_valid():
            raise DomainError("invalid", errors=list(flat(found.errors)))
        return sent, asked_plan(found.validated_data)

    def stands_as(self, saved: BenchSheet) -> bool:
        """Whether the rows say what those of a saved stack say, however they are written."""
        return sent_stacks(self.sides).valves == sent_stacks(saved.sides).valves

    def focus_begin(self, *, answered: bool) -> None:
        """Puts the focus where the hands go on: into the first diameter, at the answer, or where it is wrong."""
        if not any(side.rows for side in self.sides):
            self.sides[0].focus = 0
        elif answered:
            self.focus_answer = True
        else:
            self.focus_wrong()

    def to_save(self) -> tuple[str, dict[str, list[SentLine]]]:
        """(valve, stacks) to save under a name. Raises DomainError `invalid` unless exactly one valve has shims."""
        sent, _ = self.checked()
        if len(sent["valves"]) > 1:
            raise invalid("name", "a name is for one valve; take the shims of the other valves away and save again")
        return sent["valves"][0]["code"], sent["valves"][0]["stacks"]

    def refuse(self, error: DomainError) -> None:
        """Shows a refusal where it belongs: beside a row, beside a field, or on top."""
        self.options.is_valid()
        for one in error.errors or _unmarked(error):
            text = sentence(one.message)
            if place := self.stacks.place(one.field):
                place.mark(text)
            elif name := next((word for word in reversed(_path(one).split(".")) if word in self.options.fields), ""):
                self.options.add_error(name, text)
            else:
                self.errors.append(text)

    def focus_wrong(self) -> None:
        """Puts the focus where mending begins: the first cell or field with an error, else what is said on top."""
        self.focus_errors = not stack_rows.focus_wrong(self.sides) and not self.options.focus_wrong()


def empty(damper: Damper) -> BenchSheet:
    """The bench for a damper with nothing typed yet."""
    return BenchSheet(damper, [Side(code, side) for code, side in sides_of(damper)], Options(UNTOUCHED))


def from_post(damper: Damper, data: Mapping[str, str]) -> BenchSheet:
    """The bench as it was sent."""
    sent = [(valve, side) for valve in VALVES for side in SIDES if f"{valve}-{side}-0-od" in data]
    sides = [side_from(data, code, side) for code, side in sides_of(damper, sent)]
    return BenchSheet(damper, sides, Options(data), stack=data.get("stack", "")[:80])


def from_request(damper: Damper, sent: SentPlan) -> BenchSheet:
    """The bench as it stood when a plan was asked for."""
    main: SentValve = {"code": "main", "stacks": sent.get("stacks") or {}}
    valves = sent.get("valves") or [main]
    stacks = {(valve["code"], side): lines for valve in valves for side, lines in valve["stacks"].items()}
    return BenchSheet(damper, _sides(damper, stacks), Options(typed_from(sent)))


def with_stack(damper: Damper, valve: str, stacks: Mapping[str, list[SentLine]], name: str = "") -> BenchSheet:
    """The bench with a saved stack on one valve, and the name it is saved under."""
    sides = _sides(damper, {(valve, side): lines for side, lines in stacks.items()})
    return BenchSheet(damper, sides, Options(UNTOUCHED), stack=name)


def sides_of(damper: Damper, more: Iterable[tuple[str, str]] = ()) -> list[tuple[str, str]]:
    """(valve, side) of every side that shims can stand on: a main valve has both, another those that are told.

    `more` are sides that hold shims although the damper model does not tell them, or no longer: they stay in sight.
    """
    found = []
    for valve in damper.document.valves:
        found += [(valve.code, side) for side in SIDES if valve.code == "main" or valve.side(side) is not None]
    return list(dict.fromkeys([*found, *more]))


def _sides(damper: Damper, stacks: Mapping[tuple[str, str], list[SentLine]]) -> list[Side]:
    return [
        side_of(valve, side, stacks.get((valve, side)) or (), usual_bore_mm(damper.document, valve))
        for valve, side in sides_of(damper, (place for place, lines in stacks.items() if lines))
    ]


def _path(one: FieldError) -> str:
    """The path of an error as the bench names its fields: a reading of the nut has the nut before its name."""
    return one.field.replace("nut_readings.", "nut_")


def _unmarked(error: DomainError) -> list[FieldError]:
    """A refusal without fields as one error; what is wrong in the typing itself is marked already."""
    if error.code == "invalid":
        return []
    if error.code == "idempotency_key_reused":
        return [FieldError("", error.code, SENT_ALREADY)]
    return [FieldError("", error.code, error.text)]
