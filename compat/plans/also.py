"""Parts that a job needs besides its stacks. They are asked for by number, so they are served before the search, which
then sees only what they leave."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from compat.engineering.answers import Finding, stop, warn
from compat.engineering.nut_on_shaft import Nut as EngineNut
from compat.engineering.threads.designation import Thread, ThreadError, parse
from compat.plans.answered import BesidesDrawn, PieceLot
from compat.shelf import nuts
from inventory.catalogue.kinds.nuts import Nut
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError, FieldError
from inventory.holds.selectors import lapsed_by_balance
from inventory.stock import giving
from inventory.stock.models import Balance, Condition


@dataclass(frozen=True, slots=True)
class Also:
    """What the extra parts draw: lines for the answer, {balance: pieces}, and what is missing of each."""

    lines: list[BesidesDrawn]
    draws: dict[int, int]
    missing: int
    findings: list[Finding]
    nuts: dict[str, EngineNut] = field(default_factory=dict)
    wrong_nuts: frozenset[str] = frozenset()


def serve(
    wanted: Sequence[tuple[str, int]],
    *,
    shaft_thread: str | None,
    shaft_hand: str | None,
    lapsed: Mapping[int, int] | None = None,
) -> Also:
    """New pieces of each part that may be given out, in that order; a nut among them is compared with the shaft's
    thread.

    `nuts` are those that may be the shaft's, by part number; `wrong_nuts` names those of another thread.

    Raises DomainError `invalid` for a part that does not exist. Three queries, a fourth where `lapsed` was not read
    before; none without parts.
    """
    if not wanted:
        return Also([], {}, 0, [])
    numbers = {number for number, _ in wanted}
    parts = {part.number: part for part in Part.objects.select_related("nut").filter(number__in=numbers)}
    unknown = [
        FieldError(f"also.{index}.part", "unknown", f"there is no part {number}")
        for index, (number, _) in enumerate(wanted)
        if number not in parts
    ]
    if unknown:
        raise DomainError("invalid", errors=unknown)
    free, to_check = _free(numbers, lapsed_by_balance() if lapsed is None else lapsed)
    lines, draws, missing, findings = [], dict[int, int](), 0, list[Finding]()
    right, wrong, on_shaft = dict[str, EngineNut](), set[str](), _thread(shaft_thread)
    for number, quantity in wanted:
        lots, left = [], quantity
        for balance, available in free.get(number, []):
            taken = min(left, available - draws.get(balance.pk, 0))
            if taken <= 0:
                continue
            draws[balance.pk] = draws.get(balance.pk, 0) + taken
            left -= taken
            lots.append(PieceLot(lot=balance.lot.number, drawer=balance.drawer.code, quantity=taken))
        missing += left
        lines.append(BesidesDrawn(part=number, quantity=quantity, lots=tuple(lots), missing=left))
        if left:
            findings.append(warn("also_missing", missing=left, quantity=quantity, part=number))
        if left and number in to_check:
            findings.append(warn("also_age_to_check", pieces=to_check[number], part=number))
        nut: Nut | None = getattr(parts[number], "nut", None)
        if nut is None:
            continue
        another = another_nut(nut, number, on_shaft, shaft_hand) if on_shaft else []
        findings += another
        if another:
            wrong.add(number)
        else:
            right[number] = nuts.by_label(nut)
    return Also(lines, draws, missing, findings, right, frozenset(wrong))


def _free(numbers: set[str], lapsed: Mapping[int, int]) -> tuple[dict[str, list[tuple[Balance, int]]], dict[str, int]]:
    """{part number: [(balance, free pieces)]} in the order in which they are given out, and {part number: pieces
    whose age must be looked at first}."""
    rows = list(
        Balance.objects.select_related("lot__part", "drawer").filter(
            lot__part__number__in=numbers, lot__condition=Condition.NEW, on_hand__gt=0
        )
    )
    standing = giving.standing_of(row.lot_id for row in rows)
    found: dict[str, list[tuple[Balance, int]]] = {}
    to_check: dict[str, int] = {}
    for balance in giving.in_order(rows, standing):
        number, available = balance.lot.part.number, balance.free + lapsed.get(balance.pk, 0)
        refusal = standing[balance.lot_id].refusal(to_shop=True)
        if not refusal:
            found.setdefault(number, []).append((balance, available))
        elif refusal == "age_to_check" and available:
            to_check[number] = to_check.get(number, 0) + available
    return found, to_check


def another_nut(nut: Nut, part: str, on_shaft: Thread, hand: str | None) -> list[Finding]:
    """A nut of another thread than the shaft's stops the plan: it is what lets a damper come apart."""
    if nuts.is_of(nut, on_shaft, hand or on_shaft.hand):
        return []
    named = {"nut": f"{nut.thread} ({nut.hand} hand)", "shaft": f"{on_shaft.name} ({hand or 'unknown'} hand)"}
    return [stop("nut_is_another", "trade", part=part, **named)]


def _thread(text: str | None) -> Thread | None:
    """The shaft's thread; None where it is not known or cannot be read, which the nut question asks about."""
    try:
        return parse(text) if text else None
    except ThreadError:
        return None
