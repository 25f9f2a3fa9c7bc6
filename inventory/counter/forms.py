"""Forms of pages: numbers as people write them, errors beside the field, the first one focused."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, cast

from django import forms
from django.forms.renderers import TemplatesSetting
from django.http import HttpRequest, QueryDict

from inventory.common import quantities, writing
from inventory.common.errors import DomainError
from inventory.counter.commands import FIELD, new_key
from inventory.counter.tags_of_fields import INPUTS, input_tag

# How a message about one field begins.
VERBS = frozenset(
    {"is", "must", "may", "has", "have", "needs", "begins", "reads", "names", "belongs", "lies", "cannot"}
)
SENT_ALREADY = "This was sent already, and changed since. It stands here again: send it to do that too."


class Renderer(TemplatesSetting):
    """Fields and errors by this project's own templates."""

    form_template_name = "counter/_form.html"
    field_template_name = "counter/_field.html"

    def render(self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None) -> str:
        if template_name in INPUTS:
            return input_tag(context["widget"])
        return super().render(template_name, context, request)


class Sheet(forms.Form):
    """A form that can be refused by a service, and that shows where to begin mending it."""

    required_css_class = "required"

    def refuse(self, error: DomainError, **fields: str) -> None:
        """Shows a refusal beside the fields it names; `fields` maps names of the service to names of this form."""
        unplaced = []
        for one in error.errors:
            name = fields.get(one.field, one.field)
            if name in self.fields:
                self.add_error(name, sentence(one.message))
            else:
                unplaced.append(sentence(one.message))
        if not error.errors or unplaced:
            self.add_error(None, unplaced or [error.text])

    def keep(self, **values: str) -> None:
        """Puts values into the form as if they had been sent."""
        data = cast(QueryDict, self.data).copy()
        for name, value in values.items():
            data[self.add_prefix(name)] = value
        self.data = data

    def focus(self) -> None:
        """Marks the first field with an error as the one to begin with; without an error the first empty one."""
        if not self.focus_wrong():
            _focus_first(field for field in self._open_fields() if not field.value())

    def focus_wrong(self) -> bool:
        """Marks the first field with an error as the one to begin with; whether there is one."""
        return _focus_first(field for field in self._open_fields() if field.errors)

    def _open_fields(self) -> list[forms.BoundField]:
        return [field for field in self.visible_fields() if not getattr(field.field, "disabled", False)]


class CommandSheet(Sheet):
    """A form that changes something: it carries a one-use key."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields[FIELD] = forms.CharField(widget=forms.HiddenInput, initial=new_key, required=False)

    def refuse(self, error: DomainError, **fields: str) -> None:
        """Shows a refusal as Sheet does. The form gets a new key, since its old one stands for what was refused; a
        form that was changed after it was sent says so."""
        self.renew()
        if error.code == "idempotency_key_reused":
            self.add_error(None, SENT_ALREADY)
        else:
            super().refuse(error, **fields)

    def renew(self) -> None:
        """Gives the form a new key, so that it can be sent again on purpose."""
        self.keep(**{FIELD: new_key()})


class Line(forms.CharField):
    """A text on one line: numbers, codes, names. Refuses what a spreadsheet would run, and what nobody sees."""

    def __init__(self, *, most: int = 40, **options: Any) -> None:
        super().__init__(max_length=most, **options)
        self.widget.attrs.setdefault("autocomplete", "off")

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        return writing.tidy(text) if isinstance(text, str) else text

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if refused := writing.refusal(text):
            raise forms.ValidationError(f"It {refused}.")
        return text


class Millimetres(forms.Field):
    """A length in millimetres with a decimal point or comma; whole micrometres when cleaned, None when empty."""

    def __init__(self, *, least_um: int = 1, most_um: int = 1_000_000, **options: Any) -> None:
        self.least_um, self.most_um = least_um, most_um
        super().__init__(**options)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "class": "number"})

    def to_python(self, value: Any) -> int | None:
        text = str(value or "").strip()
        if not text:
            return None
        try:
            um = quantities.um_from_mm(text, comma=True)
        except ValueError as error:
            raise forms.ValidationError(sentence(str(error))) from None
        if not self.least_um <= um <= self.most_um:
            low, high = self.least_um / 1000, self.most_um / 1000
            raise forms.ValidationError(f"It must lie within {low:g} and {high:g} mm; is the unit right?")
        return um


class Pieces(forms.Field):
    """A whole number of pieces; None when empty."""

    def __init__(self, *, least: int = 1, most: int = quantities.MOST_PIECES, **options: Any) -> None:
        self.least, self.most = least, most
        super().__init__(**options)
        self.widget.attrs.update({"inputmode": "numeric", "autocomplete": "off", "class": "number"})

    def to_python(self, value: Any) -> int | None:
        text = str(value if value is not None else "").strip()
        if not text:
            return None
        pieces = quantities.whole_number(text, digits=8)
        if pieces is None or not self.least <= pieces <= self.most:
            raise forms.ValidationError(f"It must be a whole number from {self.least} to {self.most}.")
        return pieces


class Thicknesses(forms.Field):
    """Readings of a micrometer in millimetres, separated by blanks or semicolons; whole micrometres when cleaned."""

    def __init__(self, *, most: int = 200, most_um: int = 20_000, **options: Any) -> None:
        self.most, self.most_um = most, most_um
        super().__init__(**options)
        self.widget.attrs.update({"autocomplete": "off", "class": "number wide"})

    def to_python(self, value: Any) -> Sequence[int]:
        words = str(value or "").replace(";", " ").split()
        if len(words) > self.most:
            raise forms.ValidationError(f"At most {self.most} readings at once.")
        found = []
        for word in words:
            if ("," in word and "." in word) or word.count(",") > 1:
                raise forms.ValidationError(f"{word[:40]}: separate the readings by blanks; a comma is a decimal sign.")
            try:
                um = quantities.um_from_mm(word, comma=True)
            except ValueError as error:
                raise forms.ValidationError(f"{word[:40]}: {error}.") from None
            if not 0 < um <= self.most_um:
                raise forms.ValidationError(f"{word[:40]} mm is no thickness of this part; is the unit right?")
            found.append(um)
        return found


def mark_optional(field: forms.Field) -> None:
    """Has the field's template say that it may stay empty; for forms where most fields may not."""
    field.mark_optional = True  # type: ignore[attr-defined]  # of our own; the template reads it


def _focus_first(fields: Iterable[forms.BoundField]) -> bool:
    chosen = next(iter(fields), None)
    if chosen is not None:
        chosen.field.widget.attrs["autofocus"] = True
    return chosen is not None


def sentence(text: str) -> str:
    """A message of a service as a sentence beside a field: those that begin with a verb speak of the field."""
    text = text.strip()
    if text.partition(" ")[0] in VERBS:
        text = f"It {text}"
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "?", "!")) else f"{text}."
