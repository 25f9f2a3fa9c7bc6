"""Whom holds are for, in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from inventory.common import clock
from inventory.holds.models import HOLDING, Hold, HoldLine, Purpose, over_at

MOST_HELD = 100  # on one page; whoever wants them all reads them over the API


@dataclass(frozen=True, slots=True)
class Owner:
    """Whom a hold is for: `job J-1` or `a web order of the web shop`."""

    hold: int
    words: str
    title: str = ""


@dataclass(frozen=True, slots=True)
class Held:
    """What of one lot a hold keeps, in the unit of its part; `until` is when it lapses, if it does."""

    owner: Owner
    lot: str
    drawer: str
    pieces: int
    unit: str
    state: str
    until: datetime | None


def owners_of(holds: Iterable[int]) -> dict[int, Owner]:
    """{hold id: whom it is for}; one query."""
    rows = Hold.objects.select_related("client", "person", "jobhold__job").filter(pk__in=list(holds))
    return {hold.pk: _owner(hold) for hold in rows}


def held_of(rows: Q) -> list[Held]:
    """What is held now by the lines of holds that match, the first to come first, MOST_HELD and one more at most. One
    query."""
    lines = HoldLine.objects.filter(hold__state__in=HOLDING, quantity__gt=0).exclude(over_at(clock.now(), "hold__"))
    lines = lines.select_related(
        "balance__lot__part", "balance__drawer", "hold__client", "hold__person", "hold__jobhold__job"
    )
    return [
        Held(
            _owner(line.hold),
            line.balance.lot.number,
            line.balance.drawer.code,
            line.quantity,
            line.balance.lot.part.unit,
            line.hold.state,
            line.hold.expires_at,
        )
        for line in lines.filter(rows).order_by("hold_id", "pk")[: MOST_HELD + 1]
    ]


def _owner(hold: Hold) -> Owner:
    whose = str(hold.client or hold.person)
    if hold.purpose == Purpose.WEB:
        return Owner(hold.pk, f"a web order of {whose}")
    link = getattr(hold, "jobhold", None)
    if link is None:
        return Owner(hold.pk, f"the bench ({whose})")
    return Owner(hold.pk, f"job {link.job.number}", link.job.title)
