"""What a damper model's document tells of seals, wear and oil, and the limits from the maker's instructions."""

from __future__ import annotations

from datetime import date
from typing import Any

from rest_framework import serializers

from inventory.common import clock
from inventory.dampers.words import LEAST_N_M, LIMITS, MOST_N_M, MOST_UM, OILS
from inventory.documents.fields import Measured, Millimetres, Name, Number, Strict


def _measured(**options: Any) -> Measured:
    return Measured(required=False, allow_null=True, least_um=1, **options)


class ModelRingIn(Strict):
    """A ring of a damper model: by the three digits of its AS568 size, or by inner diameter and section."""

    size = Name(max_length=3, required=False, allow_null=True)
    id_mm = _measured()
    section_mm = _measured(most_um=50_000)

    def validate_size(self, size: str | None) -> str | None:
        # Whether the standard has the size is asked where it is used.
        if size is not None and not (len(size) == 3 and size.isascii() and size.isdigit()):
            raise serializers.ValidationError("must be the three digits of an AS568 size as in 222", code="not_a_size")
        return size

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs.get("size") and (attrs.get("id_mm") or attrs.get("section_mm")):
            raise serializers.ValidationError(
                {"size": ["give this, or the inner diameter and the section"]}, code="two"
            )
        return attrs


class ModelBandIn(Strict):
    """The piston's band: the diameter of its groove's bottom, its radial thickness when new, the ring under it."""

    groove_mm = _measured()
    band_thickness_mm = _measured(most_um=50_000)
    energiser = ModelRingIn(required=False, allow_null=True)


class ModelShaftIn(Strict):
    """The shaft where its seal runs."""

    diameter_mm = _measured()


class RodGlandIn(Strict):
    """The groove in the seal head round the shaft: its outer diameter, its width, and the ring in it."""

    groove_mm = _measured()
    width_mm = _measured()
    ring = ModelRingIn(required=False, allow_null=True)


class OilIn(Strict):
    """What the seals meet: the oil, and the hottest it becomes, in degrees Celsius."""

    fluid = serializers.ChoiceField(choices=OILS, required=False, allow_null=True)
    hottest_c = Number(least=0, most=400, required=False, allow_null=True)


class LimitIn(Strict):
    """A limit from the maker's instructions: its value in the unit that its name says, where it stands, and of when."""

    limit = serializers.ChoiceField(choices=LIMITS)
    value = Number(least=0.001, most=2_000)
    source = Name(max_length=200)  # type: ignore[assignment]  # declared fields leave the class, so none is hidden
    on = serializers.DateField(
        input_formats=["%Y-%m-%d"], error_messages={"invalid": "must be a date as in 2026-05-01"}
    )

    def validate_on(self, on: date) -> str:
        if not clock.can_have_come_in(on, clock.today()):
            raise serializers.ValidationError(f"must lie between {clock.FIRST_DAY.year} and today", code="out_of_range")
        return on.isoformat()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        name = attrs["limit"]
        field: Millimetres | Number = (
            Millimetres(most_um=MOST_UM[name]) if name in MOST_UM else Number(least=LEAST_N_M, most=MOST_N_M[name])
        )
        try:
            field.to_internal_value(attrs["value"])
        except serializers.ValidationError as error:
            raise serializers.ValidationError({"value": error.detail}) from None
        return attrs


def one_of_each(limits: list[dict[str, Any]] | None) -> list[dict[str, Any]]:
    """Checked limits in the order of LIMITS. Raises ValidationError at one that is told twice."""
    told = [one["limit"] for one in limits or ()]
    twice = {
        str(number): {"limit": [f"{name} may be told only once"]}
        for number, name in enumerate(told)
        if name in told[:number]
    }
    if twice:
        raise serializers.ValidationError(twice, code="twice")
    return sorted(limits or (), key=lambda one: LIMITS.index(one["limit"]))
