"""Shims: the thin washers of a stack."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, F, Q

from inventory.catalogue.kinds.registry import Kind, Length, Word, register
from inventory.catalogue.models import Part
from inventory.common.fields import among, positive

FORMS = ("round", "notched", "slotted", "polygon", "ring")


class Shim(models.Model):
    """Nominal sizes of a shim part."""

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True)
    bore_um = models.PositiveIntegerField()
    od_um = models.PositiveIntegerField()
    thickness_um = models.PositiveIntegerField()
    form = models.CharField(max_length=8, default="round")

    class Meta:
        indexes: ClassVar = [models.Index(fields=["bore_um", "od_um", "thickness_um"], name="shim_by_size")]
        constraints: ClassVar = [
            *positive("shim", "bore_um", "thickness_um"),
            CheckConstraint(condition=Q(od_um__gt=F("bore_um")), name="shim_od_over_bore"),
            among("shim", "form", FORMS),
        ]

    def __str__(self) -> str:
        return f"shim {self.od_um}x{self.bore_um}x{self.thickness_um}"


register(
    Kind(
        code="shim",
        title="Shim",
        table=Shim,
        sizes=(
            Length("od_mm", "od_um", "outer diameter", most_um=200_000),
            Length("thickness_mm", "thickness_um", "thickness", most_um=5_000),
            Length("bore_mm", "bore_um", "bore", most_um=100_000),
            Word("form", "form", "outline", choices=FORMS, default="round"),
        ),
        below=(("bore_um", "od_um"),),
    )
)
