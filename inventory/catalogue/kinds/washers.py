"""Washers, base plates and sleeves: flat or tubular parts on the shaft that are not shims."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, F, Q

from inventory.catalogue.kinds.registry import Kind, Length, Word, register
from inventory.catalogue.models import Part
from inventory.common.fields import among, positive

ROLES = ("washer", "base_plate", "sleeve")


class Washer(models.Model):
    """Nominal sizes of a washer, base plate or sleeve. The contact diameter is where shims lean on a base plate."""

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True)
    role = models.CharField(max_length=10, default="washer")
    inner_um = models.PositiveIntegerField()
    outer_um = models.PositiveIntegerField()
    height_um = models.PositiveIntegerField()
    contact_diameter_um = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            *positive("washer", "inner_um", "height_um"),
            CheckConstraint(condition=Q(outer_um__gt=F("inner_um")), name="washer_outer_over_inner"),
            among("washer", "role", ROLES),
        ]

    def __str__(self) -> str:
        return f"{self.role} {self.outer_um}x{self.inner_um}x{self.height_um}"


register(
    Kind(
        code="washer",
        title="Washer or base plate",
        table=Washer,
        sizes=(
            Word("role", "role", "what it is for", choices=ROLES, default="washer"),
            Length("inner_mm", "inner_um", "inner diameter"),
            Length("outer_mm", "outer_um", "outer diameter"),
            Length("height_mm", "height_um", "height", most_um=200_000),
            Length("contact_diameter_mm", "contact_diameter_um", "contact diameter", required=False),
        ),
        below=(("inner_um", "outer_um"), ("inner_um", "contact_diameter_um")),
    )
)
