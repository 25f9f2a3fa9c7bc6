"""Nuts. The pitch is always written out: a nut of nearly the right pitch is what hurts people."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from inventory.catalogue.kinds.registry import Kind, Length, Word, register
from inventory.catalogue.models import Part
from inventory.common.fields import among, positive, text_limits

HANDS = ("right", "left")
LOCKINGS = ("none", "prevailing", "staked", "compound")
# Metric with its pitch, or unified with its threads per inch.
THREAD = r"M\d++(\.\d++)?x\d++(\.\d++)?|(\d++|\d++/\d++|\d++ \d++/\d++)-\d++ UN(C|F|EF|S)?"


class Nut(models.Model):
    """Nominal sizes of a nut part."""

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True)
    thread = models.CharField(max_length=30, db_index=True)
    tolerance_class = models.CharField(max_length=10, default="unknown")
    hand = models.CharField(max_length=5, default="right")
    height_um = models.PositiveIntegerField()
    # Of one face, along the axis; and of what is no thread, such as a collar or an insert.
    chamfer_um = models.PositiveIntegerField(null=True, blank=True)
    unthreaded_um = models.PositiveIntegerField(null=True, blank=True)
    across_flats_um = models.PositiveIntegerField(null=True, blank=True)
    locking = models.CharField(max_length=10, default="none")
    property_class = models.CharField(max_length=10, default="unknown")

    class Meta:
        constraints: ClassVar = [
            *positive("nut", "height_um"),
            *text_limits("nut", thread=(1, 30), tolerance_class=(1, 10), property_class=(1, 10)),
            among("nut", "hand", HANDS),
            among("nut", "locking", LOCKINGS),
        ]

    def __str__(self) -> str:
        return f"nut {self.thread}"


register(
    Kind(
        code="nut",
        title="Nut",
        table=Nut,
        sizes=(
            Word("thread", "thread", "a thread with its pitch, as in M12x1.25 or 1/2-20 UNF", pattern=THREAD),
            Word(
                "tolerance_class",
                "tolerance_class",
                "a tolerance class as in 6H, or unknown",
                pattern=r"\d?[0-9A-Za-z]{1,9}",
                default="unknown",
            ),
            Word("hand", "hand", "hand of the thread", choices=HANDS, default="right"),
            Length("height_mm", "height_um", "height", most_um=200_000),
            Length(
                "chamfer_mm", "chamfer_um", "depth of one face's chamfer", required=False, most_um=20_000, zero=True
            ),
            Length(
                "unthreaded_mm", "unthreaded_um", "height without thread", required=False, most_um=100_000, zero=True
            ),
            Length("across_flats_mm", "across_flats_um", "width across flats", required=False, most_um=200_000),
            Word("locking", "locking", "how it locks", choices=LOCKINGS, default="none"),
            Word(
                "property_class",
                "property_class",
                "a property class as in 8 or 10, or unknown",
                pattern=r"[0-9A-Za-z.]{1,10}",
                default="unknown",
            ),
        ),
        below=(("chamfer_um", "height_um"), ("unthreaded_um", "height_um")),
    )
)
