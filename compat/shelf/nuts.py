"""The reader of nuts: what the catalogue says of them, and what of them is free. Like compat.shelf.shim_rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

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
# The columns that describe a nut, as its own table and as a balance has them.
LABEL = (
    *("thread", "tolerance_class", "hand", "height_um"),
    *("chamfer_um", "unthreaded_um", "property_class", "locking"),
)
OF_BALANCE = tuple(f"lot__part__nut__{name}" for name in LABEL)


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
    return _labelled(*(getattr(row, name) for name in LABEL))


def free_of(thread: Thread, hand: str, *, lapsed: Mapping[int, int] | None = None) -> list[StockedNut]:
    """Every nut in use of this very thread and hand of which a new piece is free, by part number, with its free lots;
    one query, two where `lapsed`, which is lapsed_by_balance(), was not read already."""
    names = ("pk", "on_hand", "held", "lot__number", "drawer__code", "lot__received_on", "lot__part__number")
    rows = _new_lots().filter(lot__part__nut__hand=hand).order_by("lot__received_on", "pk")
    lapsed = lapsed_by_balance() if lapsed is None else lapsed
    labels, lots = dict[str, Sequence[Any]](), dict[str, list[NutLot]]()
    for key, there, held, lot, drawer, received_on, part, *label in rows.values_list(*names, *OF_BALANCE):
        free = there - held + lapsed.get(key, 0)
        if free > 0 and _is_thread(label[0], thread):
            labels[part] = label
            lots.setdefault(part, []).append(NutLot(key, lot, drawer, received_on, free))
    return [StockedNut(part, _labelled(*labels[part]), tuple(lots[part])) for part in sorted(labels)]


def of_thread(thread: Thread, hand: str) -> list[StockedNut]:
    """Every nut in use of this very thread and hand, by part number, without where it lies; one query."""
    rows = NutPart.objects.filter(part__retired_at=None, hand=hand).order_by("part__number")
    found = rows.values_list("part__number", *LABEL)
    return [StockedNut(part, _labelled(*label), ()) for part, *label in found if _is_thread(label[0], thread)]


def called(number: str, field: str) -> NutPart:
    """The nut in use of that part number; one query. Raises DomainError `invalid` for the field where there is none."""
    row = NutPart.objects.select_related("part").filter(part__number=number, part__retired_at=None).first()
    if row is None:
        raise invalid(field, f"there is no nut {number} in use")
    return row


def is_of(row: NutPart, thread: Thread, hand: str | None) -> bool:
    """Whether a nut's label says this thread and hand."""
    return _is_thread(row.thread, thread) and hand in (None, row.hand)


def free_threads(lapsed: Mapping[int, int]) -> set[tuple[str, str]]:
    """(thread, hand) of every nut with a new piece free; `lapsed` is lapsed_by_balance(). One query."""
    rows = _new_lots().values_list("pk", "on_hand", "held", "lot__part__nut__thread", "lot__part__nut__hand")
    return {(thread, hand) for key, there, held, thread, hand in rows if there - held + lapsed.get(key, 0) > 0}


def _is_thread(label: str, thread: Thread) -> bool:
    try:
        return not differences(thread, parse(label))
    except ThreadError:
        return False


def _new_lots() -> QuerySet[Balance]:
    return Balance.objects.filter(
        lot__part__kind="nut",
        lot__part__retired_at=None,
        lot__retired_at=None,
        lot__condition=Condition.NEW,
        on_hand__gt=0,
    )


def _labelled(
    thread: str,
    tolerance_class: str,
    hand: str,
    height_um: int,
    chamfer_um: int | None,
    unthreaded_um: int | None,
    property_class: str,
    locking: str,
) -> Nut:
    """A nut from the columns of LABEL."""
    return Nut(
        thread=thread,
        tolerance_class=_known(tolerance_class),
        hand=hand,
        height_mm=um_to_mm(height_um),
        chamfer_mm=None if chamfer_um is None else um_to_mm(chamfer_um),
        unthreaded_mm=None if unthreaded_um is None else um_to_mm(unthreaded_um),
        property_class=_known(property_class),
        locking=locking,
    )


def _known(word: str) -> str | None:
    return None if word == NOT_KNOWN else word
