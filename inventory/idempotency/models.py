"""Remembered answers of commands, one for each key of a client or of a person."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, Q

from inventory.common.fields import text_limits
from inventory.people.models import Client, Person


class RememberedAnswer(models.Model):
    """The first answer to a command. A success is written in the command's own transaction, so it exists exactly when
    the command took effect; `status` is empty only while that transaction runs. A refusal (a status from 400) is
    written before it is told; its body holds the code, errors and data of the DomainError."""

    client = models.ForeignKey(Client, null=True, on_delete=models.CASCADE)
    person = models.ForeignKey(Person, null=True, on_delete=models.CASCADE)
    method = models.CharField(max_length=8)
    path = models.CharField(max_length=300)
    key = models.CharField(max_length=200)
    body_digest = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField(null=True)
    body = models.JSONField(null=True)
    created_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["client", "method", "path", "key"], name="remembered_once"),
            # The key of a page's form is made by the server and belongs to the form: whoever sends it, it acts once.
            models.UniqueConstraint(
                fields=["method", "path", "key"], name="remembered_once_of_page", condition=Q(person__isnull=False)
            ),
            CheckConstraint(
                condition=Q(person__isnull=False, client__isnull=True) | Q(person__isnull=True, client__isnull=False),
                name="remembered_has_one_actor",
            ),
            *text_limits("remembered", method=(3, 8), path=(1, 300), key=(1, 200), body_digest=(64, 64)),
        ]

    def __str__(self) -> str:
        return f"{self.method} {self.path} {self.key}"
