"""Reading deliveries, and what an opening shelf would bring."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.core.paginator import Page, Paginator
from django.db.models import Case, Count, Exists, IntegerField, Model, OuterRef, Q, Sum, When

from inventory.catalogue.models import Part, Unit
from inventory.common import clock
from inventory.common.errors import DomainError
from inventory.receiving.models import Delivery, DeliveryLine
from inventory.receiving.opening.loading import against_shelf
from inventory.receiving.opening.reading import Fault, Table, read
from inventory.receiving.opening.rows import KNOWN, REQUIRED, OpeningRow, check
from inventory.receiving.undoing import FIRST
from inventory.stock.models import Balance, Drawer, Movement
from inventory.stock.selectors import Measured, readings_of, sizes_of

# Readings that take as long to write as their row.
READINGS_A_ROW = 3


@dataclass(frozen=True, slots=True)
class Arrived:
    """A delivery with the number of its lines and pieces that count, and of its lines that were undone."""

    delivery: Delivery
    lines: int = 0
    pieces: int = 0
    undone: int = 0


@dataclass(frozen=True, slots=True)
class Reversed:
    """Who undid a line, when and why."""

    who: str
    at: datetime
    why: str


@dataclass(frozen=True, slots=True)
class TakenLine:
    """One line of a delivery with all that is shown of it; `place` is its place in the delivery, from 1."""

    place: int
    line: DeliveryLine
    sizes: Model | None
    measured: Measured | None
    who: str
    at: datetime
    undone: Reversed | None


@dataclass(frozen=True, slots=True)
class CheckedOpening:
    """An opening shelf that was read and checked: its rows, everything wrong, and what it would bring."""

    rows: list[OpeningRow]
    faults: list[Fault]
    parts: int
    drawers: int

    @property
    def pieces(self) -> int:
        return sum(row.pieces for row in self.rows)


def next_number(day: date) -> str:
    """A delivery number that is free: D, the day, and the next count of it, as in `D300304-2`. One query."""
    beginning = f"D{day:%y%m%d}-"
    taken = Delivery.objects.filter(number__startswith=beginning).values_list("number", flat=True)
    counts = [int(number) for text in taken if re.fullmatch(r"[0-9]{1,6}", number := text.removeprefix(beginning))]
    return f"{beginning}{max(counts, default=0) + 1}"


def last_deliveries(most: int) -> list[Arrived]:
    """The deliveries taken in last, newest first; two queries."""
    deliveries = list(Delivery.objects.select_related("supplier", "person", "client").order_by("-pk")[:most])
    reversal = Movement.objects.filter(balance=OuterRef("balance"), version=FIRST, reversed_by__isnull=False)
    rows = (
        DeliveryLine.objects.filter(delivery__in=deliveries)
        .annotate(undone=Exists(reversal))
        .values_list("delivery_id", "undone")
        .annotate(Count("pk"), pieces=Sum("quantity", filter=Q(lot__part__unit=Unit.PIECE), default=0))
        .order_by()
    )
    found = {(delivery, undone): (lines, pieces) for delivery, undone, lines, pieces in rows}
    return [
        Arrived(one, *found.get((one.pk, False), (0, 0)), undone=found.get((one.pk, True), (0, 0))[0])
        for one in deliveries
    ]


def delivery_with_id(key: int) -> Delivery:
    """The delivery of that id. Raises DomainError `not_found`."""
    found = Delivery.objects.select_related("supplier", "person", "client").filter(pk=key).first()
    if found is None:
        raise DomainError("not_found", what="delivery", which=str(key))
    return found


def lines_of(delivery: Delivery, *, page: str, size: int) -> tuple[list[TakenLine], Page[DeliveryLine]]:
    """A page of the lines of a delivery, newest first, and that page; four queries, and one for each kind of part among
    them. `page` is what somebody asked for; what is no page is the first or the last."""
    related = DeliveryLine.objects.select_related("lot__part", "balance__drawer").filter(delivery=delivery)
    shown = Paginator(related.order_by("-pk"), size).get_page(page)
    lines, count = list(shown), shown.paginator.count - (shown.number - 1) * size
    firsts = Movement.objects.filter(balance__in=[line.balance_id for line in lines], version=FIRST)
    firsts = firsts.select_related("person", "client", "reversed_by__person", "reversed_by__client")
    posted = {movement.balance_id: movement for movement in firsts}
    sizes, measured = sizes_of({line.lot.part for line in lines}), readings_of([line.lot_id for line in lines])
    taken = [
        TakenLine(
            place=place,
            line=line,
            sizes=sizes.get(line.lot.part_id),
            measured=measured.get(line.lot_id),
            who=_who(posted[line.balance_id]),
            at=posted[line.balance_id].at,
            undone=_reversed(posted[line.balance_id]),
        )
        for place, line in zip(range(count, 0, -1), lines, strict=False)
    ]
    return taken, shown


def usual_drawer(*, part: Part, condition: str) -> str:
    """The code of the drawer where the newest lot of a part in that condition lies, empty when there is none.

    A lot that still has pieces comes before one that is used up. One query.
    """
    emptied_last = Case(When(on_hand__gt=0, then=0), default=1, output_field=IntegerField())
    rows = Balance.objects.filter(lot__part=part, lot__condition=condition, lot__retired_at=None)
    rows = rows.filter(drawer__retired_at=None).order_by(emptied_last, "-lot__received_on", "-lot_id", "-pk")
    return rows.values_list("drawer__code", flat=True).first() or ""


def check_opening(content: bytes, *, most_rows: int | None = None) -> CheckedOpening:
    """Reads an opening shelf and checks it, against itself and against the shelf as it is; writes nothing.

    Raises DomainError `bad_file` when the file as a whole cannot be read, or holds no rows, or more than `most_rows`
    rows or readings: nobody else can write to the shelf while a file is written.
    """
    table = read(content, required=REQUIRED, known=KNOWN)
    if most_rows is not None:
        _refuse_long(table, most_rows)
    rows, faults = check(table, today=clock.today(), progress=lambda step, done, total: None)
    faults = sorted(faults + against_shelf(rows), key=lambda fault: fault.line)
    if not table.rows and not faults:
        raise DomainError("bad_file", reason="It has a header but no rows.")
    parts, drawers = {row.part.number for row in rows}, {row.drawer for row in rows}
    return CheckedOpening(rows, faults, len(_new(Part, "number", parts)), len(_new(Drawer, "code", drawers)))


def _refuse_long(table: Table, most: int) -> None:
    readings = sum(len(cells.get("readings_mm", "").split()) for _, cells in table.rows)
    for count, what, allowed in ((len(table.rows), "rows", most), (readings, "readings", most * READINGS_A_ROW)):
        if count > allowed:
            cure = "Load it with the command load_shelf FILE when nobody is at work, or split it."
            raise DomainError("bad_file", reason=f"It has {count} {what}, and this page takes {allowed}. {cure}")


def _new(table: type[Part] | type[Drawer], column: str, names: Iterable[str]) -> set[str]:
    """Those of the names that the table does not have yet."""
    return set(names) - set(table._default_manager.values_list(column, flat=True))


def _reversed(movement: Movement) -> Reversed | None:
    undoing = getattr(movement, "reversed_by", None)
    return None if undoing is None else Reversed(_who(undoing), undoing.at, undoing.reason)


def _who(movement: Movement) -> str:
    return str(movement.person or movement.client)
