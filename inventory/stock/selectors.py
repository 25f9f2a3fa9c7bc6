"""Reading the shelf."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Avg, Count, Max, Min, Model, QuerySet, Sum

from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError
from inventory.stock.models import Balance, Reading


@dataclass(frozen=True, slots=True)
class Measured:
    """The readings of a lot: how many, their mean and ends in micrometres."""

    readings: int
    mean_um: float
    low_um: int
    high_um: int


def part_called(number: str) -> Part:
    """The part of that number. Raises DomainError `not_found`."""
    found = Part.objects.filter(number=number).first()
    if found is None:
        raise DomainError("not_found", what="part", which=number)
    return found


def quantities_of(parts: Iterable[Part]) -> dict[tuple[int, str, str], tuple[int, int]]:
    """{(part id, condition, cure date): (on hand, held)} in lots that are in use; one query."""
    rows = (
        Balance.objects.filter(lot__part__in=list(parts), lot__retired_at=None)
        .values_list("lot__part_id", "lot__condition", "lot__cure_date")
        .annotate(Sum("on_hand"), Sum("held"))
        .order_by()
    )
    return {(part, condition, cured): (on_hand, held) for part, condition, cured, on_hand, held in rows}


def sizes_of(parts: Iterable[Part]) -> dict[int, Model]:
    """{part id: its row in the table of its kind}; one query for each kind among them."""
    by_kind: dict[str, list[Part]] = {}
    for part in parts:
        by_kind.setdefault(part.kind, []).append(part)
    found: dict[int, Model] = {}
    for kind, its_parts in by_kind.items():
        found.update(KINDS[kind].table._default_manager.in_bulk([part.pk for part in its_parts]))
    return found


def readings_of(lots: Iterable[int]) -> dict[int, Measured]:
    """{lot id: its readings summed up}; one query; lots without readings are absent."""
    return summed_up(Reading.objects.filter(lot__in=list(lots)))


def summed_up(readings: QuerySet[Reading]) -> dict[int, Measured]:
    """{lot id: the readings of the queryset summed up}; one query."""
    rows = (
        readings.values_list("lot_id")
        .annotate(Count("id"), Avg("thickness_um"), Min("thickness_um"), Max("thickness_um"))
        .order_by()
    )
    return {lot: Measured(count, float(mean), low, high) for lot, count, mean, low, high in rows}


def balances_of(lots: Iterable[int]) -> dict[int, list[Balance]]:
    """{lot id: where it lies}, with drawers; one query."""
    found: dict[int, list[Balance]] = {}
    for balance in Balance.objects.filter(lot__in=list(lots)).select_related("drawer").order_by("pk"):
        found.setdefault(balance.lot_id, []).append(balance)
    return found
