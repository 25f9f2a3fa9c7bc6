"""Forms made from a list of blanks: each stands for one field of a request, at its dotted path."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django import forms

from compat.asking.blanks import Blank
from compat.pages.diameters_text import read_diameters, write_diameters
from compat.pages.document_paths import at, blank_path, nested, with_lists
from compat.pages.measured import Figure, Measured, Millimetre, Reading, write_figure, write_length, write_number
from compat.pages.stack_text import read_lines, write_lines
from inventory.common.errors import DomainError, FieldError
from inventory.counter.browsing.sheets import Day
from inventory.counter.forms import Line, Sheet

YES_NO = (("", "not known"), ("yes", "yes"), ("no", "no"))


@dataclass(frozen=True, slots=True)
class Row:
    """A field as the page shows it: its letter in the picture, its unit, and where its value comes from."""

    field: forms.BoundField
    blank: Blank
    letter: str = ""
    origin: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Fields under one title: what must be known first, and the rest, which is open once something stands there."""

    title: str
    first: list[Row]
    more: list[Row]
    open: bool


class StackLines(forms.CharField):
    """A side's stack, one size a line; cleaned the lines in the form of the API."""

    def __init__(self, **options: Any) -> None:
        attrs = {"rows": 9, "spellcheck": "false", "autocomplete": "off", "class": "lines"}
        super().__init__(required=False, max_length=4000, widget=forms.Textarea(attrs=attrs), **options)

    def clean(self, value: Any) -> Any:
        lines, faults = read_lines(super().clean(value))
        if faults:
            raise forms.ValidationError([_fault(one.line, one.text, one.cure) for one in faults])
        return lines


class Diameters(forms.CharField):
    """Diameters at several depths, one depth a line; cleaned the readings in the form of the API."""

    def __init__(self, **options: Any) -> None:
        attrs = {"rows": 5, "spellcheck": "false", "autocomplete": "off", "class": "lines"}
        super().__init__(required=False, max_length=20_000, widget=forms.Textarea(attrs=attrs), **options)

    def clean(self, value: Any) -> Any:
        try:
            return read_diameters(super().clean(value))
        except ValueError as error:
            raise forms.ValidationError(str(error)) from None


