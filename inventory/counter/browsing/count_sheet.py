"""Counting a drawer: one field a lot, blind, and what the count found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from inventory.common.errors import DomainError
from inventory.common.quantities import whole_number
from inventory.counter.browsing.owners import Owner, owners_of
from inventory.counter.browsing.places import Lying
from inventory.counter.forms import CommandSheet, Pieces, sentence
from inventory.receiving.models import Count
from inventory.stock.models import Balance, Drawer, Movement

MOST = 200
MOST_LOTS = 250  # on one sheet, three fields each; a form may have a thousand
MOST_FIELDS = 2000
PIECES, READ, SURE = "lot", "read", "sure"


class CountSheet(CommandSheet):
    """A number for each lot; an empty field is a lot that was not counted.

    Beside each number stands the version of its balance when the form was opened, and a number that was asked about.
    What was sent decides the order: lots stay where they were, whatever has happened to them meanwhile.
    """

    def __init__(self, *args: Any, lots: Sequence[Lying], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        places = {key: place for place, key in enumerate(sent_keys(self.data))}
        self.lots = sorted(lots, key=lambda one: places.get(one.balance.pk, len(places)))
        self.numbers = {one.balance.pk: one.lot.number for one in self.lots}
        for one in self.lots:
            key = one.balance.pk
            self.fields[f"{PIECES}-{key}"] = Pieces(least=0, required=False, label=f"Pieces of lot {one.lot.number}")
            self.fields[f"{READ}-{key}"] = _hidden(initial=one.balance.version)
            self.fields[f"{SURE}-{key}"] = _hidden()

    def lines(self) -> list[tuple[Lying, BoundField, list[BoundField]]]:
        """What lies there with its field and the hidden ones beside it."""
        return [
            (one, self[f"{PIECES}-{one.balance.pk}"], [self[f"{name}-{one.balance.pk}"] for name in (READ, SURE)])
            for one in self.lots
        ]

    def clean(self) -> dict[str, Any]:
        found: dict[str, Any] = super().clean() or {}
        self._refuse_strange()
        if not self.errors and not self._typed(PIECES, found):
            self.add_error(None, "No number is typed. Type what lies there; 0 where nothing is left.")
        return found

    def counted(self) -> dict[str, int]:
        """{lot number: pieces} of the lots that were counted."""
        return self._typed(PIECES, self.cleaned_data)

    def read(self) -> dict[str, int]:
        """{lot number: version} as the ledger was when the form was opened."""
        return self._typed(READ, self.cleaned_data)

    def sure(self) -> dict[str, int]:
        """{lot number: pieces} that were asked about before."""
        return self._typed(SURE, self.cleaned_data)

    def names(self) -> dict[str, str]:
        """{lot number: its field}."""
        return {number: f"{PIECES}-{key}" for key, number in self.numbers.items()}

    def ask_again(self, error: DomainError) -> None:
        """Marks the lots of a `count_again`; sent again as it stands the form is kept."""
        counted, asked = self.counted(), {one.field for one in error.errors}
        lots = [one for one in self.lots if one.lot.number in asked]
        self.keep(**{f"{READ}-{one.balance.pk}": str(one.balance.version) for one in lots})
        self.keep(**{f"{SURE}-{one.balance.pk}": str(counted[one.lot.number]) for one in lots})
        self.renew()
        for wrong in error.errors:
            self.add_error(self.names()[wrong.field], sentence(wrong.message))
        self.add_error(None, error.text)

    def _typed(self, name: str, found: dict[str, Any]) -> dict[str, int]:
        typed = {number: found.get(f"{name}-{key}") for key, number in self.numbers.items()}
        return {number: value for number, value in typed.items() if value is not None}

    def _refuse_strange(self) -> None:
        """A number for a lot that cannot be counted here is said, not dropped."""
        typed = {key: str(self.data.get(f"{PIECES}-{key}", "")).strip() for key in sent_keys(self.data)}
        strange = {key: text for key, text in typed.items() if text and key not in self.numbers}
        rows = Balance.objects.select_related("lot", "drawer").in_bulk(strange) if strange else {}
        for key, text in strange.items():
            self.add_error(None, f"{_why_not(rows.get(key))} You typed {text[:20]!r} for it; nothing was kept.")


def _hidden(initial: int | None = None) -> forms.IntegerField:
    return forms.IntegerField(initial=initial, required=False, widget=forms.HiddenInput)


def sent_keys(data: Mapping[str, Any]) -> list[int]:
    """The ids of the balances for which a form had fields, in the order of the form."""
    words = [name.removeprefix(f"{PIECES}-") for name in data if name.startswith(f"{PIECES}-")]
    return [key for word in words if (key := whole_number(word)) is not None][:MOST_FIELDS]


def _why_not(balance: Balance | None) -> str:
    if balance is None:
        return "One of the lots is not there."
    if balance.lot.retired_at is not None:
        return f"Lot {balance.lot.number} is retired: its line was undone. Take in what lies there."
    return f"Lot {balance.lot.number} lies in drawer {balance.drawer.code}; count it there."


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
    ids = [key for word in words if (key := whole_number(word)) is not None]
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
