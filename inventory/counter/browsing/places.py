"""Where lots lie, and how many of each are on hand, held and available."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.common.quantities import mm_text
from inventory.counter.browsing.part_words import size_line
from inventory.holds import amounts
from inventory.holds.amounts import Amounts
from inventory.stock import giving
from inventory.stock.ageing import AGELESS, Life
from inventory.stock.models import Balance, Lot
from inventory.stock.selectors import Measured, balances_of, readings_of, sizes_of

MOST_SHOWN = 200  # lots on one page; the others are found by their numbers
CONDITION_WORDS = {"new": "new", "take_off": "take-off"}


@dataclass(frozen=True, slots=True)
class Lying:
    """A lot in a drawer."""

    balance: Balance
    lot: Lot
    drawer: str
    amounts: Amounts
    size: str = ""
    age_words: str = ""

    @property
    def condition(self) -> str:
        return CONDITION_WORDS[self.lot.condition]


@dataclass(frozen=True, slots=True)
class LotPlaces:
    """A lot, what its readings say, and where it lies."""

    lot: Lot
    measured: str
    places: list[Lying]
    life: Life = AGELESS

    @property
    def condition(self) -> str:
        return CONDITION_WORDS[self.lot.condition]

    @property
    def received_on(self) -> date:
        return self.lot.received_on


def lying(balances: Sequence[Balance]) -> list[Lying]:
    """Balances with their lots' parts as a drawer shows them; three queries and one for each kind."""
    standing = giving.standing_of(balance.lot_id for balance in balances)
    known = amounts.of_balances(balances, standing=standing)
    sizes = sizes_of({balance.lot.part_id: balance.lot.part for balance in balances}.values())
    return [
        Lying(
            balance,
            balance.lot,
            "",
            known[balance.pk],
            size_line(sizes[balance.lot.part_id]),
            standing[balance.lot_id].life.words,
        )
        for balance in balances
    ]


def of_lots(lots: Iterable[Lot]) -> list[LotPlaces]:
    """Lots with their readings, places and ages; four queries."""
    listed = list(lots)
    ids = [lot.pk for lot in listed]
    places, readings = balances_of(ids), readings_of(ids)
    standing = giving.standing_of(ids)
    known = amounts.of_balances((balance for its in places.values() for balance in its), standing=standing)
    found = []
    for lot in listed:
        life = standing[lot.pk].life
        its = [Lying(one, lot, one.drawer.code, known[one.pk], age_words=life.words) for one in places.get(lot.pk, [])]
        found.append(LotPlaces(lot, measured_words(readings.get(lot.pk)), its, life))
    return found


def measured_words(readings: Measured | None) -> str:
    """The readings of a lot in one line, or nothing."""
    if readings is None:
        return ""
    if readings.readings == 1:
        return f"{readings.mean_um / 1000:.4f} mm (one reading)"
    spread = mm_text(readings.high_um - readings.low_um)
    return f"{readings.mean_um / 1000:.4f} mm (of {readings.readings}, spread {spread} mm)"
