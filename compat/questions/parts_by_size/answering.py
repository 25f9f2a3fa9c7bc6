"""The answer to parts by size: what was found, where it lies, and the document of the API."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Model

from compat.engineering.answers import Answer, Finding, warn
from compat.engineering.by_size.judging import Judged
from compat.engineering.by_size.measures import MEASURES
from compat.engineering.units import Range
from compat.questions.parts_by_size import catalogue
from compat.questions.parts_by_size.findings import Shown, findings_of, miss_of, mm, size, standard, what
from compat.questions.parts_by_size.wanting import kinds_of, ways_of
from inventory.catalogue.kinds.registry import KINDS, Word
from inventory.catalogue.models import Part
from inventory.common.sizes.echo import read_as
from inventory.common.sizes.wanted import Wanted
from inventory.holds import amounts
from inventory.holds.amounts import Amounts
from inventory.stock.models import Balance, Condition
from inventory.stock.selectors import sizes_of

QUESTION = "parts-by-size"
MOST, MOST_NEAR = 50, 20
# What a size is made of; in what else parts of one size differ is said beside it.
OF_THE_SIZE = ("thread", "hand", "size")
CAUTIONS = {"nut": "wrong_nut", "oring": "new_seals"}
SOURCES = {"nut": ("iso_261", "iso_965_1", "asme_b1_1"), "oring": ("as568",)}


@dataclass(frozen=True, slots=True)
class Row:
    """One part of the answer, with all that is shown of it."""

    part: Part
    size: Model
    judged: Judged
    match: str  # is, near
    miss: str
    why: tuple[str, ...]
    new: Amounts
    take_off: Amounts
    drawers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """The parts that it may be or nearly is, best first, and what is said of them."""

    wanted: Wanted
    rows: tuple[Row, ...]
    findings: tuple[Finding, ...]


def look(wanted: Wanted) -> Found:
    """The parts of a size; twenty-one queries at most (one or two a kind, one a kind shown, four), for any shelf."""
    judged = sorted(catalogue.near(wanted), key=lambda one: (one.off, one.total, one.part.key))
    same = [one for one in judged if not one.miss]
    near = [one for one in judged if one.miss]
    listed = [*same[:MOST], *near[: max(0, min(MOST_NEAR, MOST - len(same)))]]
    parts = Part.objects.in_bulk([one.part.key for one in listed])
    sizes = sizes_of(parts.values())
    names = {key: part.number for key, part in parts.items()}
    cut = MOST if len(same) > MOST else None
    shown = Shown([one for one in listed if not one.miss], [one for one in listed if one.miss], names)
    shown = Shown(shown.same, shown.near, names, _differ(shown, parts, sizes))
    known, drawers = amounts.of_parts(list(parts.values())), _drawers(parts)
    rows = []
    for one in listed:
        key = one.part.key
        miss = miss_of(one, shown) if one.miss else ""
        row = Row(
            part=parts[key],
            size=sizes[key],
            judged=one,
            match="near" if miss else "is",
            miss=miss,
            why=_why(one, miss),
            new=known[key, Condition.NEW],
            take_off=known[key, Condition.TAKE_OFF],
            drawers=drawers.get(key, ()),
        )
        rows.append(row)
    found = findings_of(wanted, shown, cut=cut)
    if shown.same and parts[shown.same[0].part.key].retired_at is not None:
        found.append(warn("size_retired", part=names[shown.same[0].part.key]))
    return Found(wanted, tuple(rows), tuple(found))


def answer_of(found: Found, *, drawers: bool) -> Answer:
    """The answer; without drawers for whoever sees no shelf."""
    kinds = {row.part.kind for row in found.rows} | {kind for kind in found.wanted.kinds if kind in CAUTIONS}
    values = {
        "read": _read(found.wanted),
        "read_as": read_as(found.wanted),
        "parts": [_shown(row, drawers=drawers) for row in found.rows],
    }
    sources = [source for kind, several in SOURCES.items() if kind in kinds for source in several]
    cautions = [caution for kind, caution in CAUTIONS.items() if kind in kinds]
    return Answer(QUESTION, found.findings, values, (*sources, "trade"), (*cautions, "makers_instructions"))


def _shown(row: Row, *, drawers: bool) -> dict[str, Any]:
    part = {
        "part": row.part.number,
        "name": row.part.name,
        "kind": row.part.kind,
        "sizes": KINDS[row.part.kind].show(row.size),
        "match": row.match,
        "miss": row.miss or None,
        "why": list(row.why),
        "off": round(row.judged.off, 2),
        "read_as": {name: reading.mm for name, reading in row.judged.way.items()},
        "on_hand": row.new.shown(to_shop=not drawers)["on_hand"],
        "available": row.new.available,
        "take_offs": row.take_off.shown(to_shop=not drawers),
        "retired": row.part.retired_at is not None,
    }
    return {**part, "drawers": list(row.drawers)} if drawers else part


def _read(wanted: Wanted) -> list[dict[str, object]]:
    """How the request was read: for each kind of part every meaning of its numbers, with their errors."""
    found: list[dict[str, object]] = []
    for kind in kinds_of(wanted):
        for way in ways_of(kind, wanted):
            sizes = {name: Range.around(one.mm, one.error) for name, one in way.items()}
            found.append({"kind": kind, "sizes": sizes})
    return found


def _why(one: Judged, miss: str) -> tuple[str, ...]:
    """What speaks for a part, or against a near miss, in a few words each."""
    if miss == "hand":
        return (f"{one.part.hand}-hand thread",)
    if miss == "compound":
        return (" ".join(filter(None, one.part.rubber)),)
    if miss == "standard":
        return (standard(one.part), *_sizes(one, one.outside))
    thread = (one.part.thread,) if miss in ("thread", "flats", "pitch") else ()
    return (*thread, *_sizes(one, one.outside if miss else tuple(sorted(one.way, key=MEASURES.index))))


def _sizes(one: Judged, measures: Sequence[str]) -> tuple[str, ...]:
    said = []
    for name in measures:
        called = what(one.part.kind, name)
        if name in one.part.sizes:
            has = size(one.part.kind, name, one.part.sizes[name])
            said.append(f"{called} {has}, read {mm(one.way[name].mm, name)} mm")
        else:
            said.append(f"{called} not on file")
    return tuple(said)


def _differ(shown: Shown, parts: Mapping[int, Part], sizes: Mapping[int, Model]) -> list[str]:
    """In what the parts of the best size differ beside their size, in words."""
    if not shown.same:
        return []
    keys = [one.part.key for one in shown.same if one.part.size == shown.same[0].part.size]
    words = [one for one in KINDS[parts[keys[0]].kind].sizes if isinstance(one, Word)]
    return [
        word.name.replace("_", " ")
        for word in words
        if word.name not in OF_THE_SIZE and len({getattr(sizes[key], word.column) for key in keys}) > 1
    ]


def _drawers(parts: Mapping[int, Part]) -> dict[int, tuple[str, ...]]:
    """{part id: the drawers it lies in}; one query."""
    rows = Balance.objects.filter(lot__part__in=list(parts), lot__retired_at=None, on_hand__gt=0)
    found: dict[int, tuple[str, ...]] = {}
    for part, code in rows.values_list("lot__part_id", "drawer__code").order_by("drawer__code").distinct():
        found[part] = (*found.get(part, ()), code)
    return found
