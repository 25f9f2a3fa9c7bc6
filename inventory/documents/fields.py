"""Fields and serializers that take exactly what the contract says, and say what is wrong."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.common import formulas, quantities, writing

RANGE_SCHEMA = {
    "type": "object",
    "properties": {"min": {"type": "number"}, "max": {"type": "number"}, "nominal": {"type": "number"}},
    "required": ["min", "max"],
}


MOST_ENTRIES = 1_000  # of any list; what a list may really have is said where it is checked


class Several(serializers.ListSerializer[Any]):
    """A list of serializers, whose length is looked at before its entries are. It may be null where that is said, its
    entries never, although the framework tells them so too."""

    default_error_messages = {"max_length": "may have at most {max_length} entries; send the others by themselves"}

    def run_child_validation(self, data: Any) -> Any:
        if data is None:
            raise serializers.ValidationError("may not be null", code="null")
        return super().run_child_validation(data)


class Strict(serializers.Serializer[Any]):
    """A serializer that refuses fields it does not know: a misspelt field must not be silently ignored."""

    class Meta:
        list_serializer_class = Several

    @classmethod
    def many_init(cls, *args: Any, **options: Any) -> Any:
        """The list of these."""
        options.setdefault("max_length", MOST_ENTRIES)
        return super().many_init(*args, **options)

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, Mapping):
            unknown = [str(name) for name in data if name not in self.fields]
            if unknown:
                known = ", ".join(name for name, field in self.fields.items() if not field.read_only)
                text = f"there is no such field; the fields here are: {known}"
                raise serializers.ValidationError({name[:60]: [text] for name in unknown}, code="unknown_field")
        return super().to_internal_value(data)


@extend_schema_field({"type": "number"})
class Millimetres(serializers.Field[int, Any, float, Any]):
    """A length: a JSON number in millimetres, at most 3 decimals; whole micrometres inside."""

    def __init__(self, *, least_um: int = 1, most_um: int = 1_000_000, **options: Any) -> None:
        self.least_um, self.most_um = least_um, most_um
        super().__init__(**options)

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int | float):
            raise serializers.ValidationError("must be a number in millimetres, without a unit", code="not_a_number")
        try:
            um = quantities.um_from_mm(data)
        except ValueError as error:
            raise serializers.ValidationError(str(error), code="not_a_length") from None
        if not self.least_um <= um <= self.most_um:
            text = f"must lie within {self.least_um / 1000:g} and {self.most_um / 1000:g} mm; is the unit right?"
            raise serializers.ValidationError(text, code="out_of_range")
        return um

    def to_representation(self, value: int) -> float:
        return quantities.mm_from_um(value)


@extend_schema_field({"oneOf": [{"type": "number"}, RANGE_SCHEMA]})
class Measured(serializers.Field[dict[str, float], Any, Any, Any]):
    """A measured length: a number, or {"min", "max", "nominal"}; kept as that mapping in millimetres."""

    def __init__(self, *, least_um: int = 0, most_um: int = 1_000_000, **options: Any) -> None:
        self.length = Millimetres(least_um=least_um, most_um=most_um)
        self.least, self.most = least_um / 1000, most_um / 1000
        super().__init__(**options)

    def figure(self, data: Any) -> float:
        """One end, checked."""
        return self.length.to_internal_value(data) / 1000

    def to_internal_value(self, data: Any) -> dict[str, float]:
        if not isinstance(data, Mapping):
            value = self.figure(data)
            return {"min": value, "max": value, "nominal": value}
        unknown = sorted(set(data) - {"min", "max", "nominal"})
        if unknown or not {"min", "max"} <= set(data):
            raise serializers.ValidationError('must be a number or {"min", "max", "nominal"}', code="not_a_range")
        low, high = (self.figure(data[end]) for end in ("min", "max"))
        nominal = data.get("nominal")
        middle = (low + high) / 2 if nominal is None else self.figure(nominal)
        if not low <= middle <= high:
            raise serializers.ValidationError("min <= nominal <= max must hold", code="not_a_range")
        return {"min": low, "max": high, "nominal": middle}

    def to_representation(self, value: Any) -> Any:
        return value


@extend_schema_field({"type": "integer"})
class Quantity(serializers.Field[int, Any, int, Any]):
    """A whole number of the part's unit; 40.0 and "40" are refused like 40.5."""

    def __init__(self, *, least: int = 1, most: int = quantities.MOST_PIECES, **options: Any) -> None:
        self.least, self.most = least, most
        super().__init__(**options)

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int):
            raise serializers.ValidationError("must be a whole number", code="not_whole")
        if not self.least <= data <= self.most:
            text = f"must be a whole number from {self.least} to {self.most}"
            raise serializers.ValidationError(text, code="out_of_range")
        return data

    def to_representation(self, value: int) -> int:
        return value


@extend_schema_field({"type": "number"})
class Number(serializers.Field[float, Any, float, Any]):
    """A finite number between two limits."""

    def __init__(self, *, least: float, most: float, **options: Any) -> None:
        self.least, self.most = least, most
        super().__init__(**options)

    def to_internal_value(self, data: Any) -> float:
        if isinstance(data, bool) or not isinstance(data, int | float) or data != data:
            raise serializers.ValidationError("must be a number", code="not_a_number")
        if not self.least <= data <= self.most:
            text = f"must lie within {self.least:g} and {self.most:g}; is the unit right?"
            raise serializers.ValidationError(text, code="out_of_range")
        return float(data)

    def to_representation(self, value: float) -> float:
        return value


@extend_schema_field({"oneOf": [{"type": "number"}, RANGE_SCHEMA]})
class MeasuredNumber(Measured):
    """The same of a figure that is no length, between two limits in its own unit."""

    def __init__(self, *, least: float, most: float, **options: Any) -> None:
        super().__init__(**options)
        self.least, self.most = least, most
        self.number = Number(least=least, most=most)

    def figure(self, data: Any) -> float:
        return self.number.to_internal_value(data)


class Flag(serializers.BooleanField):
    """true or false, and no word or number that might mean it."""

    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, bool):
            raise serializers.ValidationError("must be true or false", code="not_a_flag")
        return data


class Name(serializers.CharField):
    """A text of visible characters on one line: numbers, codes and titles."""

    def __init__(self, *, max_length: int = 40, pattern: str = r"[^\x00-\x1f\x7f]++", **options: Any) -> None:
        super().__init__(max_length=max_length, **options)
        self.validators.append(_OneLine(pattern))

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            raise serializers.ValidationError("must be a text", code="not_a_text")
        text = writing.tidy(str(super().to_internal_value(data)))
        if refused := writing.refusal(text):
            raise serializers.ValidationError(refused, code="formula" if formulas.refusal(text) else "not_a_text")
        return text


class Code(Name):
    """A name that stands in an address with something behind it, so it has no slash."""

    def __init__(self, **options: Any) -> None:
        super().__init__(pattern=r"[^\x00-\x1f\x7f/]++", **options)


class _OneLine:
    def __init__(self, pattern: str) -> None:
        self.pattern = re.compile(pattern)

    def __call__(self, value: str) -> None:
        if value and not self.pattern.fullmatch(value):
            raise serializers.ValidationError("has characters that are not allowed here", code="not_a_text")
