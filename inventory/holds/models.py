"""Holds: parts set aside for a job or for a web order."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, F, Q

from inventory.common.fields import among
from inventory.people.models import Client, Person
from inventory.stock.models import Balance


class State(models.TextChoices):
    """Where a hold stands. `open` lapses at its time (a job's hold has none); `confirmed` does not; `short` lost
    pieces to a count (and still lapses if it has an end); the last three hold nothing any more."""

    OPEN = "open"
    CONFIRMED = "confirmed"
    SHORT = "short"
    RELEASED = "released"
    LAPSED = "lapsed"
    USED = "used"


HOLDING = (State.OPEN, State.CONFIRMED, State.SHORT)
# States in which a hold that has an end lapses at it.
LAPSING = (State.OPEN, State.SHORT)


def over_at(now: datetime, hold: str = "") -> Q:
    """Holds whose time has passed although nobody has swept them yet; `hold` is the lookup path that leads to them."""
    return Q(**{f"{hold}state__in": LAPSING, f"{hold}expires_at__lte": now})


class Purpose(models.TextChoices):
    """Whom the parts wait for."""

    WEB = "web"
    JOB = "job"


class Hold(models.Model):
    """All lines or none. Which job a hold serves is written above this room, in jobs."""

    purpose = models.CharField(max_length=4, choices=Purpose.choices)
    state = models.CharField(max_length=10, choices=State.choices, default=State.OPEN)
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField(null=True)

    class Meta:
        constraints: ClassVar = [
            among("hold", "purpose", Purpose),
            among("hold", "state", State),
            CheckConstraint(condition=~Q(purpose="web", state="open", expires_at=None), name="hold_open_web_lapses"),
            CheckConstraint(condition=~Q(purpose="job") | Q(expires_at=None), name="hold_job_never_lapses"),
        ]
        indexes: ClassVar = [
            # Only what lives: a shop's holds that ended years ago are no longer walked through.
            models.Index(fields=["expires_at"], name="hold_lapsing_now", condition=Q(state__in=LAPSING)),
            models.Index(fields=["id"], name="hold_holding", condition=Q(state__in=HOLDING)),
        ]

    def __str__(self) -> str:
        return f"{self.purpose} hold {self.pk} ({self.state})"

    @property
    def is_paid(self) -> bool:
        """Whether it is a web order that was confirmed, also where it lost pieces since."""
        return self.purpose == Purpose.WEB and self.state in HOLDING and self.expires_at is None

    def is_over(self, now: datetime) -> bool:
        """Whether its time has passed although nobody has swept it yet."""
        return self.state in LAPSING and self.expires_at is not None and self.expires_at <= now


class HoldLine(models.Model):
    """Pieces of one balance. `quantity` is what is set aside now, `asked` what was at first."""

    hold = models.ForeignKey(Hold, on_delete=models.PROTECT, related_name="lines")
    balance = models.ForeignKey(Balance, on_delete=models.PROTECT, related_name="hold_lines")
    quantity = models.PositiveIntegerField()
    asked = models.PositiveIntegerField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["hold", "balance"], name="hold_line_once"),
            CheckConstraint(condition=Q(asked__gt=0, asked__gte=F("quantity")), name="hold_line_asked"),
        ]
        # A line that holds nothing any more stays as a record; nobody who looks for what is held walks through it.
        indexes: ClassVar = [
            models.Index(fields=["balance", "quantity"], name="hold_line_living", condition=Q(quantity__gt=0)),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.balance_id}"
