"""Random bodies of a serializer's own fields with odd values: most pass the check, few make sense."""

from __future__ import annotations

import random
from typing import Any

from rest_framework import serializers

from inventory.documents.fields import Flag, Measured, MeasuredNumber, Millimetres, Number, Quantity

LENGTHS = (0, 0.001, 0.01, 0.05, 0.1, 0.2, 0.3, 1, 1.25, 2.62, 3.53, 5, 9.99, 11.97, 12, 12.7, 20, 26, 30, 46, 100, 500)
WORDS = (
    *(
        "M12x1.25",
        "M12",
        "M10x1",
        "1/2-20 UNF",
        "1/2-20",
        "12x1.25",
        "M12x9",
        "6g",
        "6H",
        "2A",
        "8.8",
        "10.9",
        "8",
        "10",
    ),
    *(
        "222",
        "AS568-222",
        "999",
        "H7",
        "H8",
        "f7",
        "z9",
        "2026-Q3",
        "2015-Q1",
        "2099-Q4",
        "NBR",
        "FKM",
        "HA-46",
        "none",
    ),
    *("", "-", "Ø", "\u0663", "x" * 60, "NaN", "0", "main", "right"),
)
WRONG: tuple[Any, ...] = (None, -1, "12", True, [], {}, {"min": 1}, 1e300, "rubbish", [[]], 10**30)
WRONG_PART = 0.01


def rubbish(field: Any, draw: random.Random) -> Any:
    """A value for a field: nearly always one of its own kind."""
    if draw.random() < WRONG_PART:
        return draw.choice(WRONG)
    match field:
        case serializers.ListSerializer():
            return [rubbish(field.child, draw) for _ in range(draw.choice((0, 1, 1, 2, 3, 4, 6)))]
        case serializers.Serializer():
            told = [name for name, one in field.fields.items() if one.required or draw.random() < 0.7]
            return {name: rubbish(field.fields[name], draw) for name in told}
        case serializers.ListField():
            return sorted((rubbish(field.child, draw) for _ in range(draw.randint(1, 5))), key=str)
        case Measured():
            ends = sorted(draw.choice(LENGTHS) for _ in range(2))
            near = draw.choice(LENGTHS)
            return draw.choice((near, near, {"min": ends[0], "max": ends[1]}, {"min": near, "max": near + 0.02}, None))
        case Millimetres():
            return draw.choice(LENGTHS)
        case Quantity():
            return draw.choice((1, 1, 2, 3, 50, field.most))
        case MeasuredNumber():
            return draw.choice((1, 2.5, 20, 100, {"min": 1, "max": 20}, None))
        case Number():
            least, most = max(field.least, -1000), min(field.most, 10_000)
            return draw.choice((least, most, (least + most) / 2, draw.uniform(least, most)))
        case Flag():
            return draw.random() < 0.5
        case serializers.ChoiceField():
            return draw.choice(list(field.choices))
        case _:
            return draw.choice(WORDS)
