"""Pistons."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, F, Q

from inventory.catalogue.kinds.registry import Kind, Length, register
from inventory.catalogue.models import Part
from inventory.common.fields import positive


class Piston(models.Model):
    """Nominal sizes of a piston; its ports and lands belong to the damper model that uses it."""

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True)
    outer_um = models.PositiveIntegerField()
    bore_um = models.PositiveIntegerField()
    height_um = models.PositiveIntegerField()

    class Meta:
        constraints: ClassVar = [
            *positive("piston", "bore_um", "height_um"),
            CheckConstraint(condition=Q(outer_um__gt=F("bore_um")), name="piston_outer_over_bore"),
        ]

    def __str__(self) -> str:
        return f"piston {self.outer_um}x{self.bore_um}"


register(
    Kind(
        code="piston",
        title="Piston",
        table=Piston,
        sizes=(
            Length("outer_mm", "outer_um", "outer diameter"),
            Length("bore_mm", "bore_um", "bore"),
            Length("height_mm", "height_um", "height between its faces", most_um=200_000),
        ),
        below=(("bore_um", "outer_um"),),
    )
)
