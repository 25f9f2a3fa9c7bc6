"""Forms by which a lot or a part is corrected."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from django import forms
from django.http import QueryDict

from inventory.common.errors import DomainError
from inventory.counter.forms import CommandSheet, Line, Thicknesses


class EditSheet(CommandSheet):
    """A correction: it carries what its author read, and says why."""

    read = forms.CharField(widget=forms.HiddenInput, required=False)
    reason = Line(most=200, label="Why is it corrected?", help_text="It stays in the history.")

    def read_anew(self, read: str) -> None:
        """Takes what the subject reads now as read, so that sending again overwrites it on purpose."""
        self.set_value("read", read)

    def set_value(self, name: str, value: str) -> None:
        data = cast(QueryDict, self.data).copy()
        data[self.add_prefix(name)] = value
        self.data = data


class LotSheet(EditSheet):
    """Where a lot comes from and when."""

    supplier = Line(most=80, required=False)
    source = Line(most=120, required=False, help_text="A bag, an invoice, the damper it was taken off.")
    received_on = forms.DateField(
        label="Received on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        input_formats=["%Y-%m-%d"],
    )
    cure_date = Line(most=7, required=False, label="Cure date", help_text="A quarter, as in 2026-Q3.")

    field_order = ("supplier", "source", "received_on", "cure_date", "reason")


class SampleSheet(CommandSheet):
    """Micrometer readings of a lot."""

    readings = Thicknesses(
        label="Readings, mm",
        help_text="One after the other with a blank between: 0.151 0.149 0.150. Single pieces, all from this bag.",
    )


def mend(form: EditSheet, error: DomainError, read: str, names: Mapping[str, str]) -> None:
    """Shows the refusal of an edit. After `edited_meanwhile` the same form can be sent again on purpose."""
    form.refuse(error, **names)
    if error.code == "edited_meanwhile":
        form.add_error(None, "Somebody else corrected this meanwhile. Look at what is marked, then send it again.")
        form.read_anew(read)
        form.renew()
    renew_if_used(form, error)


def renew_if_used(form: CommandSheet, error: DomainError) -> None:
    """A form that was changed after it had been sent gets a new key, and can be sent again on purpose."""
    if error.code == "idempotency_key_reused":
        form.renew()
