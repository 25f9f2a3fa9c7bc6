"""Fluids and what is used up with them: oil, locking compound, grease. Counted in millilitres or grams."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from inventory.catalogue.kinds.registry import Kind, Word, register
from inventory.catalogue.models import Part, Unit
from inventory.common.fields import among, text_limits

USES = ("damper_oil", "locking_compound", "grease", "cleaner", "gas", "abrasive", "other")
BASES = ("mineral_oil", "synthetic_oil", "glycol", "other", "unknown")
GRADE = r"[0-9A-Za-z][0-9A-Za-z .,/+-]{0,29}"


class Fluid(models.Model):
    """What a fluid is for and what it is made of: rubber bears one base and not another."""

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True)
    use = models.CharField(max_length=16, db_index=True)
    base = models.CharField(max_length=13, default="unknown")
    grade = models.CharField(max_length=30, default="unknown")

    class Meta:
        constraints: ClassVar = [
            among("fluid", "use", USES),
            among("fluid", "base", BASES),
            *text_limits("fluid", grade=(1, 30)),
        ]

    def __str__(self) -> str:
        return f"{self.use} {self.grade}"


register(
    Kind(
        code="fluid",
        title="Fluid or consumable",
        table=Fluid,
        sizes=(
            Word("use", "use", "what it is for", choices=USES),
            Word("base", "base", "what it is made of", choices=BASES, default="unknown"),
            Word("grade", "grade", "a short grade as in ISO VG 15, or unknown", pattern=GRADE, default="unknown"),
        ),
        units=(Unit.MILLILITRE, Unit.GRAM),
    )
)
