"""What a plan asks for besides its stacks: what may stand in, parts besides, the job, readings of the damper."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

from django import forms

from compat.asking.blanks import Blank
from compat.pages.bench.also_text import AlsoParts, write_also
from compat.pages.bench.bench_choices import numbered
from compat.pages.blanks import field_of, told, typed
from compat.pages.damper_models.valve_blanks import SHAFT_END
from compat.pages.measured import Millimetre, Reading, write_length
from compat.plans.request import CURVE_PERCENT, REACH_UM
from compat.plans.sent import SentAllow, SentPart, SentPlan, SentValve
from compat.questions.nut_on_shaft import ENDS
from inventory.counter.forms import Line, Sheet

_END = {blank.path: blank for blank in SHAFT_END}
# Left empty, a reading says nothing of the part: the model's word stands.
_END["hand"] = replace(_END["hand"], kind="choice", choices=(("", "as the model says"), *_END["hand"].choices))
_FIRST = (
    replace(_END.pop("shoulder_to_lip_mm"), help=""),
    Blank("base_plate_mm", "Rebound base plate"),
    Blank("piston_height_mm", "Piston height"),
    replace(_END.pop("diameter_mm"), label="Shaft diameter"),
)
_THREAD = (
    Blank("gauged_pitch_mm", "Pitch of the shaft by gauge", "reading", unit="mm"),
    Blank("gauged_threads_per_inch", "or threads per inch by gauge", "reading", unit="per inch"),
    Blank("major_mm", "Outer diameter of the thread"),
    Blank("end_condition", "The end is", "word", choices=tuple(ENDS.items())),
    Blank("full_length_gauged", "The thread was gauged over its whole length", "yes_no"),
)
# Everything that a request can say was read from this very damper; what is read most often stands first.
READINGS = (*_FIRST, *_END.values(), *_THREAD)
# And of the very nut that goes on.
NUT_READINGS = tuple(
    replace(blank, called=f"nut_{blank.path}")
    for blank in (
        Blank("part", "Part number of the nut that was read", "text", most=40),
        Blank("gauged_pitch_mm", "Pitch of the nut by gauge", "reading", unit="mm"),
        Blank("gauged_threads_per_inch", "or the nut's threads per inch", "reading", unit="per inch"),
        Blank("minor_mm", "Bore of the nut's thread"),
        Blank("height_mm", "Height of the nut"),
        Blank("chamfer_mm", "Depth of the nut's chamfer"),
        Blank("unthreaded_mm", "Height of the nut without thread"),
        Blank("tolerance_class", "Tolerance class of the nut", "text", most=10),
        Blank("property_class", "Property class of the nut", "text", most=10),
    )
)
# How the flags stand before anybody touches them: a form that is sent holds only what is ticked.
FLAGS = {
    "stand_ins": True,
    "take_offs": False,
    "spacer": True,
    "nut": True,
    "face": False,
    "crossover": False,
    "clamp": False,
}
# The places that have no stand-ins unless they are ticked.
PLACES: tuple[Literal["face", "crossover", "clamp"], ...] = ("face", "crossover", "clamp")
UNTOUCHED = {name: "on" for name, flag in FLAGS.items() if flag}
LIMITS: tuple[Literal["curve_percent", "height_mm", "reach_mm", "search_ms"], ...] = (
    "curve_percent",
    "height_mm",
    "reach_mm",
    "search_ms",
)


class Options(Sheet):
    """The fields of the bench beside the rows, in the order in which the page shows them."""

    stand_ins = forms.BooleanField(label="Stand-ins allowed", required=False)
    take_offs = forms.BooleanField(label="Take-offs allowed", required=False)
    spacer = forms.BooleanField(label="Choose spacers for the lip", required=False)
    nut = forms.BooleanField(label="Choose the nut", required=False)
    curve_percent = Reading(
        label="Force of a side, ± %",
        help_text=f"How much stand-ins may change its curve. Empty: {CURVE_PERCENT:g} %.",
    )
    height_mm = Millimetre(
        label="Height of the stack, ± mm", help_text="How much stand-ins may change it together. Empty: no limit."
    )
    reach_mm = Millimetre(
        label="Diameter, ± mm",
        help_text=f"How far a stand-in's may be from the asked one. Empty: {REACH_UM / 1000:g} mm; 0: the same only.",
    )
    search_ms = Reading(
        label="Time for comparing curves, milliseconds", help_text="More time finds nearer ones. Empty: the usual."
    )
    face = forms.BooleanField(label="Face shims too, of the same diameter", required=False)
    crossover = forms.BooleanField(label="Crossover shims too", required=False)
    clamp = forms.BooleanField(label="Clamp shims too", required=False)
    also = AlsoParts(
        label="Nut and other parts",
        help_text="Part numbers, several separated by ; and a count as in NU-M12x1.25 x1",
        widget=forms.TextInput(attrs={"list": "nuts", "class": "wide"}),
    )
    job = Line(
        label="Job",
        required=False,
        help_text="A new job is made when you hold.",
        widget=forms.TextInput(attrs={"list": "jobs"}),
    )
    name = Line(label="Name of the stack", most=80, required=False)
    note = Line(label="Note", most=400, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields |= {blank.path: field_of(blank) for blank in READINGS}
        self.fields |= {blank.name: field_of(blank) for blank in NUT_READINGS}
        self.order_fields([*(name for name in self.fields if name not in ("name", "note")), "name", "note"])

    def clean_also(self) -> list[SentPart]:
        """The parts as they are numbered: a decimal comma typed for a point is one."""
        return numbered(self.cleaned_data["also"])

    @property
    def readings(self) -> list[Any]:
        """The fields for readings of this damper and of its nut."""
        return [self[blank.name] for blank in (*READINGS, *NUT_READINGS)]

    @property
    def limits(self) -> list[Any]:
        """The fields for how far stand-ins may go."""
        return [self[name] for name in LIMITS]

    @property
    def places(self) -> list[Any]:
        """The places that have stand-ins only where they are ticked."""
        return [self[name] for name in PLACES]

    @property
    def has_readings(self) -> bool:
        """Whether a reading is typed or wrong, so that the page shows them."""
        return any(field.value() or field.errors for field in self.readings)

    @property
    def has_limits(self) -> bool:
        """Whether a limit is typed or wrong, so that the page shows them."""
        return any(field.value() or field.errors for field in (*self.limits, *self.places))

    def asked(self, damper: str, valves: list[SentValve]) -> SentPlan:
        """The request for these stacks in the form of the API; what is left empty is left out.

        For use after is_valid().
        """
        found = self.cleaned_data
        allow: SentAllow = {"stand_ins": found["stand_ins"], "take_offs": found["take_offs"]}
        for place in PLACES:
            if found[place]:
                allow[place] = True
        for limit in LIMITS:
            if found[limit] is not None:
                allow[limit] = found[limit]
        readings, of_nut = (
            {blank.path: value for blank in blanks if (value := told(blank, found[blank.name])) is not None}
            for blanks in (READINGS, NUT_READINGS)
        )
        asked: SentPlan = {"damper": damper, "valves": valves, "spacer": found["spacer"], "allow": allow}
        if not found["nut"]:
            asked["nut"] = False
        if readings:
            asked["readings"] = readings
        if of_nut:
            asked["nut_readings"] = of_nut
        if found["also"]:
            asked["also"] = found["also"]
        if found["job"]:
            asked["job"] = found["job"]
        return asked


def typed_from(sent: SentPlan) -> dict[str, str]:
    """A request as it would stand in the fields; everything in it but the stacks."""
    allow, readings = sent.get("allow") or {}, sent.get("readings") or {}
    flags = {name: {**allow, **sent}.get(name, usual) for name, usual in FLAGS.items()}
    found = {name: "on" for name, flag in flags.items() if flag}
    found |= {"job": sent.get("job") or "", "also": write_also(sent.get("also") or ())}
    for name, figure in (("curve_percent", allow.get("curve_percent")), ("search_ms", allow.get("search_ms"))):
        if figure is not None:
            found[name] = f"{figure:.12f}".rstrip("0").rstrip(".")
    for name, mm in (("height_mm", allow.get("height_mm")), ("reach_mm", allow.get("reach_mm"))):
        found[name] = write_length(mm)
    for blanks, told_ in ((READINGS, readings), (NUT_READINGS, sent.get("nut_readings") or {})):
        found |= {
            blank.name: str(typed(blank, told_[blank.path])) for blank in blanks if told_.get(blank.path) is not None
        }
    return found
