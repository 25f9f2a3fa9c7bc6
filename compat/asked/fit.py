"""What the fit questions take. Lengths are in millimetres; a measured one may be a number or a range."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inventory.api.fields import Measured, Name, Number

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
