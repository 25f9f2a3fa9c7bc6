"""The check of a damper model and of a stack, as they are sent."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inventory.catalogue.kinds.shims import FORMS
from inventory.dampers.checked_sealing import LimitIn, ModelBandIn, ModelShaftIn, OilIn, RodGlandIn, one_of_each
from inventory.dampers.words import HANDS, MOST_LINES, MOST_PIECES, NO_CODES, PLACES, SIDES, VALVES
from inventory.documents.fields import Code, Flag, Measured, Millimetres, Name, Number, Quantity, Strict


def _measured(**options: Any) -> Measured:
    return Measured(required=False, allow_null=True, **options)


class LineIn(Strict):
    """Some shims of one size; a stack lists them face first."""

    od_mm = Millimetres(most_um=200_000)
    thickness_mm = Millimetres(most_um=5_000)
    quantity = Quantity(most=MOST_PIECES)
    bore_mm = Millimetres(most_um=100_000, required=False)
    form = serializers.ChoiceField(choices=FORMS, default="round")
    lot = Name(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if "bore_mm" in attrs and attrs["bore_mm"] >= attrs["od_mm"]:
            raise serializers.ValidationError({"bore_mm": ["must be smaller than the outer diameter"]})
        return attrs


class StacksIn(Strict):
    """The stacks of one valve by side, each face first. A side without shims is left out."""

    compression = LineIn(many=True, required=False)
    rebound = LineIn(many=True, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if not any(attrs.get(side) for side in SIDES):
            raise serializers.ValidationError(
                "has no shims; give at least one line for compression or rebound", code="empty"
            )
        for side in SIDES:
            lines = attrs.get(side, [])
            if len(lines) > MOST_LINES:
                raise serializers.ValidationError({side: [f"may have at most {MOST_LINES} lines"]}, code="too_many")
            if sum(line["quantity"] for line in lines) > MOST_PIECES:
                raise serializers.ValidationError({side: [f"may have at most {MOST_PIECES} shims"]}, code="too_many")
        return attrs


class SideIn(Strict):
    """One side of a piston: all diameters."""

    ports_inner_mm = _measured(least_um=1)
    ports_outer_mm = _measured(least_um=1)
    land_outer_mm = _measured(least_um=1)
    hub_mm = _measured(least_um=1)
    other_side_feed_inner_mm = _measured(least_um=1)


class PistonSideIn(SideIn):
    """One side of a damper's piston: its diameters, how much of the ring its ports leave open, and a raised seat."""

    open_fraction = Number(least=0.01, most=1, required=False, allow_null=True)
    seat_mm = _measured(least_um=1)
    seat_height_mm = _measured(most_um=5_000)


class BasePlateIn(Strict):
    """A base plate: its height, and the diameter on which shims lean."""

    height_mm = _measured()
    contact_diameter_mm = _measured()


class BasePlatesIn(Strict):
    """A base plate for each side."""

    compression = BasePlateIn(required=False)
    rebound = BasePlateIn(required=False)


class WasherIn(Strict):
    """A washer or sleeve that counts in the height."""

    name = Name(max_length=60)
    height_mm = _measured()
    place = serializers.ChoiceField(choices=PLACES, default="shoulder")


class SidesIn(Strict):
    """Both sides of the piston."""

    compression = PistonSideIn(required=False)
    rebound = PistonSideIn(required=False)


class ValveIn(Strict):
    """One valve of a damper."""

    code = serializers.ChoiceField(choices=VALVES)
    piston_height_mm = _measured()
    shaft_mm = _measured(least_um=1000)
    body_bore_mm = _measured()
    overlap_mm = Millimetres(least_um=0, required=False, allow_null=True)
    base_plates = BasePlatesIn(required=False)
    washers = WasherIn(many=True, required=False)
    sides = SidesIn(required=False)


class ShaftEndIn(Strict):
    """The end of the shaft; lengths are measured from the shoulder."""

    diameter_mm = _measured(least_um=1000)
    hole_mm = _measured()
    thread = Name(required=False, max_length=30)
    tolerance_class = Name(required=False, max_length=10)
    hand = serializers.ChoiceField(choices=HANDS, required=False)
    shoulder_to_lip_mm = _measured()
    on_straight_mm = Millimetres(least_um=0, required=False, allow_null=True)
    past_lip_mm = Millimetres(least_um=0, required=False, allow_null=True)
    full_thread_start_mm = _measured()
    shaft_end_mm = _measured()
    thread_relief = Flag(required=False, allow_null=True, default=None)
    relief_diameter_mm = _measured(least_um=1000)
    property_class = Name(required=False, max_length=10)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs.get("thread_relief") is False and attrs.get("relief_diameter_mm") is not None:
            text = "is the diameter in a relief groove, and it is said that there is none"
            raise serializers.ValidationError({"relief_diameter_mm": [text]}, code="groove_of_none")
        return dict(super().validate(attrs))


class DamperIn(Strict):
    """A damper model."""

    code = Code()
    name = Name(max_length=120)
    valves = ValveIn(many=True)
    shaft_end = ShaftEndIn(required=False, allow_null=True)
    band = ModelBandIn(required=False, allow_null=True)
    shaft = ModelShaftIn(required=False, allow_null=True)
    rod_gland = RodGlandIn(required=False, allow_null=True)
    oil = OilIn(required=False, allow_null=True)
    limits = LimitIn(many=True, required=False, allow_null=True)

    def validate_code(self, code: str) -> str:
        # Its page stands under this code, where one word is taken and browsers walk along dots.
        if code in NO_CODES:
            raise serializers.ValidationError("cannot be this word: no page could be opened by it", code="invalid")
        return code

    def validate_valves(self, valves: list[dict[str, Any]]) -> list[dict[str, Any]]:
        codes = [valve["code"] for valve in valves]
        if not codes or len(set(codes)) != len(codes):
            raise serializers.ValidationError("needs at least one valve, each of main, base and mid at most once")
        return valves

    def validate_limits(self, limits: list[dict[str, Any]] | None) -> list[dict[str, Any]] | None:
        # No limits are left out, as everything is that is not known.
        return one_of_each(limits) or None


class ReadingsIn(ShaftEndIn):
    """What was measured on this damper; it counts before the model's sizes."""

    base_plate_mm = _measured()
    piston_height_mm = _measured()
