"""What may be given out, and in which order: the one place that decides it, for holds and for what is shown.

Nobody gets what is retired or past its shelf life. By a part's number everybody gets new stock that is surely in its
shelf life, if its kind has one: that is what `available` counts. By a lot's number a storefront gets the same; the
workshop may also take a take-off, or a lot whose age must be looked at, since it names that very lot. What lies there
may always be counted.

The order: the lot whose shelf life ends first; then the oldest lot; then by id. Lots without an end come last.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.models import Part
from inventory.common import clock
from inventory.stock.ageing import Age, Life, life_of
from inventory.stock.models import Balance, Condition, Lot

REASONS = {
    "retired": "{which} is retired",
    "over_age": "{which} is past its shelf life",
    "take_off": "{which} is a take-off; only the workshop fits those",
    "age_to_check": "{which} is not surely in its shelf life; the workshop must look at it",
}
# What is said of pieces that lie there but are kept back for their age.
AGED = {"over_age": "past their shelf life", "age_to_check": "whose age the workshop must check first"}
FACTS = ("pk", "number", "condition", "cure_date", "retired_at", "part__retired_at")


@dataclass(frozen=True, slots=True)
class Standing:
    """What of a lot decides whether it may go: since when it or its part is retired, what it is, its age."""

    lot: str
    retired_at: datetime | None
    take_off: bool
    compound: str | None
    cured: str
    life: Life

    def refusal(self, *, to_shop: bool) -> str:
        """Why it may not go, a key of REASONS; empty where it may. `to_shop` also for whoever asks by part number."""
        if self.retired_at is not None:
            return "retired"
        if self.life.age is Age.OVER:
            return "over_age"
        if to_shop and self.take_off:
            return "take_off"
        return "age_to_check" if to_shop and not self.life.is_sure else ""

    def counted_at(self, moment: datetime) -> bool:
        """Whether its pieces counted as available at a moment, as far as its age and its being retired go."""
        retired = self.retired_at is not None and self.retired_at <= moment
        return not retired and life_of(self.compound, self.cured, clock.day_of(moment)).is_sure


def told_of_age(kept: Mapping[str, int]) -> str:
    """The end of a sentence on how many pieces are kept back and why, {a key of AGED: pieces}; empty where none are."""
    said = [f"{kept[code]} {words}" for code, words in AGED.items() if kept.get(code)]
    return f"; kept back: {', '.join(said)}" if said else ""


def standing_of(lots: Iterable[int]) -> dict[int, Standing]:
    """{lot id: how it stands today}; one query."""
    ageing = [f"part__{kind.table._meta.model_name}__{kind.ages_by}" for kind in KINDS.values() if kind.ages_by]
    today = clock.today()
    found = {}
    for row in Lot.objects.filter(pk__in=set(lots)).values_list(*FACTS, *ageing):
        key, number, condition, cured, *retired = row[: len(FACTS)]
        compound = next((one for one in row[len(FACTS) :] if one is not None), None)
        life = life_of(compound, cured, today)
        since = min((one for one in retired if one is not None), default=None)
        found[key] = Standing(number, since, condition == Condition.TAKE_OFF, compound, cured, life)
    return found


def compounds_of(parts: Iterable[Part]) -> dict[int, str]:
    """{part id: compound} of the parts whose kind ages on the shelf; one query for each such kind among them."""
    found: dict[int, str] = {}
    by_kind: dict[str, list[int]] = {}
    for part in parts:
        by_kind.setdefault(part.kind, []).append(part.pk)
    for code, ids in by_kind.items():
        kind = KINDS[code]
        if kind.ages_by:
            rows: Any = kind.table._default_manager.filter(pk__in=ids)
            found.update(rows.values_list("pk", kind.ages_by))
    return found


def in_order(balances: Iterable[Balance], standing: Mapping[int, Standing]) -> list[Balance]:
    """Balances in the order in which they are given out; their lots are loaded."""

    def place(balance: Balance) -> tuple[date, date, int]:
        until = standing[balance.lot_id].life.until
        return until or date.max, balance.lot.received_on, balance.pk

    return sorted(balances, key=place)
