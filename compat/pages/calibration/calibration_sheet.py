"""The form of a measured curve: on which side of which valve, of which stack, and its points."""

from __future__ import annotations

from typing import Any, cast

from django import forms

from compat.pages.blanks import StackLines
from compat.pages.calibration.points_text import read_points, write_points
from compat.pages.measured import Millimetre
from compat.pages.stack_text import write_lines
from compat.plans.sent import SentLine
from inventory.counter.forms import CommandSheet, Line, mark_optional
from inventory.dampers.models import Calibration
from inventory.dampers.words import SIDES


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
        help_text="A size a line, as in 34x0.149 x3, with the thickness that was measured.",
    )
    thickness_error_mm = Millimetre(
        label="Thicknesses may be off by, mm",
        help_text="What the micrometer may be off, as in 0.002. Empty: they are nominal, and the strip's tolerance "
        "stays open for every stack that uses this fit.",
    )
    points = Points(
        label="Points: lift in mm, force in N",
        help_text="A point a line, as in 0.05 42.5, rising. Lift at the face shim's rim (at a raised seat, where "
        "there is one), force of the oil on the ports' whole ring. 3 to 100 points, below one and a half thicknesses "
        "of lift.",
    )
    note = Line(label="Note", most=400, required=False)

    def __init__(self, data: Any = None, *, valves: list[str], **options: Any) -> None:
        super().__init__(data, **options)
        cast(forms.ChoiceField, self.fields["valve"]).choices = [(code, code) for code in valves]
        for name in ("thickness_error_mm", "note"):
            mark_optional(self.fields[name])

    def sent(self) -> dict[str, object]:
        """What was typed in the form of the API. For use after is_valid()."""
        names = ("valve", "side", "stack", "thickness_error_mm", "points", "note")
        return {name: value for name in names if (value := self.cleaned_data[name]) is not None}


def typed_again(row: Calibration) -> dict[str, str]:
    """A calibration on file as it would be typed, with the thicknesses that it was fitted with."""
    shims: list[SentLine] = [
        {"od_mm": shim["od_mm"], "thickness_mm": shim["thickness_mm"]["nominal"], "quantity": shim["quantity"]}
        for shim in row.measured["shims"]
    ]
    widest = max(one["max"] - one["min"] for one in (shim["thickness_mm"] for shim in row.measured["shims"]))
    return {
        "valve": row.valve,
        "side": row.side,
        "stack": write_lines(shims),
        "thickness_error_mm": f"{max(widest / 2, 0.001):.3f}",
        "points": write_points(row.measured["points"]),
        "note": row.note,
    }
