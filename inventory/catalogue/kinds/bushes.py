"""Bushes: the sleeves that a shaft slides in."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, F, Q

from inventory.catalogue.kinds.registry import Kind, Length, Word, register
from inventory.catalogue.models import Part
from inventory.common.fields import positive, text_limits

# ISO 286-1: capital letters for what is inside, small ones for what is outside, then the grade, 01 and 0 to 18.
_GRADE = r"(01|[0-9]|1[0-8])"
INNER_CLASS = rf"([A-HJKMNPR-VXYZ]|CD|EF|FG|JS|Z[ABC]){_GRADE}|unknown"
OUTER_CLASS = rf"([a-hjkmnpr-vxyz]|cd|ef|fg|js|z[abc]){_GRADE}|unknown"


class Bush(models.Model):
    """Nominal sizes of a bush, and the tolerance classes that it was made to."""

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True)
    inner_um = models.PositiveIntegerField()
    outer_um = models.PositiveIntegerField()
    length_um = models.PositiveIntegerField()
    inner_class = models.CharField(max_length=7, default="unknown")
    outer_class = models.CharField(max_length=7, default="unknown")

    class Meta:
        indexes: ClassVar = [models.Index(fields=["inner_um", "outer_um", "length_um"], name="bush_by_size")]
        constraints: ClassVar = [
            *positive("bush", "inner_um", "length_um"),
            CheckConstraint(condition=Q(outer_um__gt=F("inner_um")), name="bush_outer_over_inner"),
            *text_limits("bush", inner_class=(2, 7), outer_class=(2, 7)),
        ]

    def __str__(self) -> str:
        return f"bush {self.inner_um}x{self.outer_um}x{self.length_um}"


register(
    Kind(
        code="bush",
        title="Bush",
        table=Bush,
        sizes=(
            Length("inner_mm", "inner_um", "inner diameter"),
            Length("outer_mm", "outer_um", "outer diameter"),
            Length("length_mm", "length_um", "length", most_um=200_000),
            Word(
                "inner_class",
                "inner_class",
                "an ISO 286 class of a hole as in H8, or unknown",
                pattern=INNER_CLASS,
                default="unknown",
            ),
            Word(
                "outer_class",
                "outer_class",
                "an ISO 286 class of a shaft as in g6, or unknown",
                pattern=OUTER_CLASS,
                default="unknown",
            ),
        ),
        below=(("inner_um", "outer_um"),),
    )
)
