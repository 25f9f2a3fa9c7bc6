"""What a hold asks for, and which balances give it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q

from inventory.catalogue.models import Part
from inventory.common.errors import DomainError, FieldError
from inventory.common.quantities import MOST_PIECES
from inventory.holds import share
from inventory.people.actors import Actor
from inventory.people.roles import Role
from inventory.stock import giving
from inventory.stock.giving import Standing
from inventory.stock.models import Balance, Condition, Lot

MOST_LINES = 200
MOST_MINUTES = 60 * 24 * 366


@dataclass(frozen=True, slots=True)
class Wanted:
    """One line of a hold: some pieces of a part, of a lot, or of one balance. What of it may go, and in which order,
    says inventory/stock/giving.py."""

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


def rows_for(lines: Sequence[Wanted], *, actor: Actor) -> Q:
    """Which balances can serve the lines, and on which a storefront's share depends: the ones to lock."""
    parts = {line.part for line in lines if line.part}
    lots = {line.lot for line in lines if line.lot}
    balances = {line.balance for line in lines if line.balance}
    rows = Q(pk__in=balances) if balances else Q()
    if parts:
        rows |= Q(lot__part__number__in=parts, lot__condition=Condition.NEW, on_hand__gt=0)
    if lots:
        rows |= Q(lot__number__in=lots)
    if lots and share.is_limited(actor):
        of_lots = Lot.objects.filter(number__in=lots).values("part_id")
        rows |= Q(lot__part__in=of_lots, lot__condition=Condition.NEW, on_hand__gt=0)
    return rows


def serve(lines: Sequence[Wanted], balances: Sequence[Balance], *, actor: Actor) -> dict[int, int]:
    """{balance id: pieces} that serve every line from locked balances, each piece given once.

    Lines for one balance or lot are served before lines for a part, which can take from anywhere.
    Raises DomainError `invalid` for what is unknown, `not_given_out` for a lot or a part that may not go, else
    `out_of_stock` with what was free for each line that falls short. A storefront is told of a lot only that it does
    not get it: unknown, retired, a take-off or too few, the answer is the same.
    """
    # Read under the locks, so that it is what stands now.
    standing = giving.standing_of(balance.lot_id for balance in balances)
    to_shop = is_shop(actor)
    may_go = {balance.pk: not standing[balance.lot_id].refusal(to_shop=to_shop) for balance in balances}
    by_number = {balance.pk: not standing[balance.lot_id].refusal(to_shop=True) for balance in balances}
    free = {balance.pk: balance.free for balance in balances}
    given: dict[int, int] = defaultdict(int)
    short: list[tuple[int, int]] = []
    in_order = giving.in_order(balances, standing)
    room = share.room(balances, may_go=by_number, actor=actor)
    for index, line in sorted(enumerate(lines), key=lambda pair: bool(pair[1].part)):
        goes = by_number if line.part else may_go
        candidates = [balance for balance in in_order if goes[balance.pk] and _serves(line, balance)]
        available, took = _take(line.quantity, candidates, free, room)
        left = line.quantity - sum(took.values())
        if left and to_shop and line.lot:
            # What it would have taken shows in no other line's figure.
            short.append((index, available))
            continue
        for balance in candidates:
            if taken := took[balance.pk]:
                free[balance.pk] -= taken
                given[balance.pk] += taken
                if balance.lot.part_id in room:
                    room[balance.lot.part_id] -= taken
        if left:
            short.append((index, available))
    if short:
        by_lot = {one.lot: one for one in standing.values()}
        aged = _kept_back({line.part for line in lines if line.part}, balances, standing, free)
        _refuse(lines, sorted(short), by_lot, aged, to_shop=to_shop)
    return dict(given)


def _take(
    quantity: int, candidates: Sequence[Balance], free: Mapping[int, int], room: Mapping[int, int]
) -> tuple[int, dict[int, int]]:
    """(pieces that were free for a line, {balance id: pieces that it takes}); its balances are all of one part."""
    most = sum(free[balance.pk] for balance in candidates)
    if candidates:
        most = min(most, room.get(candidates[0].lot.part_id, most))
    left, took = min(quantity, most), {}
    for balance in candidates:
        took[balance.pk] = min(left, free[balance.pk])
        left -= took[balance.pk]
    return most, took


def is_shop(actor: Actor) -> bool:
    """Whether what the actor holds goes to somebody who has not looked at it."""
    return actor.role == Role.STOREFRONT


def refused(place: int, code: str, which: str) -> FieldError:
    """Why one line may not go; `code` is a key of giving.REASONS."""
    return FieldError(f"lines.{place}", code, giving.REASONS[code].format(which=which))


def _serves(line: Wanted, balance: Balance) -> bool:
    if line.balance:
        return balance.pk == line.balance
    return balance.lot.number == line.lot if line.lot else balance.lot.part.number == line.part


def _kept_back(
    parts: set[str], balances: Sequence[Balance], standing: Mapping[int, Standing], free: Mapping[int, int]
) -> dict[str, dict[str, int]]:
    """{part number: {a key of AGED: free pieces}}: what of a part lies there new and is kept back for its age."""
    found: dict[str, dict[str, int]] = {}
    for balance in balances:
        part, left = balance.lot.part.number, free[balance.pk]
        refusal = standing[balance.lot_id].refusal(to_shop=True)
        if part in parts and refusal in giving.AGED and left and balance.lot.condition == Condition.NEW:
            of_part = found.setdefault(part, {})
            of_part[refusal] = of_part.get(refusal, 0) + left
    return found


def _refuse(
    lines: Sequence[Wanted],
    short: Sequence[tuple[int, int]],
    standing: dict[str, Standing],
    aged: Mapping[str, Mapping[str, int]],
    *,
    to_shop: bool,
) -> None:
    """Says of the lines that fall short what is unknown; else what may not go; else what was free for each, and what
    lies there but is kept back for its age."""
    parts = {lines[index].part for index, _ in short if lines[index].part}
    lots = {lines[index].lot for index, _ in short if lines[index].lot}
    known_parts = {part.number: part for part in Part.objects.filter(number__in=parts)}
    known_lots = set(Lot.objects.filter(number__in=lots).values_list("number", flat=True))
    unknown, refusals = [], []
    for index, _ in short:
        line = lines[index]
        if to_shop and line.lot:
            continue
        if line.part not in {"", *known_parts} or line.lot not in {"", *known_lots}:
            text = f"there is no part or lot {line.part or line.lot}"
            unknown.append(FieldError(f"lines.{index}", "unknown", text))
        elif line.part and known_parts[line.part].retired_at is not None:
            refusals.append(refused(index, "retired", f"part {line.part}"))
        elif line.lot in standing and (code := standing[line.lot].refusal(to_shop=to_shop)):
            refusals.append(refused(index, code, f"lot {line.lot}"))
    if unknown:
        raise DomainError("invalid", errors=unknown)
    if refusals:
        raise DomainError("not_given_out", errors=refusals)
    hidden = {index for index, _ in short if to_shop and lines[index].lot}
    errors, free = [], []
    for index, available in short:
        asked, kept = lines[index].quantity, aged.get(lines[index].part, {})
        if index in hidden:
            said, kept = f"{asked} of lot {lines[index].lot} asked; a storefront does not get so many of it", {}
        else:
            said = f"{asked} asked, {available} free{giving.told_of_age(kept)}"
        errors.append(FieldError(f"lines.{index}", "out_of_stock", said))
        free.append({"line": index, "asked": asked, "free": None if index in hidden else available, **kept})
    raise DomainError("out_of_stock", errors=errors, lines=free)
