"""Parts of the catalogue whose sizes come near what was read: one query a kind, one more for nuts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import reduce
from operator import add, and_, or_
from typing import Any

from django.db.models import ExpressionWrapper, F, FloatField, Q, QuerySet, Value
from django.db.models.functions import Abs, Cast, Coalesce, Least

from compat.engineering.by_size.judging import Judged, Known, flats, judge, reach, ring_sizes, thread_sizes
from compat.engineering.by_size.measures import Reading, Way
from compat.engineering.units import Range, um_to_mm
from compat.questions.parts_by_size.wanting import kinds_of, ways_of
from inventory.catalogue.size_columns import HALVED, TABLES, Column, sum_of
from inventory.common.sizes.measures import table_kind
from inventory.common.sizes.wanted import Wanted

# Of each kind at most so many, the nearest first: what lies further off is never among the shown.
MOST_OF_A_KIND = 400
MOST_NUTS = 2000  # their threads are texts, which the database cannot put in order
ROLES = ("base_plate", "sleeve")
# Own tolerances of parts, mm, at most: what the query must look wider for.
RING_ID_PART, RING_MM, FLATS_MM = 0.03, 0.6, 1.2
MORE_COLUMNS = {
    "nut": ("thread", "hand"),
    "washer": ("role",),
    "oring": ("size", "ring_id_tolerance_um", "section_tolerance_um", "compound", "hardness"),
}


def near(wanted: Wanted) -> list[Judged]:
    """Every part that may be the one that was read, or is nearly it; nine queries at most, however large the shelf."""
    kinds, rubber = kinds_of(wanted), (wanted.compound, wanted.hardness)
    found = []
    for kind in dict.fromkeys(table_kind(one) for one in kinds):
        possible = ways_of(kind, wanted)
        if not possible:
            continue
        roles = {one for one in kinds if one in ROLES} if "washer" not in kinds else set()
        for part in _parts(kind, possible, roles):
            if (judged := judge(part, possible, hand=wanted.hand, rubber=rubber)) is not None:
                found.append(judged)
    return found


def _parts(kind: str, possible: Sequence[Way], roles: set[str]) -> list[Known]:
    table, columns = TABLES[kind]
    rows: QuerySet[Any] = table._default_manager.all()
    names: dict[str, str] = {}
    for measure, column in columns.items():
        if isinstance(column, str):
            names[measure] = column
        elif any(measure in way for way in possible):
            names[measure] = f"read_{measure}"
            rows = rows.annotate(**{names[measure]: sum_of(column)})
    if roles and kind == "washer":
        rows = rows.filter(role__in=roles)
    threads = list(rows.order_by().values_list("thread", flat=True).distinct()) if kind == "nut" else []
    rows = rows.filter(reduce(or_, (_within(kind, way, names, threads) for way in possible)))
    offs = [off for way in possible if (off := _off(kind, way, names)) is not None]
    order = [Least(*offs)] if len(offs) > 1 else offs
    rows = rows.order_by(*order, "pk")
    shown = [name for name in columns.values() if isinstance(name, str)]
    more = MORE_COLUMNS.get(kind, ())
    found = rows.values("pk", *shown, *more)[: MOST_NUTS if kind == "nut" else MOST_OF_A_KIND]
    return [_known(kind, row, columns) for row in found]


def _within(kind: str, way: Way, names: Mapping[str, str], threads: Sequence[str]) -> Q:
    """The condition that a part's sizes are in reach of the readings of one way."""
    conditions = [_between(kind, name, one, names[name]) for name, one in way.items() if name in names]
    of_thread = {name: one for name, one in way.items() if name not in names}
    if of_thread:
        conditions.append(Q(thread__in=[thread for thread in threads if _thread_near(thread, of_thread)]))
    return reduce(and_, conditions)


def _between(kind: str, measure: str, reading: Reading, column: str) -> Q:
    width = reach(kind, measure, reading)
    if kind == "oring":
        width += RING_MM + RING_ID_PART * reading.mm
    elif measure == "across_flats_mm":
        width += FLATS_MM
    factor = 2000 if (kind, measure) == HALVED else 1000
    limits = (round((reading.mm - width) * factor), round((reading.mm + width) * factor))
    within = Q(**{f"{column}__range": limits})
    return within | Q(**{column: None}) if measure == "across_flats_mm" else within


def _thread_near(thread: str, way: Way) -> bool:
    sizes = thread_sizes(thread)
    return all(
        name not in sizes or sizes[name].low - width <= one.mm <= sizes[name].high + width
        for name, one in way.items()
        for width in (reach("nut", name, one),)
    )


def _off(kind: str, way: Way, names: Mapping[str, str]) -> Any:
    """How far a part is from the readings, for the order: each by its error, as floats, since they grow large. None
    where no reading is in a column."""
    terms: list[Any] = []
    for name, one in way.items():
        if name in names:
            factor = 2000 if (kind, name) == HALVED else 1000
            weight = Value(1 / max(one.error, 0.001), output_field=FloatField())
            read = Value(one.mm * factor, output_field=FloatField())
            # What is not on file is no further off than what agrees.
            away = Abs(Coalesce(Cast(F(names[name]), FloatField()), read) - read)
            terms.append(ExpressionWrapper(away * weight, output_field=FloatField()))
    return ExpressionWrapper(reduce(add, terms), output_field=FloatField()) if terms else None


def _known(kind: str, row: Mapping[str, Any], columns: Mapping[str, Column]) -> Known:
    sizes = {name: _exact(row[at]) for name, at in columns.items() if isinstance(at, str) and row[at] is not None}
    if kind == "oring":
        tolerances = tuple(row[f"{name}_tolerance_um"] for name in ("ring_id", "section"))
        about, thick = (None if one is None else um_to_mm(one) for one in tolerances)
        rubber = tuple("" if row[name] == "unknown" else row[name] for name in ("compound", "hardness"))
        inner, section = (sizes[name].nominal for name in ("id_mm", "section_mm"))
        return Known(
            row["pk"], kind, ring_sizes(inner, section, row["size"], (about, thick)), dash=row["size"], rubber=rubber
        )
    for name, column in columns.items():
        if not isinstance(column, str):
            um = sum(row[at] * factor for at, factor in column)
            sizes[name] = _exact(um / 2 if (kind, name) == HALVED else um)
    if "across_flats_mm" in sizes:
        sizes["across_flats_mm"] = flats(sizes["across_flats_mm"].nominal)
    if kind == "nut":
        return Known(row["pk"], kind, {**thread_sizes(row["thread"]), **sizes}, row["thread"], row["hand"])
    return Known(row["pk"], kind, sizes, role=row.get("role", ""))


def _exact(um: float) -> Range:
    return Range.exact(um_to_mm(um))
