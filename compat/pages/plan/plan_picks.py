"""What to take for a plan, drawer by drawer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from compat.pages.plan import plan_words

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


def picks_of(document: Mapping[str, Any], refs: Mapping[Ply, str]) -> list[Pick]:
    """The pick list of a plan document; `refs` are the numbers in the drawings."""
    found: dict[tuple[str, str], Pick] = {}
    for lot, what, used_for in _wanted(document, refs):
        key = (lot["drawer"], lot["lot"])
        before = found.get(key)
        uses = [*(before.used_for.split(", ") if before else ()), used_for]
        found[key] = Pick(
            drawer=lot["drawer"],
            lot=lot["lot"],
            size=what,
            quantity=lot["quantity"] + (before.quantity if before else 0),
            used_for=", ".join(dict.fromkeys(uses)),
            take_off=lot.get("condition") == "take_off",
        )
    return [found[key] for key in sorted(found)]


def mark_of(lot: Mapping[str, Any]) -> str:
    """The mark of a lot's pieces in the drawing."""
    return "stand_in" if lot["stand_in"] else "none"


def _wanted(document: Mapping[str, Any], refs: Mapping[Ply, str]) -> Iterator[tuple[Mapping[str, Any], str, str]]:
    """(lot, what it is, what it is for) of everything drawn."""
    lines = document["lines"]
    for line in lines:
        for lot in line["lots"]:
            ref = refs.get((line["position"], lot["od_mm"], lot["thickness_mm"], mark_of(lot)), "")
            used_for = plan_words.at_valve(ref, line["valve"], lines) or plan_words.place(line, lines)
            yield lot, plan_words.size(lot), used_for
    for lot in (document["spacer"] or {}).get("lines", ()):
        ref = refs.get((SPACER, lot["od_mm"], lot["thickness_mm"], lot["lot"]), "")
        yield lot, plan_words.size(lot), f"{plan_words.at_valve(ref, 'main', lines)} spacer".strip()
    nut = document.get("nut") or {}
    for lot in nut.get("lots", ()):
        yield lot, nut["part"], "nut"
    for line in document["also"]:
        for lot in line["lots"]:
            yield lot, line["part"], "nut" if nut.get("in_also") and nut["part"] == line["part"] else "besides"
