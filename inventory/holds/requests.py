"""What a hold asks for, and which balances give it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q

from inventory.catalogue.models import Part
from inventory.common.errors import DomainError, FieldError
from inventory.common.quantities import MOST_PIECES
from inventory.holds.claims import oldest_first
from inventory.stock.models import Balance, Condition, Lot

MOST_LINES = 200


@dataclass(frozen=True, slots=True)
class Wanted:
    """One line of a hold: some pieces of a part (new stock only, oldest first), of a lot, or of one balance."""

    quantity: int
    part: str = ""
    lot: str = ""
    balance: int = 0


def check(lines: Sequence[Wanted]) -> None:
    """Raises DomainError `invalid` for no lines, too many, a line without or with several targets, odd quantities."""
    errors = []
    if not 1 <= len(lines) <= MOST_LINES:
        errors.append(FieldError("lines", "length", f"must have 1 to {MOST_LINES} lines"))
    for index, line in enumerate(lines):
        if sum(map(bool, (line.part, line.lot, line.balance))) != 1:
            errors.append(FieldError(f"lines.{index}", "target", "names either a part or a lot"))
        if not 1 <= line.quantity <= MOST_PIECES:
            text = f"must be a whole number from 1 to {MOST_PIECES}"
            errors.append(FieldError(f"lines.{index}.quantity", "range", text))
    if errors:
        raise DomainError("invalid", errors=errors)


def rows_for(lines: Sequence[Wanted]) -> Q:
    """Which balances can serve the lines: the ones to lock."""
    parts = {line.part for line in lines if line.part}
    lots = {line.lot for line in lines if line.lot}
    balances = {line.balance for line in lines if line.balance}
    rows = Q(pk__in=balances) if balances else Q()
    if parts:
        rows |= Q(lot__part__number__in=parts, lot__condition=Condition.NEW, on_hand__gt=0)
    if lots:
        rows |= Q(lot__number__in=lots)
    return rows & Q(lot__retired_at=None)


def serve(lines: Sequence[Wanted], balances: Sequence[Balance]) -> dict[int, int]:
    """{balance id: pieces} that serve every line from locked balances, each piece given once.

    Lines for one balance or lot are served before lines for a part, which can take from anywhere.
    Raises DomainError `out_of_stock` with what was free for each line that falls short, `invalid` for what is unknown.
    """
    free = {balance.pk: balance.free for balance in balances}
    given: dict[int, int] = defaultdict(int)
    short: list[tuple[int, int]] = []
    in_order = oldest_first(balances)
    for index, line in sorted(enumerate(lines), key=lambda pair: bool(pair[1].part)):
        candidates = [balance for balance in in_order if _serves(line, balance)]
        available = sum(free[balance.pk] for balance in candidates)
        left = line.quantity
        for balance in candidates:
            taken = min(left, free[balance.pk])
            free[balance.pk] -= taken
            left -= taken
            if taken:
                given[balance.pk] += taken
        if left:
            short.append((index, available))
    if short:
        _refuse(lines, short)
    return dict(given)


def _serves(line: Wanted, balance: Balance) -> bool:
    if line.balance:
        return balance.pk == line.balance
    if line.lot:
        return balance.lot.number == line.lot
    part: Part = balance.lot.part
    return part.number == line.part and balance.lot.condition == Condition.NEW and part.retired_at is None


def _refuse(lines: Sequence[Wanted], short: Sequence[tuple[int, int]]) -> None:
    """Out of stock with the free count of each line, or invalid where a line names something that does not exist."""
    parts = {lines[index].part for index, _ in short if lines[index].part}
    lots = {lines[index].lot for index, _ in short if lines[index].lot}
    known_parts = set(Part.objects.filter(number__in=parts).values_list("number", flat=True))
    known_lots = set(Lot.objects.filter(number__in=lots).values_list("number", flat=True))
    unknown = [
        FieldError(f"lines.{index}", "unknown", f"there is no part or lot {lines[index].part or lines[index].lot}")
        for index, _ in short
        if lines[index].part not in {"", *known_parts} or lines[index].lot not in {"", *known_lots}
    ]
    if unknown:
        raise DomainError("invalid", errors=unknown)
    errors = [
        FieldError(f"lines.{index}", "out_of_stock", f"{lines[index].quantity} asked, {available} free")
        for index, available in sorted(short)
    ]
    free = [{"line": index, "asked": lines[index].quantity, "free": available} for index, available in sorted(short)]
    raise DomainError("out_of_stock", errors=errors, lines=free)
