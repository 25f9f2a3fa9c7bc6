"""Jobs and the plans made for them; the links from both to the holds."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from inventory.common.fields import text_limits
from inventory.holds.models import Hold
from inventory.people.models import Client, Person


class Job(models.Model):
    """One damper on the bench."""

    number = models.CharField(max_length=40, unique=True)
    title = models.CharField(max_length=120)
    created_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = text_limits("job", number=(1, 40), title=(1, 120))

    def __str__(self) -> str:
        return self.number


class Plan(models.Model):
    """An answer to "build this stack" as it was given. Never edited: what was asked, what was found, which engine."""

    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="plans")
    request = models.JSONField()
    answer = models.JSONField()
    # (balance id, quantity) of every piece the answer shows: what a hold of this plan claims.
    claims = models.JSONField()
    verdict = models.CharField(max_length=12)
    complete = models.BooleanField()
    engine_version = models.CharField(max_length=20)
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT)
    created_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = text_limits("plan", verdict=(1, 12), engine_version=(1, 20))
        # Everybody's start page asks for the newest few of theirs.
        indexes: ClassVar = [models.Index(fields=["person", "-id"], name="plan_newest_of_person")]

    def __str__(self) -> str:
        return f"plan {self.pk}"


class JobHold(models.Model):
    """This hold is for this job."""

    hold = models.OneToOneField(Hold, on_delete=models.PROTECT, primary_key=True)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="holds")

    def __str__(self) -> str:
        return f"{self.hold_id} for {self.job_id}"


class PlanHold(models.Model):
    """This hold claims what this plan shows."""

    hold = models.OneToOneField(Hold, on_delete=models.PROTECT, primary_key=True)
    plan = models.ForeignKey(Plan, on_delete=models.PROTECT, related_name="holds")

    def __str__(self) -> str:
        return f"{self.hold_id} of {self.plan_id}"
