"""What is on hand, held and available, exact as of now: the one place that computes it for showing.

Pieces of holds whose time is over count as available although nobody swept them yet.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.catalogue.models import Part
from inventory.holds.selectors import lapsed_by_balance, lapsed_by_part
from inventory.stock.models import Balance, Condition
from inventory.stock.selectors import quantities_of


@dataclass(frozen=True, slots=True)
class Amounts:
    """Quantities in the part's own unit."""

    on_hand: int = 0
    held: int = 0
    available: int = 0

    @classmethod
    def of(cls, on_hand: int, held: int, lapsed: int = 0) -> Amounts:
        """`held` as the ledger has it, `lapsed` what of that nobody is owed any more."""
        return cls(on_hand, held - lapsed, on_hand - held + lapsed)


def of_parts(parts: Sequence[Part]) -> dict[tuple[int, str], Amounts]:
    """{(part id, condition): amounts} for every part and both conditions; two queries.

    Of a retired part nothing is available, whatever lies in the drawer.
    """
    known, lapsed = quantities_of(parts), lapsed_by_part([part.pk for part in parts])
    found = {}
    for part in parts:
        for condition in Condition:
            key = (part.pk, condition.value)
            amounts = Amounts.of(*known.get(key, (0, 0)), lapsed.get(key, 0))
            found[key] = amounts if part.retired_at is None else Amounts(amounts.on_hand, amounts.held, 0)
    return found


def of_balances(balances: Iterable[Balance]) -> dict[int, Amounts]:
    """{balance id: amounts}; one query."""
    rows = list(balances)
    lapsed = lapsed_by_balance([balance.pk for balance in rows]) if rows else {}
    return {balance.pk: Amounts.of(balance.on_hand, balance.held, lapsed.get(balance.pk, 0)) for balance in rows}
