"""New parts on the shelf that could take the place of a worn one. A reader, like compat.shelf.shim_rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypedDict

from django.conf import settings
from django.db.models import Q

from compat.engineering.seals.compounds import COMPOUNDS, bears
from compat.engineering.seals.listed import Listed, readings
from compat.engineering.seals.ring import Ring
from compat.engineering.seals.shelf_life import State, life_by_label
from compat.engineering.threads.designation import Thread
from compat.engineering.units import Range, um_to_mm
from inventory.common.clock import today
from inventory.holds.selectors import lapsed_by_balance
from inventory.stock.models import Balance, Condition

MOST = 5  # parts of a kind
NEAR_UM = 50  # between a told size and the catalogue's: another size lies further off
# Between the limits of a told size; past them it may be another one. A ring's diameter varies more, as makers state it.
WIDE_MM, WIDE_RING = 0.2, 0.02
AGEING = ("oring", "seal_head")
TO_CHECK = (State.INSPECT, State.UNKNOWN)
AGES = (None, State.GOOD, State.SOON, State.INSPECT, State.UNKNOWN)
LENGTHS = ("ring_id", "section", "ring_id_tolerance", "section_tolerance")
COLUMNS = (
    "pk", "on_hand", "held", "lot__cure_date", "lot__part__number", "lot__part__name", "lot__part__kind",
    "lot__part__unit", "drawer__code", "lot__part__oring__compound", "lot__part__oring__size",
    *(f"lot__part__oring__{name}_um" for name in LENGTHS),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Wanted:
    """A part to look for: its kind, and the condition on it (with the lookup path from a balance)."""

    kind: str
    matching: Q


def ring(told: Ring, fluid: str | None, *temperatures_c: float | None) -> Wanted:
    """A ring of the same size, by its dash number or by its lengths, of a compound that surely bears what it meets:
    none of any compound where the fluid is not known."""
    table = "lot__part__oring__"
    if told.size:
        matching = Q(**{f"{table}size": told.size})
    else:
        inner = _near(f"{table}ring_id_um", told.id_mm, WIDE_MM + WIDE_RING * told.id_mm.nominal)
        matching = inner & _near(f"{table}section_um", told.section_mm)
    bearing = [compound for compound in COMPOUNDS if bears(compound, fluid, *temperatures_c)]
    return Wanted("oring", matching & Q(**{f"{table}compound__in": bearing}))


def band(bore_mm: Range, thickness_mm: Range, width_mm: Range | None) -> Wanted:
    """A band for this nominal bore, as thick as the one that belongs there, and as wide where that is known."""
    matching = _near("lot__part__band__for_bore_um", bore_mm)
    matching &= _near("lot__part__band__band_thickness_um", thickness_mm)
    if width_mm is not None:
        matching &= _near("lot__part__band__width_um", width_mm)
    return Wanted("band", matching)


def seal_head(shaft_mm: Range, body_mm: Range) -> Wanted:
    """A seal head for this nominal shaft in this nominal body."""
    table = "lot__part__sealhead__"
    return Wanted("seal_head", _near(f"{table}shaft_um", shaft_mm) & _near(f"{table}body_um", body_mm))


def nut(thread: Thread, hand: str) -> Wanted:
    """A nut of this very thread and hand."""
    return Wanted("nut", Q(lot__part__nut__thread=thread.name, lot__part__nut__hand=hand))


class Replacement(TypedDict):
    """A part that could go on, how much of it is free and where, and how its best lot stands in its shelf life."""

    part: str
    name: str
    kind: str
    unit: str
    available: int
    drawers: list[str]
    age: State | None


def on_shelf(wanted: Wanted) -> list[Replacement]:
    """Parts that match, with what is free of them now and where, most first; two queries.

    New stock only. Of rings and seal heads `age` says where the best lot stands in its shelf life by the shop's
    policy (good, soon, inspect, unknown; None of other kinds); lots past theirs are left out. Lots whose age must be
    looked at first are named only where nothing better lies there.
    """
    rows = Balance.objects.filter(
        wanted.matching,
        lot__part__kind=wanted.kind,
        lot__part__retired_at=None,
        lot__retired_at=None,
        lot__condition=Condition.NEW,
        on_hand__gt=0,
    )
    lapsed = lapsed_by_balance()
    found: dict[tuple[str, bool], Replacement] = {}
    for row in rows.order_by("lot__part__number", "drawer__code", "pk").values(*COLUMNS):
        free = row["on_hand"] - row["held"] + lapsed.get(row["pk"], 0)
        kind, size = row["lot__part__kind"], row["lot__part__oring__size"]
        age = _age(kind, row["lot__part__oring__compound"], row["lot__cure_date"])
        lengths = [row[f"lot__part__oring__{name}_um"] for name in LENGTHS]
        if free <= 0 or age is State.OVER or (kind == "oring" and _contradicts_itself(size, lengths)):
            continue
        number = row["lot__part__number"]
        part = found.setdefault(
            (number, age in TO_CHECK),
            {
                "part": number,
                "name": row["lot__part__name"],
                "kind": kind,
                "unit": row["lot__part__unit"],
                "available": 0,
                "drawers": [],
                "age": age,
            },
        )
        part["age"] = min((part["age"], age), key=AGES.index)
        part["available"] += free
        if row["drawer__code"] not in part["drawers"]:
            part["drawers"].append(row["drawer__code"])
    best = [part for (number, doubtful), part in found.items() if not doubtful or (number, False) not in found]
    return sorted(best, key=lambda one: (-one["available"], one["part"]))[:MOST]


def _contradicts_itself(size: str, lengths_um: Sequence[int | None]) -> bool:
    """Whether a ring's label and its lengths name two rings: nobody knows which one lies in the drawer."""
    inner, section, about, thick = (None if um is None else um_to_mm(um) for um in lengths_um)
    assert inner is not None and section is not None
    return len(readings(Listed(inner, section, about, thick, size))) > 1


def _age(kind: str, compound: str | None, cured: str) -> State | None:
    if kind not in AGEING:
        return None
    return life_by_label(compound, cured, today(), settings.SHELF_LIFE).state


def _near(column: str, size: Range, widest_mm: float = WIDE_MM) -> Q:
    """What the catalogue lists as this size; nothing where it is known too roughly to tell it from the next one."""
    if size.high - size.low > widest_mm:
        return Q(pk__in=())
    middle = round(size.nominal * 1000)
    return Q(**{f"{column}__range": (middle - NEAR_UM, middle + NEAR_UM)})
