"""Small helpers for models: text lengths are CHECKs, because SQLite ignores varchar limits."""

from __future__ import annotations

from typing import Any

from django.db.models import BaseConstraint, CheckConstraint, Q


def text_limits(table: str, **limits: tuple[int, int]) -> list[BaseConstraint]:
    """A CHECK for each field: its length lies between the two numbers, both included."""
    return [
        CheckConstraint(
            condition=Q(**{f"{field}__length__gte": least, f"{field}__length__lte": most}),
            name=f"{table}_{field}_length",
        )
        for field, (least, most) in limits.items()
    ]


def among(table: str, field: str, values: Any) -> CheckConstraint:
    """A CHECK that the field holds one of the values."""
    return CheckConstraint(condition=Q(**{f"{field}__in": list(values)}), name=f"{table}_{field}_known")


def positive(table: str, *fields: str) -> list[BaseConstraint]:
    """A CHECK for each field that it is above zero."""
    return [CheckConstraint(condition=Q(**{f"{field}__gt": 0}), name=f"{table}_{field}_positive") for field in fields]
