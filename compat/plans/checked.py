"""What a plan takes."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from compat.engineering.nut_on_shaft import ENDS
from inventory.dampers.checked import ReadingsIn, StacksIn
from inventory.documents.fields import Flag, Measured, Millimetres, Name, Number, Quantity, Strict
from inventory.holds.requests import MOST_MINUTES

MOST_ALSO = 40


def measured(**options: Any) -> Measured:
    """An optional measured length."""
    return Measured(required=False, allow_null=True, **options)


def word(choices: tuple[str, ...]) -> serializers.ChoiceField:
    """An optional word of a list."""
    return serializers.ChoiceField(choices=choices, required=False, allow_null=True)


def text(most: int = 30) -> Name:
    """An optional short text."""
    return Name(max_length=most, required=False, allow_null=True)


def pitch() -> Number:
    """An optional pitch in millimetres: a gauge reading, so it need not be whole micrometres."""
    return Number(least=0.1, most=10, required=False, allow_null=True)


class ValveStacksIn(Strict):
    """The stacks of one valve."""

    code = serializers.ChoiceField(choices=("main", "base", "mid"))
    stacks = StacksIn()


class AlsoIn(Strict):
    """A part that the job needs besides the stacks, such as the nut."""

    part = Name()
    quantity = Quantity(most=1000)


class NutReadingsIn(Strict):
    """What was read of the very nut that goes on, and its part number; it counts before what the catalogue says."""

    part = Name(required=False, allow_null=True)
    gauged_pitch_mm = pitch()
    gauged_threads_per_inch = Number(least=2, most=80, required=False, allow_null=True)
    minor_mm = measured()
    height_mm = measured()
    chamfer_mm = measured()
    unthreaded_mm = measured()
    property_class = text(10)
    tolerance_class = text(10)


class PlanReadingsIn(ReadingsIn):
    """What was measured on this damper, with what only the bench can read of its thread."""

    gauged_pitch_mm = pitch()
    gauged_threads_per_inch = Number(least=2, most=80, required=False, allow_null=True)
    major_mm = measured()
    end_condition = word(ENDS)
    full_length_gauged = Flag(required=False, allow_null=True, default=None)


class AllowIn(Strict):
    """What may be given in place of what was asked for."""

    stand_ins = Flag(default=True)
    take_offs = Flag(default=False)
    curve_percent = Number(least=0, most=100, required=False)
    height_mm = Millimetres(least_um=0, required=False)
    reach_mm = Millimetres(least_um=0, most_um=10_000, required=False)
    face = Flag(default=False)
    crossover = Flag(default=False)
    clamp = Flag(default=False)
    search_ms = Number(least=20, most=10_000, required=False)


class PlanIn(Strict):
    """Build these stacks from the shelf."""

    damper = Name()
    stacks = StacksIn(required=False)
    valves = ValveStacksIn(many=True, required=False)
    readings = PlanReadingsIn(required=False)
    spacer = Flag(default=True)
    also = AlsoIn(many=True, required=False)
    nut = Flag(default=True)
    nut_readings = NutReadingsIn(required=False)
    allow = AllowIn(required=False)
    job = Name(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if ("stacks" in attrs) == ("valves" in attrs):
            text = "give either stacks (for the main valve) or valves, and not both"
            raise serializers.ValidationError({"stacks": [text]}, code="either_or")
        codes = [valve["code"] for valve in attrs.get("valves", [])]
        if "valves" in attrs and (not codes or len(set(codes)) != len(codes)):
            raise serializers.ValidationError({"valves": ["name at least one valve, each once"]}, code="valves")
        for stacks in [attrs.get("stacks", {}), *(valve["stacks"] for valve in attrs.get("valves", []))]:
            if any("lot" in line for lines in stacks.values() for line in lines):
                text = "a plan chooses the lots; leave lot out of its lines"
                raise serializers.ValidationError({"stacks": [text]}, code="lot_given")
        if len(attrs.get("also", [])) > MOST_ALSO:
            raise serializers.ValidationError({"also": [f"may have at most {MOST_ALSO} lines"]}, code="too_many")
        return attrs


class PlanHoldIn(Strict):
    """For which job; without one the hold lapses like a web hold, after `minutes`."""

    job = Name(required=False)
    minutes = Quantity(required=False, most=MOST_MINUTES)
