"""Which parts of the catalogue have a typed size, exactly or within what the words leave open."""

from __future__ import annotations

from functools import reduce
from operator import and_, or_
from typing import Any

from django.db.models import Q, QuerySet

from inventory.catalogue.size_columns import HALVED, TABLES, sum_of
from inventory.common.sizes.measures import table_kind
from inventory.common.sizes.wanted import Meaning
from inventory.counter.browsing.typed_sizes import Typed, limits_of

Rows = QuerySet[Any]
ROLES = ("base_plate", "sleeve")


def shims_of(typed: Typed, most: int) -> list[int]:
    """The shims of a size, by bore and thickness, in the most usual way of reading it that any shim has: 10x0.10 is an
    outer diameter before it is a bore. One query for each way that is tried."""
    ways = [way for way in typed.ways if table_kind(way.kind) == "shim"]
    for one in ways[:1] if typed.is_diameter else ways:
        rows = _rows("shim", typed, [one])
        found = rows.order_by("bore_um", "thickness_um", "form", "pk") if rows is not None else None
        if found is not None and (keys := list(found.values_list("pk", flat=True)[:most])):
            return keys
    return []


def others_of(typed: Typed, most: int) -> list[int]:
    """Everything but shims of a size; one query."""
    found = [
        rows.order_by().values_list("pk")
        for kind in TABLES
        if kind != "shim"
        if (rows := _rows(kind, typed)) is not None
    ]
    if not found:
        return []
    first, *others = found
    return sorted(key for (key,) in (first.union(*others) if others else first))[:most]


def _rows(kind: str, typed: Typed, among: list[Meaning] | None = None) -> Rows | None:
    """The rows of a kind that have the size in any way in which it may be read, or in one of these; None where none
    can."""
    ways = [one for one in among or typed.ways if table_kind(one.kind) == kind]
    if typed.is_diameter and kind != "oring":
        # A number alone is the diameter by which a part is called, no bore that hundreds have.
        ways = [] if kind == "nut" else ways[:1]
    table, columns = TABLES[kind]
    named: dict[str, Any] = {name: sum_of(column) for name, column in columns.items() if not isinstance(column, str)}
    conditions = [found for one in ways if (found := _condition(kind, one, columns)) is not None]
    if not conditions:
        return None
    rows: Rows = table._default_manager.annotate(**{f"read_{name}": column for name, column in named.items()})
    return rows.filter(reduce(or_, conditions))


def _condition(kind: str, one: Meaning, columns: dict[str, Any]) -> Q | None:
    if one.dash:
        return Q(size=one.dash) & _rubber(one)
    found: list[Q] = []
    sizes = dict(one.sizes)
    if kind == "nut":
        thread = _thread(one)
        sizes = {name: number for name, number in sizes.items() if name not in ("thread_mm", "pitch_mm")}
        found += [thread] if thread is not None else []
        found += [Q(hand=one.said.hand)] if one.said.hand else []
    for name, number in sizes.items():
        if name not in columns:
            return None
        low, high = limits_of(number)
        if low > high:
            return None
        factor = 2 if (kind, name) == HALVED else 1
        column = columns[name] if isinstance(columns[name], str) else f"read_{name}"
        found.append(Q(**{f"{column}__range": (low * factor, high * factor)}))
    if kind == "oring":
        found.append(_rubber(one))
    if one.said.form:
        found.append(Q(form=one.said.form))
    if one.kind in ROLES and one.said.kinds:
        found.append(Q(role=one.kind))
    return reduce(and_, found) if found else None


def _rubber(one: Meaning) -> Q:
    """The rubber that was said; what is not on file may be it."""
    said = {"compound": one.said.compound, "hardness": one.said.hardness}
    return Q(**{f"{name}__in": [value, "unknown"] for name, value in said.items() if value})


def _thread(one: Meaning) -> Q | None:
    """The thread by its name; of a diameter alone every pitch, of a pitch alone every diameter."""
    thread, sizes = one.said.thread, one.sizes
    if thread is not None and not thread.is_metric:
        ends = Q(thread__iendswith=thread.series) if thread.series else Q()
        return (
            Q(thread__istartswith=thread.name.removesuffix(f" {thread.series}") + ("" if thread.pitch_mm else "-"))
            & ends
        )
    nominal = thread.nominal_mm if thread is not None else sizes["thread_mm"].mm if "thread_mm" in sizes else None
    pitch = sizes["pitch_mm"].mm if "pitch_mm" in sizes else None
    if nominal is not None and pitch is not None:
        return Q(thread__iexact=f"M{nominal:g}x{pitch:g}")
    if nominal is not None:
        return Q(thread__istartswith=f"M{nominal:g}x")
    return Q(thread__iendswith=f"x{pitch:g}") if pitch is not None else None
