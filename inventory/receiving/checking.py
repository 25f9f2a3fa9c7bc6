"""What of the shelf wants to be looked at: drawers to count, lots to measure, counts that differed."""

from __future__ import annotations

from datetime import datetime

from django.db.models import DateTimeField, Exists, F, Max, OuterRef, Value

from inventory.catalogue.models import Part
from inventory.receiving.models import Count
from inventory.stock.models import Balance, Drawer, Lot, Reading


def drawers_to_count(most: int) -> list[Drawer]:
    """Drawers that hold something, those never counted first, then by the oldest count; each with `last_count`.

    One query as long as there are enough that were never counted, which are read by their codes; a second one for the
    rest.
    """
    there = Balance.objects.filter(drawer=OuterRef("pk"), on_hand__gt=0)
    drawers = Drawer.objects.filter(Exists(there), retired_at=None)
    never = drawers.filter(~Exists(there.filter(count__isnull=False))).annotate(last_count=Value(None, DateTimeField()))
    found: list[Drawer] = list(never.order_by("code")[:most])
    if len(found) < most:
        counted = Drawer.objects.filter(retired_at=None, balances__on_hand__gt=0, balances__count__isnull=False)
        oldest = counted.annotate(last_count=Max("balances__count__at")).order_by("last_count", "code")
        found += oldest[: most - len(found)]
    return found


def lots_to_measure(most: int) -> list[Lot]:
    """Lots of shims on the shelf without a reading, newest first: a plan counts them with the strip's tolerance.

    Lots are looked at from the newest on, until there are enough: none is joined with its balances, so none is doubled
    and the whole shelf need not be sorted first.
    """
    there = Exists(Balance.objects.filter(lot=OuterRef("pk"), on_hand__gt=0))
    measured = Exists(Reading.objects.filter(lot=OuterRef("pk")))
    shims = Exists(Part.objects.filter(pk=OuterRef("part_id"), kind="shim"))  # asked of each lot, or parts come first
    rows = Lot.objects.select_related("part").filter(shims, there, ~measured, retired_at=None)
    return list(rows.order_by("-pk")[:most])


def counts_that_differed(since: datetime, most: int) -> list[Count]:
    """Counts since a time that found other than the ledger said, newest first."""
    rows = Count.objects.select_related("balance__lot__part", "balance__drawer", "person", "client")
    return list(rows.filter(at__gte=since).exclude(counted=F("expected")).order_by("-pk")[:most])
