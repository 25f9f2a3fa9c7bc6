"""What parts by size takes: a text as it is typed at the bench, or sizes by name. Lengths are in millimetres."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from compat.asked.fit import HANDS, measured, pitch, text, word
from inventory.common.sizes.measures import KINDS
from inventory.documents.fields import Millimetres, Number, Strict

MOST_TYPED = 300  # signs; how long a text may be to be read, the reader says


class Typed(serializers.CharField):
    """A text as it is typed, which is read and never kept: a minus or an equals sign may stand first."""

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            raise serializers.ValidationError("must be a text", code="not_a_text")
        return str(super().to_internal_value(data))


class ReadSizesIn(Strict):
    """Sizes as read; each at most once, and the thread or the AS568 size as written on the part or its bag."""

    od_mm = measured(least_um=1)
    id_mm = measured(least_um=1)
    bore_mm = measured(least_um=1)
    section_mm = measured(least_um=1)
    thickness_mm = measured(least_um=1)
    height_mm = measured(least_um=1)
    across_flats_mm = measured(least_um=1)
    pitch_mm = pitch()
    threads_per_inch = Number(least=4, most=80, required=False, allow_null=True)
    thread_mm = measured(least_um=1)
    thread = text()
    size = text(20)
    hand = word(HANDS)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        told = {name: value for name, value in attrs.items() if value not in (None, "")}
        if not set(told) - {"hand"}:
            raise serializers.ValidationError("needs one size at least", code="required")
        if {"pitch_mm", "threads_per_inch"} <= set(told):
            raise serializers.ValidationError(
                {"threads_per_inch": ["give this or the pitch in millimetres, not both"]}, code="two"
            )
        if "size" in told and set(told) - {"size"}:
            raise serializers.ValidationError({"size": ["says both sizes of a ring: leave the others out"]}, code="two")
        return told


class PartsBySizeIn(Strict):
    """Which part is this? Either `text`, or `sizes` with or without the kind."""

    text = Typed(max_length=MOST_TYPED, required=False, allow_null=True, trim_whitespace=True)
    kind = word(KINDS)
    sizes = ReadSizesIn(required=False, allow_null=True)
    tolerance_mm = Millimetres(least_um=1, most_um=10_000, required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        told = {name: value for name, value in attrs.items() if value is not None}
        if "text" in told and len(told) > 1:
            raise serializers.ValidationError(
                {"text": ["give this, or the kind, the sizes and how close they are"]}, code="two"
            )
        if not {"text", "sizes"} & set(told):
            raise serializers.ValidationError({"text": ["is required, or sizes"]}, code="required")
        return told
