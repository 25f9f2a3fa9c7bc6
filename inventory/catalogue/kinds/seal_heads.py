"""Seal heads: what closes the body and guides the shaft."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, F, Q

from inventory.catalogue.kinds.registry import Kind, Length, register
from inventory.catalogue.models import Part
from inventory.common.fields import positive


class SealHead(models.Model):
    """Nominal sizes of a seal head."""

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True)
    shaft_um = models.PositiveIntegerField()
    body_um = models.PositiveIntegerField()
    height_um = models.PositiveIntegerField()

    class Meta:
        indexes: ClassVar = [models.Index(fields=["shaft_um", "body_um"], name="seal_head_by_size")]
        constraints: ClassVar = [
            *positive("seal_head", "shaft_um", "height_um"),
            CheckConstraint(condition=Q(body_um__gt=F("shaft_um")), name="seal_head_body_over_shaft"),
        ]

    def __str__(self) -> str:
        return f"seal head {self.shaft_um}x{self.body_um}x{self.height_um}"


register(
    Kind(
        code="seal_head",
        title="Seal head",
        table=SealHead,
        sizes=(
            Length("shaft_mm", "shaft_um", "diameter of the shaft it is for"),
            Length("body_mm", "body_um", "diameter of the body it sits in"),
            Length("height_mm", "height_um", "height", most_um=200_000),
        ),
        below=(("shaft_um", "body_um"),),
    )
)
