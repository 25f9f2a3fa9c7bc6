"""The form of a measured curve: on which side of which valve, of which stack, and its points."""

from __future__ import annotations

from typing import Any, cast

from django import forms

from compat.pages.blanks import StackLines
from compat.pages.calibration.points_text import read_points
from inventory.counter.forms import CommandSheet, Line, mark_optional

SIDES = ("compression", "rebound")


class Points(forms.CharField):
    """A lift and a force on each line; cleaned the points in the form of the API."""

    def __init__(self, **options: Any) -> None:
        attrs = {"rows": 9, "spellcheck": "false", "autocomplete": "off", "class": "lines"}
        super().__init__(max_length=8000, widget=forms.Textarea(attrs=attrs), **options)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        try:
            return read_points(text)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from None


class CalibrationSheet(CommandSheet):
    """What was measured. `valves` are the codes of the damper model's valves that clamp their shims."""

    valve = forms.ChoiceField(label="Valve")
    side = forms.ChoiceField(label="Side", choices=[(side, side) for side in SIDES])
    stack = StackLines(
        label="Stack that was measured, face shim first",
        help_text="A size a line, as in 34x0.15 x3. Type thicknesses as measured, to 0.001 mm if you can.",
    )
    points = Points(
        label="Points: lift in mm, force in N",
        help_text="A point a line, as in 0.05 42.5, rising. Lift at the face shim's rim, force of the oil on the "
        "ports' whole ring. 3 to 100 points, below one and a half thicknesses of lift.",
    )
    note = Line(label="Note", most=400, required=False)

    def __init__(self, data: Any = None, *, valves: list[str], **options: Any) -> None:
        super().__init__(data, **options)
        cast(forms.ChoiceField, self.fields["valve"]).choices = [(code, code) for code in valves]
        mark_optional(self.fields["note"])

    def sent(self) -> dict[str, Any]:
        """What was typed in the form of the API. For use after is_valid()."""
        return {name: self.cleaned_data[name] for name in ("valve", "side", "stack", "points", "note")}
