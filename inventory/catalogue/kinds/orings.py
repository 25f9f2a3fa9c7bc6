"""O-rings: by their dash number where they have one, always by what they measure."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, F, Q

from inventory.catalogue.kinds.registry import Kind, Length, Word, register
from inventory.catalogue.models import Part
from inventory.common.fields import among, positive, text_limits

COMPOUNDS = ("NBR", "HNBR", "FKM", "EPDM", "VMQ", "PU", "unknown")


class ORing(models.Model):
    """Nominal sizes of an O-ring; the tolerances are plus-minus. When a lot of it was cured, the lot says."""

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True)
    size = models.CharField(max_length=4, default="none", db_index=True)
    ring_id_um = models.PositiveIntegerField()
    section_um = models.PositiveIntegerField()
    ring_id_tolerance_um = models.PositiveIntegerField(null=True, blank=True)
    section_tolerance_um = models.PositiveIntegerField(null=True, blank=True)
    compound = models.CharField(max_length=7, default="unknown")
    hardness = models.CharField(max_length=7, default="unknown")

    class Meta:
        indexes: ClassVar = [models.Index(fields=["section_um", "ring_id_um"], name="oring_by_size")]
        constraints: ClassVar = [
            *positive("oring", "ring_id_um", "section_um", "ring_id_tolerance_um", "section_tolerance_um"),
            CheckConstraint(
                condition=Q(ring_id_tolerance_um=None) | Q(ring_id_tolerance_um__lt=F("ring_id_um")),
                name="oring_ring_id_over_tolerance",
            ),
            CheckConstraint(
                condition=Q(section_tolerance_um=None) | Q(section_tolerance_um__lt=F("section_um")),
                name="oring_section_over_tolerance",
            ),
            *text_limits("oring", size=(3, 4), hardness=(2, 7)),
            among("oring", "compound", COMPOUNDS),
        ]

    def __str__(self) -> str:
        return f"o-ring {self.ring_id_um}x{self.section_um}"


register(
    Kind(
        code="oring",
        title="O-ring",
        table=ORing,
        sizes=(
            Word(
                "size",
                "size",
                "the three digits of an AS568 or ISO 3601-1 size as in 222, or none",
                pattern=r"[0-9]{3}|none",
                default="none",
            ),
            Length("ring_id_mm", "ring_id_um", "inner diameter of the ring"),
            Length("section_mm", "section_um", "section", most_um=20_000),
            Length(
                "ring_id_tolerance_mm",
                "ring_id_tolerance_um",
                "inner diameter, plus or minus",
                required=False,
                most_um=10_000,
            ),
            Length(
                "section_tolerance_mm", "section_tolerance_um", "section, plus or minus", required=False, most_um=2_000
            ),
            Word("compound", "compound", "rubber", choices=COMPOUNDS, default="unknown"),
            Word(
                "hardness",
                "hardness",
                "a hardness in Shore A as in 70, or unknown",
                pattern=r"[1-9][0-9]|unknown",
                default="unknown",
            ),
        ),
        below=(("ring_id_tolerance_um", "ring_id_um"), ("section_tolerance_um", "section_um")),
        ages_by="compound",
    )
)
