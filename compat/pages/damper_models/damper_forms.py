"""A damper model's document as one flat form, and back. Reading back what the form shows gives the same document."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from compat.asking.blanks import Blank
from compat.pages.blanks import BlankSheet, Row, initial_of
from compat.pages.damper_models.sealing_blanks import LIMIT_GROUP, SEALING, SIZES, as_list, by_name, limit_group
from compat.pages.damper_models.valve_blanks import PISTON_SIDE, PLATE, SHAFT_END, VALVE, WASHER, under
from compat.questions.asks import checked
from inventory.counter.forms import CommandSheet
from inventory.dampers.checked import DamperIn
from inventory.dampers.document import Told, told
from inventory.dampers.words import LIMITS, SIDES, VALVES
from inventory.documents.typed import written

WASHER_ROWS = 4
TITLES = {
    "main": "Main valve, on the shaft",
    "base": "Base valve, on its own bolt",
    "mid": "Mid-valve, on a sleeve under a spring",
}
HEAD = (
    Blank("code", "Code", "text", help="As it stands on the job sheet; it stays for good.", most=40),
    Blank("name", "Name", "text", most=120),
)


@dataclass(frozen=True, slots=True)
class Group:
    """Fields under one title."""

    title: str
    rows: list[Row]


@dataclass(frozen=True, slots=True)
class LimitRows:
    """The fields of each limit: its value, its source and its date."""

    title: str
    each: list[list[Row]]


@dataclass(frozen=True, slots=True)
class SideRows:
    """The fields of one side of a valve."""

    side: str
    rows: list[Row]


@dataclass(frozen=True, slots=True)
class ValveRows:
    """A valve as the page shows it: its box, its sizes, both sides, its washers row by row, and whether it is open."""

    code: str
    title: str
    there: Row
    sizes: list[Row]
    sides: list[SideRows]
    washers: list[list[Row]]
    open: bool


class DamperSheet(BlankSheet, CommandSheet):
    """Code, name, shaft's end, seals, limits and up to three valves; a box says which valves, sides and base plates
    there are."""

    def __init__(self, data: Any = None, *, model: Told | None = None, edited: bool = False) -> None:
        self.rows_of = {valve: _washer_rows(valve, data, model) for valve in VALVES}
        blanks = [*HEAD, *under("shaft_end", SHAFT_END, "shaft_end"), *SEALING]
        for number, valve in enumerate(VALVES):
            blanks += _valve_blanks(number, valve, self.rows_of[valve])
        super().__init__(blanks, data, initial=initial_of_model(blanks, model) if model else {})
        if edited:
            self.fields["code"].disabled = True
            self.fields["code"].help_text = "A damper keeps its code."

    def clean(self) -> dict[str, Any]:
        """What has sizes must be there: nothing typed is dropped in silence."""
        for blank in self.blanks.values():
            if blank.kind == "there" and not self.cleaned_data.get(blank.name):
                inner = [one for one in self.blanks.values() if one.kind != "choice" and _holds(blank, one)]
                if any(self.cleaned_data.get(one.name) for one in inner):
                    self.add_error(blank.name, "It has sizes below: tick it, or empty them.")
        return dict(self.cleaned_data)

    def request(self) -> dict[str, Any]:
        """The request in the form of the API, where limits are a list. For use after is_valid()."""
        found = super().request()
        if "limits" in found:
            found["limits"] = as_list(found["limits"], self.places)
        return found

    def model(self) -> Told:
        """The whole model, checked as over the API. Raises DomainError `invalid` with dotted paths."""
        return told(checked(DamperIn, {"valves": [], **self.request()}))

    def head(self) -> list[Row]:
        """Code and name."""
        return [self.row(self.blanks["code"]), self.row(self.blanks["name"])]

    def shaft_end(self) -> list[Row]:
        """The shaft's end."""
        return self.rows("shaft_end")

    def sealing(self) -> list[Group]:
        """Band, shaft, seal head and oil."""
        return [Group(group, self.rows(group)) for group in SIZES]

    def limits(self) -> LimitRows:
        """Each limit with its source and its date."""
        return LimitRows(LIMIT_GROUP, [self.rows(limit_group(name)) for name in LIMITS])

    def valves(self) -> list[ValveRows]:
        """Each valve as the page shows it: its box, its sizes, both sides, and its washers row by row."""
        return [self._valve(valve) for valve in VALVES]

    def _valve(self, valve: str) -> ValveRows:
        rows = self.rows(valve)
        wrong = any(row.field.errors for group in (valve, *_groups(valve)) for row in self.rows(group))
        return ValveRows(
            code=valve,
            title=TITLES[valve],
            there=rows[0],
            sizes=rows[1:],
            sides=[SideRows(side, self.rows(f"{valve} {side}")) for side in SIDES],
            washers=[self.rows(f"{valve} washer {row}") for row in range(self.rows_of[valve])],
            open=wrong or bool(rows[0].field.value()),
        )


def initial_of_model(blanks: list[Blank], model: Told) -> dict[str, Any]:
    """What stands in the form for a model."""
    numbered = {str(VALVES.index(valve.code)): written(valve) for valve in model.document.valves}
    limits = by_name(model.document.limits or ())
    head = {"code": model.code, "name": model.name}
    return dict(initial_of(blanks, {**head, **written(model.document), "valves": numbered, "limits": limits}))


def as_typed(model: Told) -> dict[str, str]:
    """The model as a browser would send the form that shows it."""
    form = DamperSheet(model=model)
    sent = {}
    for name in form.blanks:
        value = form[name].value()
        if value not in (None, "", False):
            sent[name] = str(value)
    return sent


def _valve_blanks(number: int, valve: str, rows: int) -> list[Blank]:
    path = f"valves.{number}"
    there = Blank(f"{path}.code", f"There is a {valve} valve", "there", group=valve, value=valve)
    found = [there, *under(path, VALVE, valve)]
    for side in SIDES:
        group = f"{valve} {side}"
        has_side = Blank(f"{path}.sides.{side}", f"There are {side} ports", "there", group=group, value={})
        has_plate = Blank(f"{path}.base_plates.{side}", f"There is a {side} base plate", "there", group=group, value={})
        found += [has_side, *under(has_side.path, PISTON_SIDE, group), has_plate, *under(has_plate.path, PLATE, group)]
    for row in range(rows):
        found += under(f"{path}.washers.{row}", WASHER, f"{valve} washer {row}")
    return [replace(blank, called=_called(blank.path, number, valve)) for blank in found]


def _called(path: str, number: int, valve: str) -> str:
    inner = path.removeprefix(f"valves.{number}.").replace(".", "_")
    return f"{valve}_{inner}"


def _groups(valve: str) -> list[str]:
    return [f"{valve} {side}" for side in SIDES]


def _holds(there: Blank, one: Blank) -> bool:
    """Whether a blank lies inside what a box says exists."""
    inside = there.path.removesuffix(".code")
    return one is not there and one.path.startswith(f"{inside}.") and one.path != there.path


def _washer_rows(valve: str, data: Any, model: Told | None) -> int:
    """Four rows, and more where a document or what was sent has more: no washer is lost."""
    stored = None if model is None else model.document.valve(valve)
    rows = max(WASHER_ROWS, 0 if stored is None else len(stored.washers or ()))
    while data is not None and f"{valve}_washers_{rows}_name" in data:
        rows += 1
    return rows
