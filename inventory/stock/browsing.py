"""Reading the shelf for looking at it: one drawer, one lot, one part, all shims of a bore."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from statistics import fmean

from django.db.models import Count, Exists, Max, OuterRef, QuerySet

from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError
from inventory.stock.models import Balance, Drawer, Lot, Movement, Reading

MOST_EMPTY = 20


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """Who withdrew a reading, when and why."""

    at: datetime
    who: str
    why: str


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading, micrometres; `withdrawn` where it counts no more."""

    key: int
    um: int
    withdrawn: Withdrawn | None


@dataclass(frozen=True, slots=True)
class Sample:
    """Readings of one lot that one person took at one time."""

    at: datetime
    who: str
    taken: tuple[Taken, ...]

    @property
    def readings_um(self) -> tuple[int, ...]:
        """Those that count, micrometres."""
        return tuple(one.um for one in self.taken if one.withdrawn is None)

    @property
    def all_um(self) -> tuple[int, ...]:
        """As they were taken, the withdrawn ones too."""
        return tuple(one.um for one in self.taken)

    @property
    def mean_um(self) -> float:
        """The mean of those that count, at least one."""
        return fmean(self.readings_um)


def drawer_at(code: str) -> Drawer:
    """The drawer of that code, retired or not. Raises DomainError `not_found`."""
    found = Drawer.objects.select_related("site").filter(code=code).first()
    if found is None:
        raise DomainError("not_found", what="drawer", which=code)
    return found


def lot_called(number: str) -> Lot:
    """The lot of that number with its part. Raises DomainError `not_found`."""
    found = Lot.objects.select_related("part", "supplier").filter(number=number).first()
    if found is None:
        raise DomainError("not_found", what="lot", which=number)
    return found


def inside(drawer: Drawer, *, named: Iterable[int] = ()) -> list[Balance]:
    """What lies in a drawer; after it what was emptied last, and what of it is `named` by id; three queries at most."""
    rows = Balance.objects.filter(drawer=drawer, lot__retired_at=None).select_related("lot__part")
    there = list(rows.filter(on_hand__gt=0).order_by("lot__part__number", "lot__received_on", "pk"))
    empty = rows.filter(on_hand=0).annotate(last=Max("movements__pk"))
    found = [*there, *empty.order_by("-last", "-pk")[:MOST_EMPTY]]
    missing = set(named) - {one.pk for one in found}
    return [*found, *empty.filter(pk__in=missing).order_by("-last", "-pk")] if missing else found


@dataclass(frozen=True, slots=True)
class Listed:
    """The first of some lots, and how many there are in all."""

    lots: list[Lot]
    in_all: int


def lots_of(part: Part, *, most: int) -> tuple[Listed, Listed]:
    """The lots of a part that have pieces and those that have none, of each the youngest first, `most` of them at most;
    two queries, one more for each where there are more."""
    rows = Lot.objects.filter(part=part).select_related("supplier").order_by("-received_on", "-pk")
    has = Exists(Balance.objects.filter(lot=OuterRef("pk"), on_hand__gt=0))
    return _listed(rows.filter(has), most), _listed(rows.exclude(has), most)


def _listed(rows: QuerySet[Lot], most: int) -> Listed:
    found = list(rows[:most])
    return Listed(found, len(found) if len(found) < most else rows.count())


def samples_of(lot: Lot) -> list[Sample]:
    """The readings of a lot by who took them and when, newest first, the withdrawn ones too; one query."""
    return samples_of_lots([lot.pk]).get(lot.pk, [])


def samples_of_lots(lots: Iterable[int]) -> dict[int, list[Sample]]:
    """{lot id: its samples, newest first}; one query."""
    related = ("person", "client", "withdrawal__person", "withdrawal__client")
    rows = Reading.every.filter(lot__in=list(lots)).select_related(*related).order_by("lot_id", "-taken_at", "pk")
    return {lot: _samples(its) for lot, its in groupby(rows, key=lambda row: row.lot_id)}


def _samples(rows: Iterable[Reading]) -> list[Sample]:
    found = []
    for (at, _, _), group in groupby(rows, key=lambda row: (row.taken_at, row.person_id, row.client_id)):
        taken = list(group)
        found.append(Sample(at, str(taken[0].person or taken[0].client), tuple(_taken(row) for row in taken)))
    return found


def _taken(row: Reading) -> Taken:
    one = getattr(row, "withdrawal", None)
    withdrawn = None if one is None else Withdrawn(one.at, str(one.person or one.client), one.reason)
    return Taken(row.pk, row.thickness_um, withdrawn)


def shims(*, bore_um: int, form: str) -> list[Shim]:
    """The shims of one bore and form with their parts, by size; one query."""
    rows = Shim.objects.filter(bore_um=bore_um, form=form).select_related("part")
    return list(rows.order_by("od_um", "thickness_um", "pk"))


def bores() -> dict[int, dict[str, int]]:
    """{bore in micrometres: {form: how many parts}} of every shim of the catalogue, ascending; one query."""
    rows = Shim.objects.values_list("bore_um", "form").annotate(Count("pk")).order_by("bore_um", "form")
    found: dict[int, dict[str, int]] = {}
    for bore, form, parts in rows:
        found.setdefault(bore, {})[form] = parts
    return found


def kinds() -> dict[str, int]:
    """{kind: how many parts}; one query."""
    return dict(Part.objects.values_list("kind").annotate(Count("pk")).order_by("kind"))


def movements_of_lots(lots: Iterable[int]) -> QuerySet[Movement]:
    """The ledger of some lots, newest first."""
    return _shown(Movement.objects.filter(balance__lot__in=list(lots)))


def movements_of_part(part: Part) -> QuerySet[Movement]:
    """The ledger of all lots of a part, newest first."""
    return _shown(Movement.objects.filter(balance__lot__part=part))


def movements_of_drawer(drawer: Drawer) -> QuerySet[Movement]:
    """The ledger of a drawer, newest first."""
    return _shown(Movement.objects.filter(balance__drawer=drawer))


def _shown(rows: QuerySet[Movement]) -> QuerySet[Movement]:
    return rows.select_related("balance__lot", "balance__drawer", "person", "client").order_by("-at", "-pk")
