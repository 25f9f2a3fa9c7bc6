"""What the inspection sheet takes: the readings of a stripped damper, each part by itself."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from compat.asked.fit import measured, spread, text
from compat.asked.seals import BandInBoreIn, BoreIn, FreeRingIn, ServiceIn, ShaftWearIn
from compat.asking.requests import serializer_of
from compat.questions.nut_on_shaft import Nut, Shaft
from inventory.api.fields import Name, Strict


class BoreReadIn(BoreIn):
    """The body's bore; the band in it is told by itself."""

    band = None  # type: ignore[assignment]  # a serializer drops a field so


class BandReadIn(BandInBoreIn):
    """The band on its energiser; its width along the piston tells which new one would go on. How cold it becomes, the
    oil tells."""

    coldest_c = None  # type: ignore[assignment]  # a serializer drops a field so

    width_mm = measured(least_um=1, most_um=200_000)


class SealReadIn(Strict):
    """The ring round the shaft in the seal head: which it should be, its section as read, its groove, and the
    head's hole beside that, or the gap that is left there in diameter."""

    ring = FreeRingIn(required=False, allow_null=True)
    section_mm = measured(least_um=1, most_um=50_000)
    groove_mm = measured(least_um=1)
    width_mm = measured(least_um=1)
    land_mm = measured(least_um=1)
    extrusion_gap_mm = measured(most_um=20_000)
    compound = text(40)
    hardness_shore_a = spread(least=10, most=100)
    motion = serializers.ChoiceField(choices=("static", "dynamic"), default="dynamic")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs.get("land_mm") and attrs.get("extrusion_gap_mm"):
            raise serializers.ValidationError(
                {"extrusion_gap_mm": ["give this or the diameter beside the groove, not both"]}, code="two"
            )
        return attrs


class JointReadIn(Strict):
    """The shaft's thread and the nut that was on it."""

    shaft = serializer_of(Shaft)(required=False)
    nut = serializer_of(Nut)(required=False)


class InspectionIn(Strict):
    """The readings of a stripped damper. A damper model tells what is not told here; it is no reading of this one."""

    damper = Name(required=False, allow_null=True)
    bore = BoreReadIn(required=False)
    band = BandReadIn(required=False)
    shaft = ShaftWearIn(required=False)
    seal = SealReadIn(required=False)
    joint = JointReadIn(required=False)
    oil = ServiceIn(required=False)