class BlankSheet(Sheet):
    """A form of blanks. What is left empty is left out of the request."""

    def __init__(
        self,
        blanks: Sequence[Blank],
        data: Any = None,
        *,
        initial: Mapping[str, object] | None = None,
        letters: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(data, initial=dict(initial or {}))
        self.blanks = {blank.name: blank for blank in blanks}
        self.letters = letters or {}
        self.origins: dict[str, str] = {}
        self.places: dict[str, str] = {}
        for blank in blanks:
            self.fields[blank.name] = field_of(blank)

    def request(self) -> dict[str, Any]:
        """The request in the form of the API. For use after is_valid()."""
        document = nested(
            (blank.path, told(blank, self.cleaned_data[name]))
            for name, blank in self.blanks.items()
            if name in self.cleaned_data
        )
        self.places = {}
        return dict(with_lists(document, self.places))

    def rows(self, group: str | None = None) -> list[Row]:
        """The fields of a group in their order; of all groups without one."""
        return [self.row(blank) for blank in self.blanks.values() if group is None or blank.group == group]

    def row(self, blank: Blank) -> Row:
        """One field as it is shown."""
        letter = self.letters.get(re.sub(r"\.\d{1,9}\b", "", blank.path), "")
        return Row(self[blank.name], blank, letter, self.origins.get(blank.name, ""))

    def groups(self) -> list[Group]:
        """Groups in their order: what must be known first, and the rest, which is open once something stands there."""
        found = []
        for group in dict.fromkeys(blank.group for blank in self.blanks.values()):
            rows = self.rows(group)
            more = [row for row in rows if not row.blank.first]
            first = [row for row in rows if row.blank.first]
            found.append(Group(group, first, more, any(row.field.errors or row.field.value() for row in more)))
        return found

    def refuse_at_paths(self, error: DomainError) -> None:
        """Shows a refusal beside the fields at the paths it names."""
        placed = [self.placed(one) for one in error.errors]
        self.refuse(DomainError(error.code, errors=placed, **error.data))

    def placed(self, one: FieldError) -> FieldError:
        """An error at the field that holds its path: an inner path of a stack names the line instead."""
        one = replace(one, field=blank_path(one.field, self.places))
        message = self._in_words(one.message, one.field)
        holders = [blank for blank in self.blanks.values() if one.field == blank.path]
        holders += [blank for blank in self.blanks.values() if one.field.startswith(f"{blank.path}.")]
        # What is wrong with a whole, such as stacks without a shim, stands at its first field.
        holders += [blank for blank in self.blanks.values() if blank.path.startswith(f"{one.field}.")]
        if not holders:
            return replace(one, message=f"{one.field}: {message}" if one.field else message, field="")
        inner = one.field.removeprefix(holders[0].path).strip(".") if one.field.startswith(holders[0].path) else ""
        return replace(one, field=holders[0].name, message=_at_line(inner, message))

    def _in_words(self, message: str, path: str) -> str:
        """A message that names fields of the request, with what the page calls them: those beside it before others."""
        parent = path.rpartition(".")[0]
        known = sorted(self.blanks.values(), key=lambda blank: blank.path.rpartition(".")[0] == parent)
        labels = {blank.path.rpartition(".")[2]: blank.label for blank in known}
        return re.sub(
            r"\b(?:[a-z]{1,20}+_){1,6}+mm\b", lambda found: f"\u201c{labels.get(found[0], found[0])}\u201d", message
        )


def field_of(blank: Blank) -> forms.Field:
    """The form's field for a blank."""
    options: dict[str, Any] = {"label": blank.label, "help_text": blank.help}
    match blank.kind:
        case "measured":
            return Measured(**options)
        case "length":
            return Millimetre(**options)
        case "reading":
            return Reading(**options)
        case "figure":
            return Figure(**options)
        case "word":
            return forms.ChoiceField(choices=[("", "not known"), *blank.choices], required=False, **options)
        case "choice":
            return forms.ChoiceField(choices=blank.choices, required=False, **options)
        case "yes_no":
            return forms.ChoiceField(choices=YES_NO, required=False, **options)
        case "flag" | "there":
            return forms.BooleanField(required=False, **options)
        case "lines":
            return StackLines(**options)
        case "diameters":
            return Diameters(**options)
        case "day":
            return Day(required=False, **options)
        case "text":
            return Line(most=blank.most, required=False, **options)
        case _:
            raise ValueError(f"there is no kind of blank {blank.kind}")


def told(blank: Blank, value: Any) -> Any:
    """A cleaned value as the request takes it; None for what is left out."""
    if blank.kind == "yes_no":
        return {"yes": True, "no": False}.get(value)
    if blank.kind == "flag":
        return bool(value)
    if blank.kind == "there":
        return blank.value if value else None
    if blank.kind == "day":
        return value.isoformat() if value else None
    return None if value in ("", None) or value == [] else value


def typed(blank: Blank, value: Any, *, usual_bore_mm: float | None = None) -> Any:
    """A value of a request as it would stand in the form."""
    if blank.kind == "lines":
        return write_lines(value or (), usual_bore_mm=usual_bore_mm)
    if blank.kind == "diameters":
        return write_diameters(value or ())
    if blank.kind == "yes_no":
        return {True: "yes", False: "no"}.get(value, "")
    if blank.kind in ("measured", "length"):
        return write_length(value)
    if blank.kind == "reading":
        return write_number(value)
    if blank.kind == "figure":
        return write_figure(value)
    if blank.kind == "there":
        return "on"
    return value if blank.kind == "flag" else str(value or "")


def initial_of(blanks: Iterable[Blank], document: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """(field name, what stands in it) for what a document tells."""
    for blank in blanks:
        value = at(document, blank.path)
        if value is not None:
            yield blank.name, typed(blank, value)


LINE_FIELDS = {"od_mm": "diameter", "thickness_mm": "thickness", "quantity": "count", "bore_mm": "bore", "form": "form"}


def _at_line(inner: str, message: str) -> str:
    number, _, field = inner.partition(".")
    if not number.isdigit():
        return message
    what = LINE_FIELDS.get(field, field)
    return f"Size {int(number) + 1}{f', {what}' if what else ''}: {message}"


def _fault(line: int, text: str, cure: str) -> str:
    shown = f" \u201c{text}\u201d" if text else ""
    return f"Line {line}{shown}: {cure}."
