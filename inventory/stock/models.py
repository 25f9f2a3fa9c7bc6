"""The shelf: drawers, lots, readings, balances, and the movements that explain every balance."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, F, Q

from inventory.catalogue.models import Part, Supplier
from inventory.common.fields import among, positive, text_limits
from inventory.people.models import Client, Person


class Site(models.Model):
    """A place with drawers: the shop, a van."""

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=80)

    class Meta:
        constraints: ClassVar = text_limits("site", code=(1, 20), name=(1, 80))

    def __str__(self) -> str:
        return self.code


class Drawer(models.Model):
    """Where things lie. Its code stands on its front and is unique over all sites, as people read it aloud."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT)
    code = models.CharField(max_length=20, unique=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = text_limits("drawer", code=(1, 20))

    def __str__(self) -> str:
        return self.code


class Condition(models.TextChoices):
    """New, or taken off a damper for reuse; the two are kept apart."""

    NEW = "new"
    TAKE_OFF = "take_off"


class Lot(models.Model):
    """Pieces of one part that came in together and share a history."""

    number = models.CharField(max_length=40, unique=True)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="lots")
    condition = models.CharField(max_length=10, choices=Condition.choices, default=Condition.NEW)
    supplier = models.ForeignKey(Supplier, null=True, blank=True, on_delete=models.PROTECT)
    source = models.CharField(max_length=120, blank=True)
    received_on = models.DateField()
    cure_date = models.CharField(max_length=7, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            among("lot", "condition", Condition),
            *text_limits("lot", number=(1, 40), source=(0, 120), cure_date=(0, 7)),
        ]

    def __str__(self) -> str:
        return self.number


class Counting(models.Manager["Reading"]):
    """Readings that count: all but the withdrawn ones."""

    def get_queryset(self) -> models.QuerySet[Reading]:
        return super().get_queryset().filter(withdrawal=None)


class Reading(models.Model):
    """One thickness reading of one piece of a lot. Mean and spread derive from these rows.

    `objects`, and what a lot calls its readings, are those that count; `every` is for showing what was withdrawn.
    """

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="readings")
    thickness_um = models.PositiveIntegerField()
    taken_at = models.DateTimeField()
    person = models.ForeignKey(Person, null=True, blank=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, blank=True, on_delete=models.PROTECT)

    objects = Counting()
    every: ClassVar[models.Manager[Reading]] = models.Manager()

    class Meta:
        constraints: ClassVar = positive("reading", "thickness_um")

    def __str__(self) -> str:
        return f"{self.lot_id}: {self.thickness_um} um"


class ReadingWithdrawal(models.Model):
    """Who withdrew a reading, when and why. The reading stays readable and counts no more; once is enough."""

    reading = models.OneToOneField(Reading, primary_key=True, on_delete=models.PROTECT, related_name="withdrawal")
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT)
    reason = models.CharField(max_length=200)
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            CheckConstraint(
                condition=Q(person__isnull=False, client__isnull=True) | Q(person__isnull=True, client__isnull=False),
                name="reading_withdrawal_has_one_actor",
            ),
            *text_limits("reading_withdrawal", reason=(1, 200)),
        ]

    def __str__(self) -> str:
        return f"reading {self.reading_id}, withdrawn"


class Balance(models.Model):
    """What of a lot lies in a drawer, and how much of it is held. Only a movement changes it: the database's own
    triggers apply each movement and refuse every other change (inventory/stock/triggers.py)."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="balances")
    drawer = models.ForeignKey(Drawer, on_delete=models.PROTECT, related_name="balances")
    on_hand = models.IntegerField(default=0)
    held = models.IntegerField(default=0)
    version = models.IntegerField(default=0)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["lot", "drawer"], name="balance_of_lot_in_drawer"),
            CheckConstraint(condition=Q(held__gte=0, on_hand__gte=F("held")), name="balance_held_within_on_hand"),
        ]

    def __str__(self) -> str:
        return f"{self.lot_id} in {self.drawer_id}: {self.on_hand} ({self.held} held)"

    @property
    def free(self) -> int:
        """On hand and not held."""
        return self.on_hand - self.held


class Movement(models.Model):
    """One change of one balance. Rows are only ever added, so every column a later question needs is here already."""

    balance = models.ForeignKey(Balance, on_delete=models.PROTECT, related_name="movements")
    version = models.IntegerField()
    on_hand_delta = models.IntegerField()
    held_delta = models.IntegerField()
    on_hand = models.IntegerField()
    held = models.IntegerField()
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT)
    reason = models.CharField(max_length=200)
    # What caused it, as a kind and that kind's own id: the causes live in rooms above this one.
    cause_kind = models.CharField(max_length=20)
    cause_id = models.CharField(max_length=40)
    posting = models.UUIDField(default=uuid.uuid4)
    reverses = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="reversed_by")
    at = models.DateTimeField()
    unit_cost_minor = models.BigIntegerField(null=True)
    currency = models.CharField(max_length=3, blank=True)
    # The transaction that wrote it, set by PostgreSQL's trigger; 0 on SQLite, where writers come one by one. Ids are
    # drawn before they are committed, so a reader that follows ids alone would miss rows that commit late.
    transaction = models.BigIntegerField(default=0)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["balance", "version"], name="movement_version_once"),
            CheckConstraint(
                condition=Q(person__isnull=False, client__isnull=True) | Q(person__isnull=True, client__isnull=False),
                name="movement_has_one_actor",
            ),
            CheckConstraint(condition=~Q(on_hand_delta=0, held_delta=0), name="movement_changes_something"),
            *text_limits("movement", reason=(1, 200), cause_kind=(1, 20), cause_id=(1, 40), currency=(0, 3)),
        ]
        indexes: ClassVar = [
            models.Index(fields=["cause_kind", "cause_id"], name="movement_by_cause"),
            models.Index(fields=["transaction", "id"], name="movement_in_feed_order"),
        ]

    def __str__(self) -> str:
        return f"{self.balance_id} v{self.version}"
