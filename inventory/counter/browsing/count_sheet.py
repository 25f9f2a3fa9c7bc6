"""Counting a drawer: one field a lot, blind, and what the count found."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.forms import BoundField

from inventory.counter.browsing.owners import Owner, owners_of
from inventory.counter.browsing.places import Lying
from inventory.counter.forms import CommandSheet, Pieces
from inventory.receiving.models import Count
from inventory.stock.models import Drawer, Movement

MOST = 200


class CountSheet(CommandSheet):
    """A number for each lot; an empty field is a lot that was not counted."""

    def __init__(self, *args: Any, lots: Sequence[Lying], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lots = lots
        for one in lots:
            self.fields[name_of(one)] = Pieces(least=0, required=False, label=f"Pieces of lot {one.lot.number}")

    def lines(self) -> list[tuple[Lying, BoundField]]:
        """What lies there with its field."""
        return [(one, self[name_of(one)]) for one in self.lots]

    def clean(self) -> dict[str, Any]:
        found: dict[str, Any] = super().clean() or {}
        if not self.errors and not self.counted(found):
            self.add_error(None, "No number is typed. Type what lies there; 0 where nothing is left.")
        return found

    def counted(self, cleaned: dict[str, Any] | None = None) -> dict[str, int]:
        """{lot number: pieces} of the lots that were counted."""
        found = self.cleaned_data if cleaned is None else cleaned
        typed = {one.lot.number: found.get(name_of(one)) for one in self.lots}
        return {number: pieces for number, pieces in typed.items() if pieces is not None}

    def names(self) -> dict[str, str]:
        """{lot number: its field}."""
        return {one.lot.number: name_of(one) for one in self.lots}


def name_of(one: Lying) -> str:
    """The field of a lot: lot numbers are people's own and may be any text."""
    return f"lot-{one.balance.pk}"


@dataclass(frozen=True, slots=True)
class Lost:
    """What a hold lost to a count."""

    owner: Owner
    pieces: int


@dataclass(frozen=True, slots=True)
class Result:
    """One count: what the ledger had said, what was there, and the holds that lost pieces by it."""

    lot: str
    part: str
    expected: int
    counted: int
    lost: list[Lost]

    @property
    def difference(self) -> int:
        return self.counted - self.expected

    @property
    def missing(self) -> int:
        return max(0, self.expected - self.counted)


def address_words(counts: Iterable[Count]) -> str:
    """Counts as a page's query names them."""
    return ",".join(str(count.pk) for count in counts)


def results(drawer: Drawer, query: str) -> list[Result]:
    """The counts of a drawer that a query names, with what holds lost; three queries. Nothing for what is no count."""
    words = query.split(",")[:MOST]
    ids = [int(word) for word in words if word.isascii() and word.isdigit() and len(word) < 19]
    rows = Count.objects.filter(pk__in=ids, balance__drawer=drawer).select_related("balance__lot__part").order_by("pk")
    counts = list(rows)
    lost = _lost(counts)
    owners = owners_of(hold for its in lost.values() for hold, _ in its)
    return [
        Result(
            count.balance.lot.number,
            count.balance.lot.part.number,
            count.expected,
            count.counted,
            [Lost(owners[hold], pieces) for hold, pieces in lost.get(count.pk, ()) if hold in owners],
        )
        for count in counts
    ]


def _lost(counts: Sequence[Count]) -> dict[int, list[tuple[int, int]]]:
    """{count id: (hold id, pieces)}: what was taken from holds just before the movement of the count itself."""
    if not counts:
        return {}
    first = min(count.at for count in counts)
    rows = Movement.objects.filter(balance__in={count.balance_id for count in counts}, at__gte=first)
    found: dict[int, list[tuple[int, int]]] = {}
    waiting: dict[int, list[tuple[int, int]]] = {}
    for row in rows.order_by("balance_id", "version"):
        if row.cause_kind == "hold" and row.reason == "counted short":
            waiting.setdefault(row.balance_id, []).append((int(row.cause_id), -row.held_delta))
            continue
        taken = waiting.pop(row.balance_id, [])
        if row.cause_kind == "count":
            found[int(row.cause_id)] = taken
    return found
