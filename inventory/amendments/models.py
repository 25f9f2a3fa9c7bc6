"""What somebody corrected in the description of a part, a lot or a drawer. Quantities are the ledger's matter."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, Q

from inventory.common.fields import among, text_limits
from inventory.people.models import Client, Person


class Subject(models.TextChoices):
    """What was corrected."""

    PART = "part"
    LOT = "lot"
    DRAWER = "drawer"


class Amendment(models.Model):
    """One field, before and after, with who and why. Never edited."""

    subject = models.CharField(max_length=8, choices=Subject.choices)
    # The subject's own id: the subjects live in rooms above this one.
    subject_id = models.BigIntegerField()
    field = models.CharField(max_length=40)
    before = models.CharField(max_length=200, blank=True)
    after = models.CharField(max_length=200, blank=True)
    reason = models.CharField(max_length=200)
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT)
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            among("amendment", "subject", Subject),
            CheckConstraint(
                condition=Q(person__isnull=False, client__isnull=True) | Q(person__isnull=True, client__isnull=False),
                name="amendment_has_one_actor",
            ),
            CheckConstraint(condition=~Q(before=models.F("after")), name="amendment_changes_something"),
            *text_limits("amendment", field=(1, 40), before=(0, 200), after=(0, 200), reason=(1, 200)),
        ]
        indexes: ClassVar = [models.Index(fields=["subject", "subject_id"], name="amendment_by_subject")]

    def __str__(self) -> str:
        return f"{self.subject} {self.subject_id}: {self.field}"
