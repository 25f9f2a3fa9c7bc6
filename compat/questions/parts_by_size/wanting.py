"""From the ways in which words were read to readings that the engine judges."""

from __future__ import annotations

from functools import lru_cache

from compat.engineering.by_size.measures import BY_LABEL, Reading, Way
from compat.engineering.seals.sizes import known as as568
from compat.engineering.threads.designation import Thread, parse
from inventory.common.sizes.designations import Designation
from inventory.common.sizes.measures import KINDS, table_kind
from inventory.common.sizes.wanted import Meaning, Wanted, meanings


def ways_of(kind: str, wanted: Wanted) -> list[Way]:
    """What the numbers may mean on a part of this kind, the usual meaning first; an AS568 size means its sizes in the
    table, a thread its pitch and nominal diameter."""
    found: dict[tuple[tuple[str, Reading], ...], Way] = {}
    for one in meanings(wanted):
        if table_kind(one.kind) == table_kind(kind):
            way = _way(one)
            found.setdefault(tuple(sorted(way.items(), key=lambda one: one[0])), way)
    return list(found.values())


def check_threads(wanted: Wanted) -> None:
    """Raises ThreadError where a thread that was written is none."""
    for one in (wanted, *wanted.others):
        if one.thread is not None:
            _parsed(one.thread.text)


def kinds_of(wanted: Wanted) -> tuple[str, ...]:
    """The kinds of part that the words leave possible."""
    found = [kind for one in (wanted, *wanted.others) for kind in one.kinds or KINDS]
    return tuple(dict.fromkeys(found))


def rings_named(wanted: Wanted) -> tuple[str, ...]:
    """The AS568 sizes that the words name."""
    return tuple(dict.fromkeys(one.dash for one in (wanted, *wanted.others) if one.dash))


def designated(thread: Thread) -> Designation:
    """A thread of the engine as the reader of words has it."""
    return Designation(thread.name, thread.name, thread.nominal_mm, thread.pitch_mm, thread.series)


def _way(one: Meaning) -> Way:
    if one.dash:
        ring = as568()[int(one.dash)]
        return {
            "id_mm": Reading(ring.id_mm.nominal, BY_LABEL),
            "section_mm": Reading(ring.section_mm.nominal, BY_LABEL),
        }
    way = {name: Reading(number.mm, number.spread(name)) for name, number in one.sizes.items()}
    if one.kind == "nut" and one.said.thread is not None and one.said.thread.is_whole:
        thread = _parsed(one.said.thread.text)
        way["thread_mm"] = Reading(thread.nominal_mm, BY_LABEL)
        way["pitch_mm"] = Reading(thread.pitch_mm, BY_LABEL)
    return way


@lru_cache(maxsize=1024)
def _parsed(text: str) -> Thread:
    return parse(text)
