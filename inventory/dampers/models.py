"""Damper models, the stacks saved for them, and what was measured on their pistons. Nothing saved is lost."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from inventory.common.fields import positive, text_limits
from inventory.people.models import Client, Person


class DamperModel(models.Model):
    """One model of damper. Its sizes stand in the latest revision. Retired, never deleted."""

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    revision = models.PositiveIntegerField(default=0)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = text_limits("dampermodel", code=(1, 40), name=(1, 120))

    def __str__(self) -> str:
        return self.code


class DamperRevision(models.Model):
    """The document of a damper model - valves, sides, shaft end - as somebody saved it. Never edited.

    The document has the form of the API (millimetres by name), cleaned; inventory/dampers/document.py reads and writes
    it, docs/reference/damper-document.md describes it.
    """

    damper = models.ForeignKey(DamperModel, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    document = models.JSONField()
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT)
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["damper", "number"], name="damper_revision_once"),
            *positive("damperrevision", "number"),
        ]

    def __str__(self) -> str:
        return f"{self.damper_id} r{self.number}"


class SavedStack(models.Model):
    """A named pair of stacks for one valve of a damper model."""

    damper = models.ForeignKey(DamperModel, on_delete=models.PROTECT, related_name="saved_stacks")
    valve = models.CharField(max_length=20)
    name = models.CharField(max_length=80)
    revision = models.PositiveIntegerField(default=0)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["damper", "name"], name="saved_stack_name_once"),
            *text_limits("savedstack", valve=(1, 20), name=(1, 80)),
        ]

    def __str__(self) -> str:
        return self.name


class StackRevision(models.Model):
    """The stacks as saved, `{"compression": [line], "rebound": [line]}`, face first. Never edited."""

    stack = models.ForeignKey(SavedStack, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    stacks = models.JSONField()
    note = models.CharField(max_length=400, blank=True)
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT)
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["stack", "number"], name="stack_revision_once"),
            *text_limits("stackrevision", note=(0, 400)),
        ]

    def __str__(self) -> str:
        return f"{self.stack_id} r{self.number}"


class Calibration(models.Model):
    """What a curve of force against lift, measured on one side of a valve, told of its piston. Never edited.

    measured: as it was sent, the thicknesses that were counted, and the sizes that the model had. fit: the numbers that
    explain it, what they leave open, and the version of the engine. inventory/dampers/document_calibration.py reads and
    writes both. Withdrawn, never deleted.
    """

    damper = models.ForeignKey(DamperModel, on_delete=models.PROTECT, related_name="calibrations")
    valve = models.CharField(max_length=20)
    side = models.CharField(max_length=20)
    measured = models.JSONField()
    fit = models.JSONField()
    note = models.CharField(max_length=400, blank=True)
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT)
    at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    withdrawn_client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = text_limits("calibration", valve=(1, 20), side=(1, 20), note=(0, 400))
        indexes: ClassVar = [models.Index(fields=["damper", "at"], name="calibration_newest")]

    def __str__(self) -> str:
        return f"{self.damper_id} {self.valve} {self.side}"

    @property
    def leaves_open(self) -> float:
        """Percent of the force that the fit leaves open: its worst point, and the thickness that was measured."""
        return float(self.fit["worst_percent"] + self.fit["open_percent"])
