"""What a typed text says, and what its numbers may mean on a part of each kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from inventory.common.sizes.designations import Designation
from inventory.common.sizes.measures import (
    BY_LABEL,
    CALLED,
    KINDS,
    LEAST_BORE_MM,
    LIMITS,
    ORDERS,
    Number,
    Way,
    table_kind,
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was read of a part: kinds (none: any), numbers by measure, numbers without a name in the order in which
    they were said, and what is no length: a thread as designated, an AS568 size, the hand, the rubber, the outline,
    how many. `others`: the other ways in which the same words may be read."""

    kinds: tuple[str, ...] = ()
    said: Mapping[str, Number] = field(default_factory=dict)
    loose: tuple[Number, ...] = ()
    thread: Designation | None = None
    dash: str = ""
    hand: str | None = None
    compound: str = ""
    hardness: str = ""
    form: str = ""
    count: int | None = None
    others: tuple[Wanted, ...] = ()


@dataclass(frozen=True, slots=True)
class Meaning:
    """One way to read the words: a kind of part with its sizes, and what else was said of it. Of a ring by its AS568
    number `dash` is set and `sizes` is empty."""

    kind: str
    sizes: Way
    dash: str = ""
    count: int | None = None
    said: Wanted = field(default_factory=Wanted)


def meanings(wanted: Wanted, *kinds: str) -> list[Meaning]:
    """Every way to read the words, the usual ones first; of these kinds, where some are named."""
    found: list[Meaning] = []
    for one in (wanted, *wanted.others):
        for kind in one.kinds or KINDS:
            if kinds and kind not in kinds:
                continue
            if one.dash and table_kind(kind) == "oring":
                found.append(Meaning(kind, {}, one.dash, one.count, one))
            found += [
                Meaning(kind, way, "", one.count, one)
                for way in ways(kind, replace(one, dash=""))
                if not (wanted.others and _is_count(kind, way))
            ]
    return sorted(found, key=lambda one: not one.dash)


def ways(kind: str, wanted: Wanted) -> list[Way]:
    """What the numbers may mean on a part of a kind, mm, the usual meaning first; empty where they cannot.

    A thread counts as pitch and nominal diameter without error. Where names were said, the orders that hold all of
    these names come before others. Numbers outside the kind's limits, and an inner diameter that is not inside the
    outer one, rule a meaning out.
    """
    kind = table_kind(kind)
    called = CALLED[kind]
    said: dict[str, Number] = {}
    for name, reading in wanted.said.items():
        if name not in called or called[name] in said:
            return []
        said[called[name]] = reading
    if wanted.thread is not None and wanted.thread.is_whole:
        if kind != "nut" or {"pitch_mm", "thread_mm"} & set(said):
            return []
        said["thread_mm"] = Number(wanted.thread.nominal_mm, BY_LABEL)
        if wanted.thread.pitch_mm:
            said["pitch_mm"] = Number(wanted.thread.pitch_mm, BY_LABEL)
    if (wanted.hand and kind != "nut") or (wanted.form and kind != "shim") or (wanted.compound and kind != "oring"):
        return []
    if not wanted.loose:
        return [said] if said and _possible(kind, said) else []
    found: dict[tuple[tuple[str, Number], ...], Way] = {}
    for order in _orders(kind, set(said), len(wanted.loose)):
        way = {**said, **dict(zip(order, wanted.loose, strict=True))}
        if _possible(kind, way):
            found.setdefault(tuple(sorted(way.items(), key=lambda one: one[0])), way)
    return list(found.values())


def _is_count(kind: str, way: Way) -> bool:
    """Whether a small whole number was taken for the bore of a shim, where it may be how many."""
    bore = way.get("id_mm")
    return kind == "shim" and len(way) == 3 and bore is not None and bore.is_bare and bore.mm < LEAST_BORE_MM


def _orders(kind: str, said: set[str], numbers: int) -> list[tuple[str, ...]]:
    known = ORDERS[kind]
    whole = [order for order in known if said <= set(order)]
    left = [tuple(name for name in order if name not in said) for order in whole or known]
    return [order for order in dict.fromkeys(left) if len(order) == numbers]


def _possible(kind: str, way: Way) -> bool:
    limits = LIMITS[kind]
    if not all(name in limits and limits[name][0] <= one.mm <= limits[name][1] for name, one in way.items()):
        return False
    outer, inner, section = (way.get(name) for name in ("od_mm", "id_mm", "section_mm"))
    if outer and inner:
        if inner.mm >= outer.mm:
            return False
        least, most = limits.get("section_mm", (0.0, outer.mm))
        if not least <= (outer.mm - inner.mm) / 2 <= most:
            return False
    return not (outer and section and 2 * section.mm >= outer.mm)
