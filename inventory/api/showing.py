"""Rows as the API shows them. Each function takes a page of rows and asks a fixed number of queries for all of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db.models import Count, Window
from django.db.models.functions import RowNumber

from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.models import Part
from inventory.common import clock, quantities
from inventory.common.errors import FieldError
from inventory.holds import amounts
from inventory.stock import compounds, giving
from inventory.stock.browsing import Sample, samples_of_lots
from inventory.stock.models import Balance, Condition, Drawer, Lot, Movement
from inventory.stock.selectors import balances_of, readings_of, sizes_of

MOST_LOTS = 200  # of a drawer in one answer; all of them by GET /lots?drawer=


def time(value: datetime | None) -> str | None:
    """RFC 3339, UTC."""
    return None if value is None else clock.iso(value)


def parts(rows: Sequence[Part], *, to_shop: bool = False) -> list[dict[str, Any]]:
    """Parts with sizes and quantities; lapsed holds count as free at once. `to_shop`: as a storefront sees them.

    The quantities are those of new stock, which is what a hold of a part can take; take-offs stand apart.
    """
    sizes, known = sizes_of(rows), amounts.of_parts(rows)
    return [
        {
            "number": part.number,
            "kind": part.kind,
            "name": part.name,
            "unit": part.unit,
            "sizes": KINDS[part.kind].show(sizes[part.pk]),
            **known[part.pk, Condition.NEW].shown(to_shop=to_shop),
            "take_offs": known[part.pk, Condition.TAKE_OFF].shown(to_shop=to_shop),
            "retired": part.retired_at is not None,
        }
        for part in rows
    ]


def lots(rows: Sequence[Lot]) -> list[dict[str, Any]]:
    """Lots with their places and readings."""
    ids = [lot.pk for lot in rows]
    places, measured = balances_of(ids), readings_of(ids)
    standing, samples = giving.standing_of(ids), samples_of_lots(ids)
    known = amounts.of_balances((balance for its in places.values() for balance in its), standing=standing)
    found = []
    for lot in rows:
        life = standing[lot.pk].life
        readings = measured.get(lot.pk)
        thickness = None
        if readings is not None:
            thickness = {
                "readings": readings.readings,
                "mean_mm": quantities.mm_from_um(readings.mean_um),
                "min_mm": quantities.mm_from_um(readings.low_um),
                "max_mm": quantities.mm_from_um(readings.high_um),
            }
        found.append(
            {
                "number": lot.number,
                "part": lot.part.number,
                "condition": lot.condition,
                "supplier": lot.supplier.name if lot.supplier else None,
                "source": lot.source,
                "received_on": lot.received_on.isoformat(),
                "cure_date": lot.cure_date or None,
                "age": str(life.age),
                "shelf_life_until": life.until.isoformat() if life.until else None,
                "thickness": thickness,
                "readings": _readings(samples.get(lot.pk, ())),
                "places": [
                    {"drawer": balance.drawer.code, **asdict(known[balance.pk])} for balance in places.get(lot.pk, [])
                ],
            }
        )
    return found


def _readings(samples: Iterable[Sample]) -> list[dict[str, Any]]:
    """The readings of a lot, the withdrawn ones too, oldest first."""
    shown = [
        {
            "id": str(taken.key),
            "mm": quantities.mm_from_um(taken.um),
            "taken_at": time(sample.at),
            "who": sample.who,
            "withdrawn": taken.withdrawn
            and {"at": time(taken.withdrawn.at), "who": taken.withdrawn.who, "reason": taken.withdrawn.why},
        }
        for sample in samples
        for taken in sample.taken
    ]
    return sorted(shown, key=lambda one: int(str(one["id"])))


def drawers(rows: Sequence[Drawer]) -> list[dict[str, Any]]:
    """Drawers with their lots, the oldest MOST_LOTS of each, and how many there are."""
    inside: dict[int, list[Any]] = {}
    counted = Balance.objects.filter(drawer__in=rows, on_hand__gt=0).annotate(
        place=Window(RowNumber(), partition_by="drawer_id", order_by="pk"),
        in_all=Window(Count("pk"), partition_by="drawer_id"),
    )
    balances = list(counted.select_related("lot__part").filter(place__lte=MOST_LOTS).order_by("pk"))
    for balance in balances:
        inside.setdefault(balance.drawer_id, []).append(balance)
    known = amounts.of_balances(balances)
    return [
        {
            "code": drawer.code,
            "site": drawer.site.code,
            "lots": [
                {"lot": balance.lot.number, "part": balance.lot.part.number, **asdict(known[balance.pk])}
                for balance in inside.get(drawer.pk, [])
            ],
            "lots_in_all": inside[drawer.pk][0].in_all if drawer.pk in inside else 0,
        }
        for drawer in rows
    ]


def movements(rows: Sequence[Movement]) -> list[dict[str, Any]]:
    """Movements with who, why and what they came to."""
    return [
        {
            "id": str(row.pk),
            "posting": str(row.posting),
            "part": row.balance.lot.part.number,
            "lot": row.balance.lot.number,
            "drawer": row.balance.drawer.code,
            "version": row.version,
            "on_hand_delta": row.on_hand_delta,
            "held_delta": row.held_delta,
            "on_hand": row.on_hand,
            "held": row.held,
            "who": str(row.person or row.client),
            "reason": row.reason,
            "cause": {"kind": row.cause_kind, "id": row.cause_id},
            "reverses": None if row.reverses_id is None else str(row.reverses_id),
            "at": time(row.at),
            "unit_cost": None
            if row.unit_cost_minor is None
            else {"minor": row.unit_cost_minor, "currency": row.currency},
        }
        for row in rows
    ]


def changes(rows: Sequence[Movement]) -> list[dict[str, Any]]:
    """Changes of availability; no names and no reasons, since storefronts read them. One query, a second where parts
    are among them that age on the shelf.

    Pieces that could not be given out when they moved change nothing that is available.
    """
    standing = giving.standing_of(row.balance.lot_id for row in rows)
    ageing = [row.balance_id for row in rows if standing[row.balance.lot_id].compound is not None]
    unknown_to = compounds.told_from(ageing) if ageing else {}
    return [
        {
            "part": row.balance.lot.part.number,
            "condition": row.balance.lot.condition,
            "available_delta": row.on_hand_delta - row.held_delta
            if row.pk > unknown_to.get(row.balance_id, 0) and standing[row.balance.lot_id].counted_at(row.at)
            else 0,
            "at": time(row.at),
        }
        for row in rows
    ]


def wrong_choice(name: str, value: str, known: Sequence[str]) -> FieldError:
    """The error for a word that is not among those known."""
    return FieldError(name, "invalid", f"is one of {', '.join(known)}; not {value[:40]!r}")
