"""New parts on the shelf that could take the place of a worn one. A reader, like compat.shelf."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.db.models import Q

from compat.engineering.seals.shelf_life import State, shelf_life
from compat.engineering.threads.designation import ThreadError, parse
from compat.engineering.units import Range
from inventory.common.clock import today
from inventory.holds.selectors import lapsed_by_balance
from inventory.stock.models import Balance, Condition

MOST = 5  # parts of a kind
NEAR_UM = 50  # between a told size and the catalogue's: another size lies further off
COLUMNS = (
    "pk", "on_hand", "held", "lot__cure_date", "lot__part__number", "lot__part__name", "lot__part__kind",
    "lot__part__unit", "drawer__code", "lot__part__oring__compound",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Wanted:
    """A part to look for: its kind, and the condition on it (with the lookup path from a balance)."""

    kind: str
    matching: Q


def ring(size: str, id_mm: Range | None, section_mm: Range | None, compound: str | None) -> Wanted | None:
    """An O-ring of this size; None where it is not known. Another compound is another ring."""
    table = "lot__part__oring__"
    if size:
        matching = Q(**{f"{table}size": size})
    elif id_mm is not None and section_mm is not None:
        matching = _near(f"{table}ring_id_um", id_mm) & _near(f"{table}section_um", section_mm)
    else:
        return None
    if compound:
        matching &= Q(**{f"{table}compound": compound})
    return Wanted("oring", matching)


def band(bore_mm: Range) -> Wanted:
    """A band for this nominal bore."""
    return Wanted("band", _near("lot__part__band__for_bore_um", bore_mm))


def seal_head(shaft_mm: Range) -> Wanted:
    """A seal head for this nominal shaft."""
    return Wanted("seal_head", _near("lot__part__sealhead__shaft_um", shaft_mm))


def nut(thread: str, hand: str) -> Wanted | None:
    """A nut of this very thread and hand; None where the thread cannot be read."""
    try:
        name = parse(thread).name
    except ThreadError:
        return None
    return Wanted("nut", Q(lot__part__nut__thread=name, lot__part__nut__hand=hand))


def on_shelf(wanted: Wanted) -> list[dict[str, Any]]:
    """Parts that match, with what is free of them now and where, most first; two queries.

    New stock only; seals past their shelf life by the shop's policy are left out.
    """
    rows = Balance.objects.filter(
        wanted.matching,
        lot__part__kind=wanted.kind,
        lot__part__retired_at=None,
        lot__retired_at=None,
        lot__condition=Condition.NEW,
        on_hand__gt=0,
    )
    lapsed = lapsed_by_balance()
    found: dict[str, dict[str, Any]] = {}
    for row in rows.order_by("lot__part__number", "drawer__code", "pk").values(*COLUMNS):
        free = row["on_hand"] - row["held"] + lapsed.get(row["pk"], 0)
        if free <= 0 or _too_old(row):
            continue
        number = row["lot__part__number"]
        part = found.setdefault(
            number,
            {
                "part": number,
                "name": row["lot__part__name"],
                "kind": row["lot__part__kind"],
                "unit": row["lot__part__unit"],
                "available": 0,
                "drawers": [],
            },
        )
        part["available"] += free
        if row["drawer__code"] not in part["drawers"]:
            part["drawers"].append(row["drawer__code"])
    return sorted(found.values(), key=lambda one: (-one["available"], one["part"]))[:MOST]


def _too_old(row: dict[str, Any]) -> bool:
    if not row["lot__cure_date"]:
        return False
    compound = row["lot__part__oring__compound"]
    life = shelf_life(compound, row["lot__cure_date"], today(), settings.SHELF_LIFE)
    return life.state is State.OVER


def _near(column: str, size: Range) -> Q:
    middle = round(size.nominal * 1000)
    return Q(**{f"{column}__range": (middle - NEAR_UM, middle + NEAR_UM)})
