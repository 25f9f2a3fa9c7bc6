"""What the questions of seals, bands, bores, shafts and clearances take. Lengths are in millimetres."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from compat.asked.fit import measured, spread, text, word
from compat.engineering.seals.compounds import COMPOUNDS, compound_called
from compat.engineering.seals.gland import KINDS, NEEDED
from compat.engineering.seals.limits import MOTIONS
from compat.engineering.seals.shelf_life import POLICIES, end_of_quarter
from compat.engineering.shaft_wear import SURFACES
from inventory.api.fields import Flag, Millimetres, Name, Number, Quantity, Strict
from inventory.stock.cure_dates import CURE_DATE, WANTED

MOST_READINGS = 500
MOST_RINGS = 50
# What each kind of gland has, beside the gap that every kind may have.
OWN = {kind: (*names, "width_mm", *(("land_mm",) if kind != "face" else ())) for kind, names in NEEDED.items()}
GLAND_SIZES = tuple(dict.fromkeys(name for names in OWN.values() for name in names))


class FreeRingIn(Strict):
    """An O-ring by its size of AS568, or by inner diameter and section as read."""

    size = text(20)
    id_mm = measured(least_um=1)
    section_mm = measured(least_um=1, most_um=50_000)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs.get("size") and (attrs.get("id_mm") or attrs.get("section_mm")):
            raise serializers.ValidationError(
                {"size": ["give this, or the inner diameter and the section as read"]}, code="two"
            )
        return attrs


class RingIn(FreeRingIn):
    """An O-ring and when it was cured."""

    cure_date = Name(max_length=7, required=False, allow_null=True)

    def validate_cure_date(self, written: str | None) -> str | None:
        if written is not None and not CURE_DATE.fullmatch(written):
            raise serializers.ValidationError(WANTED, code="not_a_quarter")
        try:
            _ = written and end_of_quarter(written)
        except ValueError:
            raise serializers.ValidationError(WANTED, code="not_a_quarter") from None
        return written


class GlandIn(Strict):
    """A gland: of a piston, of a rod or of a face, and the sizes of that kind."""

    kind = serializers.ChoiceField(choices=KINDS)
    bore_mm = measured(least_um=1)
    rod_mm = measured(least_um=1)
    groove_mm = measured(least_um=1)
    depth_mm = measured(least_um=1)
    inner_mm = measured(least_um=1)
    outer_mm = measured(least_um=1)
    width_mm = measured(least_um=1)
    pressure_from = word(("inside", "outside"))
    land_mm = measured(least_um=1)
    extrusion_gap_mm = measured(most_um=20_000)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs.get("pressure_from") and attrs["kind"] != "face":
            raise serializers.ValidationError({"pressure_from": ["only a face gland asks it"]}, code="other_kind")
        if attrs.get("land_mm") and attrs.get("extrusion_gap_mm"):
            raise serializers.ValidationError(
                {"extrusion_gap_mm": ["give this or the diameter beside the groove, not both"]}, code="two"
            )
        own = OWN[attrs["kind"]]
        foreign = {
            name: [f"a {attrs['kind']} gland has {', '.join(own)}"]
            for name in GLAND_SIZES
            if attrs.get(name) is not None and name not in own
        }
        if foreign:
            raise serializers.ValidationError(foreign, code="other_kind")
        return attrs


class ServiceIn(Strict):
    """What a seal meets: the oil, how hot and cold it becomes, and its gauge pressure in one of two units.

    `backup_rings`: one stands on each side of the ring and closes the gap."""

    fluid = text(40)
    temperature_c = Number(least=-100, most=400, required=False, allow_null=True)
    coldest_c = Number(least=-100, most=400, required=False, allow_null=True)
    pressure_mpa = spread(least=0, most=200)
    pressure_bar = spread(least=0, most=2_000)
    backup_rings = Flag(required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        hot, cold = attrs.get("temperature_c"), attrs.get("coldest_c")
        if hot is not None and cold is not None and cold > hot:
            raise serializers.ValidationError({"coldest_c": ["must not be above the oil's temperature"]}, code="range")
        if attrs.get("pressure_mpa") and attrs.get("pressure_bar"):
            raise serializers.ValidationError(
                {"pressure_bar": ["give this or the pressure in megapascals, not both"]}, code="two"
            )
        return dict(super().validate(attrs))


class ORingIn(ServiceIn):
    """Does this O-ring fit this gland? The ring is new unless `reused`."""

    ring = RingIn(required=False, allow_null=True)
    gland = GlandIn()
    motion = word(MOTIONS)
    compound = text(40)
    hardness_shore_a = spread(least=10, most=100)
    reused = Flag(required=False, allow_null=True)
    shelf_life_policy = word(POLICIES)


class RingsForGlandIn(ServiceIn):
    """Which rings in stock fit this gland? `compound`: only rings of it."""

    gland = GlandIn()
    motion = serializers.ChoiceField(choices=MOTIONS)
    compound = text(40)
    shelf_life_policy = word(POLICIES)
    most = Quantity(most=MOST_RINGS, default=10)
    over_age = Flag(default=False)

    def validate_compound(self, written: str | None) -> str | None:
        if written is None:
            return None
        if (compound := compound_called(written)) is None:
            raise serializers.ValidationError(f"must be one of {', '.join(COMPOUNDS)}", code="no_compound")
        return compound


class BandInBoreIn(Strict):
    """A band on its energiser, without the bore that it runs in."""

    groove_mm = measured(least_um=1)
    band_thickness_mm = measured(least_um=1, most_um=50_000)
    energiser = FreeRingIn(required=False, allow_null=True)
    energiser_section_mm = measured(least_um=1, most_um=50_000)
    measured_od_mm = measured(least_um=1)
    band_wear_radial_mm = measured(most_um=20_000)
    coldest_c = Number(least=-100, most=400, required=False, allow_null=True)


class BandIn(BandInBoreIn):
    """Does this band, on its energiser, still seal in this bore?"""

    bore_mm = measured(least_um=1)
    bore_wear_diametral_mm = measured(most_um=20_000)


class DiameterReadingIn(Strict):
    """One reading of a diameter: how deep, at which angle."""

    depth_mm = Millimetres(least_um=0, most_um=2_000_000)
    angle_deg = Number(least=-360, most=360)
    diameter_mm = measured(least_um=1)

    def validate_diameter_mm(self, told: dict[str, float] | None) -> dict[str, float]:
        if told is None:
            raise serializers.ValidationError("is required", code="required")
        return told


class ReadingsIn(Strict):
    """Diameters read at several depths and in several directions, and over which depths the seal travels."""

    nominal_mm = measured(least_um=1)
    readings = DiameterReadingIn(many=True, required=False)
    travel_from_mm = measured(most_um=2_000_000)
    travel_to_mm = measured(most_um=2_000_000)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        start, end = attrs.get("travel_from_mm"), attrs.get("travel_to_mm")
        if start and end and start["max"] >= end["min"]:
            raise serializers.ValidationError(
                {"travel_to_mm": ["must not be less than where the travel begins"]}, code="range"
            )
        return dict(super().validate(attrs))

    def validate_readings(self, told: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if len(told) > MOST_READINGS:
            raise serializers.ValidationError(f"may be at most {MOST_READINGS}", code="too_many")
        without = {str(n): {"diameter_mm": ["is required"]} for n, one in enumerate(told) if "diameter_mm" not in one}
        if without:
            raise serializers.ValidationError(without, code="required")
        return told


class BoreIn(ReadingsIn):
    """Is this bore worn, oval or tapered beyond its limit? `band`: what runs in it, where the maker gives no limit."""

    max_diameter_mm = measured(least_um=1)
    band = BandInBoreIn(required=False, allow_null=True)


class ShaftWearIn(ReadingsIn):
    """Is this shaft worn thin, bent or rough?"""

    min_diameter_mm = measured(least_um=1)
    runout_mm = measured(most_um=20_000)
    max_runout_mm = measured(most_um=20_000)
    surface = word(SURFACES)
