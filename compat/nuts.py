"""The reader of nuts: what the catalogue says of them, and what of them is free. Like compat.shelf."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from compat.engineering.nut_on_shaft import Nut
from compat.engineering.threads.designation import Thread, ThreadError, parse
from compat.engineering.threads.pairing import differences
from compat.engineering.units import um_to_mm
from inventory.catalogue.kinds.nuts import Nut as NutPart
from inventory.common.errors import invalid
from inventory.holds.selectors import lapsed_by_balance
from inventory.stock.models import Balance, Condition

NOT_KNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class NutLot:
    """Free new nuts of one lot in one drawer."""

    balance: int
    lot: str
    drawer: str
    received_on: date
    free: int


@dataclass(frozen=True, slots=True)
class StockedNut:
    """A nut of the catalogue and where it lies, oldest lot first."""

    part: str
    nut: Nut
    lots: tuple[NutLot, ...]


def by_label(row: NutPart) -> Nut:
    """A nut as the catalogue describes it; nothing is gauged yet."""
    return Nut(
        thread=row.thread,
        tolerance_class=_known(row.tolerance_class),
        hand=row.hand,
        height_mm=um_to_mm(row.height_um),
        chamfer_mm=None if row.chamfer_um is None else um_to_mm(row.chamfer_um),
        unthreaded_mm=None if row.unthreaded_um is None else um_to_mm(row.unthreaded_um),
        property_class=_known(row.property_class),
        locking=row.locking,
    )


def of_thread(thread: Thread, hand: str) -> list[StockedNut]:
    """Every nut in use of this very thread and hand, by part number, with its free new lots; three queries."""
    rows = NutPart.objects.select_related("part").filter(part__retired_at=None, hand=hand)
    alike = {row.pk: row for row in rows if is_of(row, thread, hand)}
    lots = _free(alike)
    found = [StockedNut(row.part.number, by_label(row), tuple(lots.get(key, ()))) for key, row in alike.items()]
    return sorted(found, key=lambda one: one.part)


def called(number: str, field: str) -> NutPart:
    """The nut in use of that part number; one query. Raises DomainError `invalid` for the field where there is none."""
    row = NutPart.objects.select_related("part").filter(part__number=number, part__retired_at=None).first()
    if row is None:
        raise invalid(field, f"there is no nut {number} in use")
    return row


def is_of(row: NutPart, thread: Thread, hand: str | None) -> bool:
    """Whether a nut's label says this thread and hand."""
    try:
        return not differences(thread, parse(row.thread)) and hand in (None, row.hand)
    except ThreadError:
        return False


def free_threads() -> set[tuple[str, str]]:
    """(thread, hand) of every nut with a new piece free; two queries."""
    lapsed = lapsed_by_balance()
    rows = _new_lots().values_list("pk", "on_hand", "held", "lot__part__nut__thread", "lot__part__nut__hand")
    return {(thread, hand) for key, there, held, thread, hand in rows if there - held + lapsed.get(key, 0) > 0}


def _free(parts: dict[int, NutPart]) -> dict[int, list[NutLot]]:
    rows = _new_lots().select_related("lot", "drawer").filter(lot__part__in=list(parts))
    lapsed = lapsed_by_balance()
    found: dict[int, list[NutLot]] = {}
    for row in rows.order_by("lot__received_on", "pk"):
        free = row.free + lapsed.get(row.pk, 0)
        if free > 0:
            lot = NutLot(row.pk, row.lot.number, row.drawer.code, row.lot.received_on, free)
            found.setdefault(row.lot.part_id, []).append(lot)
    return found


def _new_lots() -> QuerySet[Balance]:
    return Balance.objects.filter(
        lot__part__kind="nut",
        lot__part__retired_at=None,
        lot__retired_at=None,
        lot__condition=Condition.NEW,
        on_hand__gt=0,
    )


def _known(word: str) -> str | None:
    return None if word == NOT_KNOWN else word
