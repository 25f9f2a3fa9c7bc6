"""Parts: what can lie in a drawer. The sizes of a part stand in the table of its kind."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from inventory.common.fields import among, text_limits


class Unit(models.TextChoices):
    """What a part is counted in; quantities are whole numbers of it."""

    PIECE = "piece"
    MILLILITRE = "ml"
    GRAM = "g"


class Supplier(models.Model):
    """Where lots come from."""

    name = models.CharField(max_length=80, unique=True)

    class Meta:
        constraints: ClassVar = text_limits("supplier", name=(1, 80))

    def __str__(self) -> str:
        return self.name


class Part(models.Model):
    """One part number. Retired, never deleted."""

    number = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=20, db_index=True)
    name = models.CharField(max_length=120)
    unit = models.CharField(max_length=8, choices=Unit.choices, default=Unit.PIECE)
    created_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            among("part", "unit", Unit),
            *text_limits("part", number=(1, 40), kind=(1, 20), name=(1, 120)),
        ]

    def __str__(self) -> str:
        return self.number
