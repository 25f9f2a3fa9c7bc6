"""Bands: the rings that a piston wears, and that slide in the body."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, F, Q

from inventory.catalogue.kinds.registry import Kind, Length, Word, register
from inventory.catalogue.models import Part
from inventory.common.fields import among, positive

MATERIALS = ("PTFE", "PTFE_bronze", "PTFE_carbon", "unknown")


class Band(models.Model):
    """Nominal sizes of a band; its thickness is radial."""

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True)
    for_bore_um = models.PositiveIntegerField(db_index=True)
    width_um = models.PositiveIntegerField()
    band_thickness_um = models.PositiveIntegerField()
    material = models.CharField(max_length=11, default="unknown")

    class Meta:
        constraints: ClassVar = [
            *positive("band", "width_um", "band_thickness_um"),
            CheckConstraint(condition=Q(for_bore_um__gt=F("band_thickness_um")), name="band_bore_over_thickness"),
            among("band", "material", MATERIALS),
        ]

    def __str__(self) -> str:
        return f"band {self.for_bore_um}x{self.width_um}x{self.band_thickness_um}"


register(
    Kind(
        code="band",
        title="Band (piston ring)",
        table=Band,
        sizes=(
            Length("for_bore_mm", "for_bore_um", "bore of the body it is for"),
            Length("width_mm", "width_um", "width along the piston", most_um=200_000),
            Length("band_thickness_mm", "band_thickness_um", "radial thickness", most_um=20_000),
            Word("material", "material", "material", choices=MATERIALS, default="unknown"),
        ),
        below=(("band_thickness_um", "for_bore_um"),),
    )
)
