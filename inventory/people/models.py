"""Who acts: people who sign in, and programs that hold a key."""

from __future__ import annotations

from typing import ClassVar

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.db import models

from inventory.common import writing
from inventory.common.fields import among, text_limits
from inventory.people.roles import Role


class Person(AbstractUser):
    """Somebody of the workshop. The role says what they may do."""

    role = models.CharField(max_length=20, choices=Role.choices, default=Role.CLERK)
    # Hashed like a password. It only opens a workshop computer that a password has opened before.
    pin = models.CharField(max_length=128, blank=True, default="", db_default="")

    class Meta(AbstractUser.Meta):
        constraints: ClassVar = [
            among("person", "role", [role for role in Role if role != Role.STOREFRONT]),
            *text_limits("person", pin=(0, 128)),
        ]

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    def clean(self) -> None:
        """What the forms of the admin pages ask: names as anywhere else."""
        super().clean()
        refused = {}
        for field in ("username", "first_name", "last_name"):
            text = writing.tidy(str(getattr(self, field)))
            setattr(self, field, text)
            if why := writing.refusal(text):
                refused[field] = f"It {why}."
        if refused:
            raise ValidationError(refused)


class Client(models.Model):
    """A program that uses the API with keys of its own; one role each."""

    name = models.CharField(max_length=80, unique=True)
    role = models.CharField(max_length=20, choices=Role.choices)
    created_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [among("client", "role", Role), *text_limits("client", name=(1, 80))]

    def __str__(self) -> str:
        return self.name


class ApiKey(models.Model):
    """A key: only its SHA-256 is kept (the key has 256 random bits, so a slow hash would protect nothing more)."""

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="keys")
    digest = models.CharField(max_length=64, unique=True)
    hint = models.CharField(max_length=8)
    created_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = text_limits("apikey", digest=(64, 64), hint=(4, 8))

    def __str__(self) -> str:
        return f"{self.client} ...{self.hint}"


class Brake(models.Model):
    """How often in a row a secret was guessed wrong, by what it is the secret of (inventory/people/brakes.py)."""

    key = models.CharField(max_length=160, unique=True)
    wrong = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = text_limits("brake", key=(1, 160))

    def __str__(self) -> str:
        return f"{self.key}: {self.wrong}"


class Workplace(models.Model):
    """A shared computer that a password has opened: when it was last used, and whether somebody locked it.

    A row of its own, because a session is written as a whole: a page that is still under way would undo the lock.
    """

    seen_at = models.DateTimeField(db_index=True)
    locked_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"workplace {self.pk}"
