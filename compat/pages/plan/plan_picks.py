"""What to take for a plan, drawer by drawer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from compat.pages.plan import plan_words
from compat.plans.answered import AnsweredPlan, PieceLot, ShimLot

SPACER = "spacer"
# What one number of a drawing stands for: position, diameter, thickness, and its mark; of a spacer the lot.
Ply = tuple[str, float, float, str]


@dataclass(frozen=True, slots=True)
class Pick:
    """Pieces to take from one lot in one drawer, and the numbers of the drawings that they are for."""

    drawer: str
    lot: str
    size: str
    quantity: int
    used_for: str
    take_off: bool


def picks_of(plan: AnsweredPlan, refs: Mapping[Ply, str]) -> list[Pick]:
    """The pick list of a plan; `refs` are the numbers in the drawings."""
    found: dict[tuple[str, str], Pick] = {}
    for lot, what, used_for in _wanted(plan, refs):
        key = (lot.drawer, lot.lot)
        before = found.get(key)
        uses = [*(before.used_for.split(", ") if before else ()), used_for]
        found[key] = Pick(
            drawer=lot.drawer,
            lot=lot.lot,
            size=what,
            quantity=lot.quantity + (before.quantity if before else 0),
            used_for=", ".join(dict.fromkeys(uses)),
            take_off=isinstance(lot, ShimLot) and lot.condition == "take_off",
        )
    return [found[key] for key in sorted(found)]


def mark_of(lot: ShimLot) -> str:
    """The mark of a lot's pieces in the drawing."""
    return "stand_in" if lot.stand_in else "none"


def _wanted(plan: AnsweredPlan, refs: Mapping[Ply, str]) -> Iterator[tuple[ShimLot | PieceLot, str, str]]:
    """(lot, what it is, what it is for) of everything drawn."""
    for line in plan.lines:
        for lot in line.lots:
            ref = refs.get((line.position, lot.od_mm, lot.thickness_mm, mark_of(lot)), "")
            used_for = plan_words.at_valve(ref, line.valve, plan.lines) or plan_words.place(line, plan.lines)
            yield lot, plan_words.shim(lot), used_for
    for lot in plan.spacer.lines if plan.spacer else ():
        ref = refs.get((SPACER, lot.od_mm, lot.thickness_mm, lot.lot), "")
        yield lot, plan_words.shim(lot), f"{plan_words.at_valve(ref, 'main', plan.lines)} spacer".strip()
    nut = plan.nut
    if nut is not None and nut.part is not None:
        for piece in nut.lots:
            yield piece, nut.part, "nut"
    for besides in plan.also:
        is_nut = nut is not None and nut.in_also and nut.part == besides.part
        for piece in besides.lots:
            yield piece, besides.part, "nut" if is_nut else "besides"
