"""What the fit questions take. Lengths are in millimetres; a measured one may be a number or a range."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from rest_framework import serializers

from compat.engineering.bending.calibration import LEAST_POINTS
from compat.engineering.units import Range
from inventory.dampers.checked import LineIn, StacksIn, ValveIn
from inventory.dampers.words import MOST_LINES, MOST_PIECES, SIDES, VALVES
from inventory.documents.fields import Measured, Millimetres, Name, Number, Strict

MOST_POINTS = 100  # of a measured curve
HANDS = ("right", "left")


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


class StackIn(Strict):
    """Is this stack sound, on this valve?"""

    damper = Name(required=False)
    fields_of = ValveIn(required=False)
    valve = serializers.ChoiceField(choices=VALVES, default="main")
    stacks = StacksIn()

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        fields: dict[str, serializers.Field[Any, Any, Any, Any]] = super().get_fields()
        fields.pop("fields_of")
        # The fields of a damper model's valve may stand in the request itself, in place of `damper`.
        for name, field in ValveIn().get_fields().items():
            if name != "code":
                fields.setdefault(name, field)
        return fields


class PressureIn(Strict):
    """The ring that the oil presses on, and how much of it the ports leave open."""

    inner_radius_mm = Measured(least_um=1, most_um=100_000)
    outer_radius_mm = Measured(least_um=1, most_um=100_000)
    open_fraction = Number(least=0.01, most=1, required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["inner_radius_mm"]["min"] >= attrs["outer_radius_mm"]["max"]:
            raise serializers.ValidationError({"outer_radius_mm": ["must be larger than the inner radius"]})
        return attrs


class PreloadIn(Strict):
    """A seat land that stands proud of the clamped face and meets the face shim."""

    radius_mm = Measured(least_um=1, most_um=100_000)
    height_mm = Measured(least_um=0, most_um=5_000)


class StackOfLinesIn(Strict):
    """A stack, face shim first."""

    stack = LineIn(many=True)

    def validate_stack(self, lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if not 1 <= len(lines) <= MOST_LINES:
            raise serializers.ValidationError(f"has 1 to {MOST_LINES} lines, face first", code="lines")
        if sum(line["quantity"] for line in lines) > MOST_PIECES:
            raise serializers.ValidationError(f"may have at most {MOST_PIECES} shims", code="too_many")
        return lines


class MountedStackIn(StackOfLinesIn):
    """A stack and what holds it: the mount from a damper on file, or told here; what is told here counts."""

    damper = Name(required=False)
    valve = serializers.ChoiceField(choices=VALVES, default="main")
    side = serializers.ChoiceField(choices=SIDES, required=False)
    hub_radius_mm = Measured(least_um=1, most_um=100_000, required=False)
    base_radius_mm = Measured(least_um=1, most_um=100_000, required=False)
    pressure = PressureIn(required=False)
    preload = PreloadIn(required=False, allow_null=True)
    poisson = Number(least=0, most=0.49, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if "damper" in attrs and "side" not in attrs:
            raise serializers.ValidationError({"side": ["is required with a damper"]}, code="required")
        told = ("hub_radius_mm", "base_radius_mm", "pressure")
        missing = {name: ["is required without a damper"] for name in told if name not in attrs}
        if "damper" not in attrs and missing:
            raise serializers.ValidationError(missing, code="required")
        return attrs


class StackCurveIn(MountedStackIn):
    """What force lifts this stack how far?"""

    lifts_mm = serializers.ListField(child=Millimetres(most_um=5_000), required=False, min_length=1, max_length=40)
    youngs_gpa = Number(least=50, most=400, required=False)
    edge_slip = Number(least=0, most=1, required=False)
    yield_mpa = Number(least=100, most=3000, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if any(after <= before for before, after in pairwise(attrs.get("lifts_mm", []))):
            raise serializers.ValidationError({"lifts_mm": ["must rise"]}, code="not_rising")
        return super().validate(attrs)


class PointIn(Strict):
    """One measured point: the lift at the face shim's rim, and the force of the oil on the whole ring."""

    lift_mm = Millimetres(most_um=5_000)
    force_n = Number(least=0.001, most=1_000_000)


class MeasuredIn(StackOfLinesIn):
    """A stack and the points of force against lift that were measured on it.

    `thickness_error_mm`: what the gauge may be off that read the thicknesses told; without it they are nominal.
    """

    thickness_error_mm = Millimetres(least_um=0, most_um=50, required=False, allow_null=True)
    points = PointIn(many=True)

    def validate_points(self, points: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if not LEAST_POINTS <= len(points) <= MOST_POINTS:
            raise serializers.ValidationError(f"needs {LEAST_POINTS} to {MOST_POINTS} points", code="points")
        if any(after["lift_mm"] <= before["lift_mm"] for before, after in pairwise(points)):
            raise serializers.ValidationError("lifts must rise", code="not_rising")
        return points


class CurveCalibrationIn(MountedStackIn, MeasuredIn):
    """What E and what slip of the clamp's edge explain these points?"""


class NewCalibrationIn(MeasuredIn):
    """Points to be explained and kept for the piston that they were measured on."""

    valve = serializers.ChoiceField(choices=VALVES, default="main")
    side = serializers.ChoiceField(choices=SIDES)
    note = Name(max_length=400, required=False, default="", allow_blank=True)


def as_range(value: Mapping[str, float] | None) -> Range | None:
    """A checked measured length as the engine takes it."""
    return None if value is None else Range(value["min"], value["max"], value["nominal"])
