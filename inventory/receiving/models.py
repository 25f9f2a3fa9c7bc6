"""Deliveries and counts: how pieces come onto the shelf and how the shelf is checked."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import CheckConstraint, Q

from inventory.catalogue.models import Supplier
from inventory.common.fields import text_limits
from inventory.people.models import Client, Person
from inventory.stock.models import Balance, Lot


class Delivery(models.Model):
    """Something that arrived, with or without an order."""

    number = models.CharField(max_length=40, unique=True)
    supplier = models.ForeignKey(Supplier, null=True, on_delete=models.PROTECT)
    note = models.CharField(max_length=200, blank=True)
    received_on = models.DateField()
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT)
    created_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = text_limits("delivery", number=(1, 40), note=(0, 200))

    def __str__(self) -> str:
        return self.number


class DeliveryLine(models.Model):
    """One lot of a delivery, put into one drawer."""

    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, related_name="lines")
    lot = models.OneToOneField(Lot, on_delete=models.PROTECT)
    balance = models.ForeignKey(Balance, on_delete=models.PROTECT)
    quantity = models.PositiveIntegerField()

    class Meta:
        constraints: ClassVar = [CheckConstraint(condition=Q(quantity__gt=0), name="deliveryline_quantity_positive")]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.lot_id}"


class Count(models.Model):
    """What somebody counted of a lot in a drawer, and what the ledger had said."""

    balance = models.ForeignKey(Balance, on_delete=models.PROTECT)
    counted = models.PositiveIntegerField()
    expected = models.PositiveIntegerField()
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    client = models.ForeignKey(Client, null=True, on_delete=models.PROTECT)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.balance_id}: {self.counted} counted, {self.expected} expected"
