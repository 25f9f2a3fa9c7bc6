"""Forms by which a lot or a part is corrected."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms

from inventory.common.errors import DomainError
from inventory.common.quantities import whole_number
from inventory.counter.forms import CommandSheet, Line, Thicknesses
from inventory.stock.withdrawing import LONGEST_REASON

ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class EditSheet(CommandSheet):
    """A correction: it carries what its author read, and says why."""

    read = forms.CharField(widget=forms.HiddenInput, required=False)
    reason = Line(most=200, label="Why is it corrected?", help_text="It stays in the history.")

    def read_anew(self, read: str) -> None:
        """Takes what the subject reads now as read, so that sending again overwrites it on purpose."""
        self.keep(read=read)


class Day(forms.DateField):
    """A day as pages write it, 2026-03-31, whatever the browser's language."""

    def __init__(self, **options: Any) -> None:
        wrong = "It must be a day as in 2026-03-31: year, month, day."
        shown = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "number"})
        options = {"help_text": "Year, month, day, as in 2026-03-31.", **options}
        super().__init__(widget=shown, input_formats=["%Y-%m-%d"], error_messages={"invalid": wrong}, **options)

    def to_python(self, value: Any) -> Any:
        text = str(value or "").strip()
        if text and not ISO_DAY.fullmatch(text):
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid")
        return super().to_python(text)

    def prepare_value(self, value: Any) -> Any:
        return value.isoformat() if isinstance(value, date) else value


class LotSheet(EditSheet):
    """Where a lot comes from and when."""

    supplier = Line(most=80, required=False)
    source = Line(most=120, required=False, help_text="A bag, an invoice, the damper it was taken off.")
    received_on = Day(label="Received on")
    cure_date = Line(most=7, required=False, label="Cure date", help_text="A quarter, as in 2026-Q3.")

    field_order = ("supplier", "source", "received_on", "cure_date", "reason")


class SampleSheet(CommandSheet):
    """Micrometer readings of a lot."""

    readings = Thicknesses(
        label="Readings, mm",
        help_text="One after the other with a blank between: 0.151 0.149 0.150. Single pieces, all from this bag.",
    )


class Readings(forms.Field):
    """Which readings are meant, by their ids; a list when cleaned."""

    widget = forms.MultipleHiddenInput

    def to_python(self, value: Any) -> list[int]:
        found = [whole_number(str(one)) for one in value or ()]
        if None in found:
            raise forms.ValidationError("It must be readings of this lot.")
        return [one for one in found if one is not None]


class WithdrawSheet(CommandSheet):
    """Which readings do not count any more, and why. The boxes stand beside the readings themselves."""

    readings = Readings(error_messages={"required": "Choose the readings that do not count."})
    reason = Line(most=LONGEST_REASON, label="Why do they not count?", help_text="It stays in the history.")


def mend(form: EditSheet, error: DomainError, read: str, names: Mapping[str, str]) -> None:
    """Shows the refusal of an edit. After `edited_meanwhile` the same form can be sent again on purpose."""
    form.refuse(error, **names)
    if error.code == "edited_meanwhile":
        form.add_error(None, "Somebody else corrected this meanwhile. Look at what is marked, then send it again.")
        form.read_anew(read)
        form.renew()
