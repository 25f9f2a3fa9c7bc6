"""Where lots lie, and how many of each are on hand, held and available."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.common.quantities import mm_text
from inventory.counter.browsing.part_words import size_line
from inventory.holds import amounts
from inventory.holds.amounts import Amounts
from inventory.stock.models import Balance, Lot
from inventory.stock.selectors import Measured, balances_of, readings_of, sizes_of

CONDITION_WORDS = {"new": "new", "take_off": "take-off"}


@dataclass(frozen=True, slots=True)
class Lying:
    """A lot in a drawer."""

    balance: Balance
    lot: Lot
    drawer: str
    amounts: Amounts
    size: str = ""

    @property
    def condition(self) -> str:
        return CONDITION_WORDS[self.lot.condition]


@dataclass(frozen=True, slots=True)
class LotPlaces:
    """A lot, what its readings say, and where it lies."""

    lot: Lot
    measured: str
    places: list[Lying]

    @property
    def condition(self) -> str:
        return CONDITION_WORDS[self.lot.condition]

    @property
    def received_on(self) -> date:
        return self.lot.received_on

    @property
    def is_empty(self) -> bool:
        return not any(place.amounts.on_hand for place in self.places)


def lying(balances: Sequence[Balance]) -> list[Lying]:
    """Balances with their lots' parts as a drawer shows them; one query for the holds and one for each kind."""
    known = amounts.of_balances(balances)
    sizes = sizes_of({balance.lot.part_id: balance.lot.part for balance in balances}.values())
    return [
        Lying(
            balance,
            balance.lot,
            "",
            _available(balance.lot, balance.lot.part.retired_at is None, known[balance.pk]),
            size_line(sizes[balance.lot.part_id]),
        )
        for balance in balances
    ]


def of_lots(lots: Iterable[Lot], *, retired_part: bool = False) -> list[LotPlaces]:
    """Lots with their readings and places; three queries."""
    listed = list(lots)
    ids = [lot.pk for lot in listed]
    places, readings = balances_of(ids), readings_of(ids)
    known = amounts.of_balances(balance for its in places.values() for balance in its)
    found = []
    for lot in listed:
        its = [
            Lying(one, lot, one.drawer.code, _available(lot, not retired_part, known[one.pk]))
            for one in places.get(lot.pk, [])
        ]
        found.append(LotPlaces(lot, measured_words(readings.get(lot.pk)), its))
    return found


def measured_words(readings: Measured | None) -> str:
    """The readings of a lot in one line, or nothing."""
    if readings is None:
        return ""
    spread = mm_text(readings.high_um - readings.low_um)
    return f"{readings.mean_um / 1000:.4f} mm (of {readings.readings}, spread {spread} mm)"


def _available(lot: Lot, in_use: bool, known: Amounts) -> Amounts:
    """Of a retired part or lot nothing is available, whatever lies there."""
    return known if in_use and lot.retired_at is None else Amounts(known.on_hand, known.held, 0)
