"""What of the shelf wants to be looked at: drawers to count, lots to measure, counts that differed."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Exists, F, Max, OuterRef

from inventory.receiving.models import Count
from inventory.stock.models import Drawer, Lot, Reading


def drawers_to_count(most: int) -> list[Drawer]:
    """Drawers that hold something, those never counted first, then by the oldest count; each with `last_count`."""
    rows = Drawer.objects.filter(retired_at=None, balances__on_hand__gt=0).annotate(
        last_count=Max("balances__count__at")
    )
    return list(rows.order_by(F("last_count").asc(nulls_first=True), "code")[:most])


def lots_to_measure(most: int) -> list[Lot]:
    """Lots of shims on the shelf without a reading, newest first: a plan counts them with the strip's tolerance."""
    rows = Lot.objects.select_related("part").filter(part__kind="shim", retired_at=None, balances__on_hand__gt=0)
    unmeasured = rows.filter(~Exists(Reading.objects.filter(lot=OuterRef("pk"))))
    return list(unmeasured.distinct().order_by("-pk")[:most])


def counts_that_differed(since: datetime, most: int) -> list[Count]:
    """Counts since a time that found other than the ledger said, newest first."""
    rows = Count.objects.select_related("balance__lot__part", "balance__drawer", "person", "client")
    return list(rows.filter(at__gte=since).exclude(counted=F("expected")).order_by("-pk")[:most])
