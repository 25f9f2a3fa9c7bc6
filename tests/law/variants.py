"""Requests that are spoiled, and the same requests with readings left out or made vaguer."""

from __future__ import annotations

import random
from typing import Any

from rest_framework import serializers

from inventory.documents.fields import Flag, Measured
from tests.law.fields import Body, Leaf, Path, dropped, is_number, leaves, placed, value_at

FACTORS = (0.2, 0.5, 0.8, 0.9, 0.95, 0.98, 0.99, 0.997, 1.003, 1.01, 1.02, 1.05, 1.1, 1.25, 2.0, 5.0)
GROWTH = (0.001, 0.01, 0.05, 0.2, 0.6, 3.0)  # by which a reading is made vaguer, as a part of it


def spoiled(draw: random.Random, form: serializers.Serializer[Any], body: Body) -> tuple[Body, Path] | None:
    """The body with one field changed to another value, and which; None where there was nothing to change."""
    path, field = draw.choice(list(leaves(form, body)))
    told = value_at(body, path)
    if isinstance(field, Flag):
        return placed(body, path, not told), path
    if isinstance(field, serializers.ChoiceField):
        others = [word for word in field.choices if word != told]
        return (placed(body, path, draw.choice(others)), path) if others else None
    if not is_number(field) or told is None:
        return None
    factor = draw.choice(FACTORS)
    if isinstance(told, dict):
        return placed(body, path, {end: round(value * factor, 3) for end, value in told.items()}), path
    return placed(body, path, round(told * factor, 3)), path


def vaguer(
    draw: random.Random, form: serializers.Serializer[Any], body: Body, spoiled_at: Path
) -> tuple[Body, list[tuple[str, Path]]]:
    """The body with one or two fields left out or widened, the spoiled one among them more often than not; and what
    was done where."""
    done: list[tuple[str, Path]] = []
    for turn in range(draw.choice((1, 1, 2))):
        told = list(leaves(form, body))
        near = [leaf for leaf in told if leaf[0] == spoiled_at[: len(leaf[0])]]
        path, field = draw.choice(near if near and turn == 0 and draw.random() < 0.6 else told)
        how, body = _one(draw, (path, field), body)
        done.append((how, path))
    return body, done


def _one(draw: random.Random, leaf: Leaf, body: Body) -> tuple[str, Body]:
    path, field = leaf
    told = value_at(body, path)
    if isinstance(field, Measured) and told is not None and draw.random() < 0.6:
        return "widened", placed(body, path, _wider(draw, field, told))
    return "left out", dropped(body, path)


def _wider(draw: random.Random, field: Measured, told: Any) -> Any:
    ends = told if isinstance(told, dict) else {"min": told, "max": told}
    middle = (ends["min"] + ends["max"]) / 2
    least, most = field.least, field.most
    low = max(least, ends["min"] - draw.choice((0, *GROWTH)) * middle)
    high = min(most, ends["max"] + draw.choice(GROWTH) * middle)
    return {"min": round(min(low, ends["min"]), 3), "max": round(max(high, ends["max"]), 3)}
