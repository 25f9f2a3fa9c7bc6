"""What is on hand, held and available, exact as of now: the one place that computes it for showing.

Available is what is on hand, not held, and may be given out (inventory/stock/giving.py). Pieces of holds whose time is
over count as available although nobody swept them yet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass

from inventory.catalogue.models import Part
from inventory.common import clock
from inventory.holds.selectors import lapsed_by_balance, lapsed_by_part
from inventory.stock import giving
from inventory.stock.ageing import AGELESS, Age, Life, life_of
from inventory.stock.models import Balance, Condition
from inventory.stock.selectors import quantities_of


@dataclass(frozen=True, slots=True)
class Amounts:
    """Quantities in the part's own unit. What is neither held nor available is `over_age`, past its shelf life, or
    `age_to_check`, not surely in it; or its part or lot is retired."""

    on_hand: int = 0
    held: int = 0
    available: int = 0
    over_age: int = 0
    age_to_check: int = 0

    @classmethod
    def of(cls, on_hand: int, held: int, lapsed: int = 0, *, life: Life = AGELESS, retired: bool = False) -> Amounts:
        """`held` as the ledger has it, `lapsed` what of that nobody is owed any more."""
        free = on_hand - held + lapsed
        return cls(
            on_hand,
            held - lapsed,
            free if life.is_sure and not retired else 0,
            free if life.age is Age.OVER else 0,
            free if life.age is Age.CHECK else 0,
        )

    def shown(self, *, to_shop: bool) -> dict[str, int]:
        """As an answer shows them. To a storefront nothing counts as on hand but what is held and what may be given
        out, so that it never offers a piece that nobody will hand over."""
        on_hand = self.held + self.available if to_shop else self.on_hand
        return {**asdict(self), "on_hand": on_hand}

    def __add__(self, other: Amounts) -> Amounts:
        return Amounts(
            self.on_hand + other.on_hand,
            self.held + other.held,
            self.available + other.available,
            self.over_age + other.over_age,
            self.age_to_check + other.age_to_check,
        )


def of_parts(parts: Sequence[Part]) -> dict[tuple[int, str], Amounts]:
    """{(part id, condition): amounts} for every part and both conditions; two queries, a third where seals are among
    them.

    Of a retired part nothing is available, whatever lies in the drawer.
    """
    known, lapsed = quantities_of(parts), lapsed_by_part([part.pk for part in parts])
    compounds, today = giving.compounds_of(parts), clock.today()
    retired = {part.pk for part in parts if part.retired_at is not None}
    found = {(part.pk, condition.value): Amounts() for part in parts for condition in Condition}
    for key, (on_hand, held) in known.items():
        part, condition, cured = key
        life = life_of(compounds.get(part), cured, today)
        found[part, condition] += Amounts.of(on_hand, held, lapsed.get(key, 0), life=life, retired=part in retired)
    return found


def of_balances(
    balances: Iterable[Balance], *, standing: Mapping[int, giving.Standing] | None = None
) -> dict[int, Amounts]:
    """{balance id: amounts}; two queries, one where `standing` of their lots is read already. Of a retired part or
    lot nothing is available."""
    rows = list(balances)
    if not rows:
        return {}
    lapsed = lapsed_by_balance([balance.pk for balance in rows])
    if standing is None:
        standing = giving.standing_of(balance.lot_id for balance in rows)
    return {row.pk: _amounts(row, lapsed.get(row.pk, 0), standing[row.lot_id]) for row in rows}


def _amounts(row: Balance, lapsed: int, lot: giving.Standing) -> Amounts:
    return Amounts.of(row.on_hand, row.held, lapsed, life=lot.life, retired=lot.retired_at is not None)
