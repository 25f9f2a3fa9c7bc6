"""A nut's readings beside what the catalogue says of its part: the one place where the two meet."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from compat.engineering.answers import Answer, Finding, ask
from compat.engineering.assembly.joint import joint
from compat.engineering.corners import judged, room
from compat.engineering.nut_on_shaft import Nut, ShaftEnd
from compat.engineering.threads.designation import ThreadError, parse
from compat.engineering.threads.pairing import differences
from compat.engineering.threads.readings import as_range
from compat.engineering.units import Range

# How far a nut may be from its catalogue's length, mm. A height may lie 0.36 to 0.58 under its nominal size (ISO
# 4759-1, h14 to h15 of 3 to 18 mm, from memory), and a catalogue may state either limit of ISO 4032, so either way.
# Chamfer and collar have no such limits: the same is taken (this project's choice).
LENGTH_MM = 0.6
LENGTHS = {"height_mm": "height", "chamfer_mm": "chamfer", "unthreaded_mm": "height without thread"}
MARKINGS = {
    "hand": "hand",
    "tolerance_class": "tolerance class",
    "property_class": "property class",
    "locking": "way of locking",
}


def joint_of(
    shaft: ShaftEnd, nut: Nut, label: Nut | None, *, number: str = "", preload_n: Range | None = None
) -> Answer:
    """joint() of a shaft's end and a nut of which the catalogue says `label` under its part `number`; None for a nut
    of which it says nothing. Raises as joint() does."""
    if label is None:
        return joint(shaft, nut, preload_n=preload_n)
    told, doubts = beside(label, nut, number=number)
    answer = joint(shaft, told, preload_n=preload_n)
    sources = sorted({*answer.sources, *(one.source for one in doubts if one.source)})
    return replace(answer, findings=(*doubts, *answer.findings), sources=tuple(sources))


def beside(label: Nut, nut: Nut, *, number: str) -> tuple[Nut, list[Finding]]:
    """The nut as it is to be judged, and what of it contradicts the catalogue.

    Where a length, mm, lies or may lie further than `LENGTH_MM` from the catalogue's, one of the two is wrong or this
    is another nut: that is asked about, and the nut is judged at both. Where a thread or a marking is another than the
    catalogue's it is asked about too, and judged as told. What either side does not tell contradicts nothing.
    """
    findings, hulls = _thread(label, nut, number), dict[str, Any]()
    for name, called in LENGTHS.items():
        says, read = getattr(label, name), getattr(nut, name)
        if says is None or read is None:
            continue
        listed, spread = as_range(says), as_range(read)
        low, high = max(listed.low - LENGTH_MM, 0.0), listed.high + LENGTH_MM
        data = {"part": number, "field": name, "reading": called, "label_mm": round(listed.nominal, 3)}
        read_mm = {"low_mm": round(spread.low, 3), "high_mm": round(spread.high, 3)}
        doubts = judged(
            room(spread, least=Range.exact(low), most=Range.exact(high)),
            never=ask("nut_reading_contradicts", "iso_4759_1", **data, reading_mm=round(spread.nominal, 3)),
            perhaps=ask("nut_reading_may_contradict", "iso_4759_1", **data, **read_mm),
        )
        if doubts:
            # No nut has a height of nothing: where the catalogue's own allows that, the reading alone limits it.
            hulls[name] = Range(min(spread.low, low) or spread.low, max(spread.high, high), spread.nominal)
        findings += doubts
    for name, called in MARKINGS.items():
        says, read = getattr(label, name), getattr(nut, name)
        if says is not None and read is not None and says.strip() != read.strip():
            findings.append(_marking(number, name, called, read, says))
    return replace(nut, **hulls), findings


def _thread(label: Nut, nut: Nut, number: str) -> list[Finding]:
    """What is written of the thread; one that cannot be read is asked about by the question itself."""
    if not label.thread or not nut.thread:
        return []
    try:
        another = differences(parse(label.thread), parse(nut.thread))
    except ThreadError:
        return []
    return [_marking(number, "thread", "thread", nut.thread, label.thread)] if another else []


def _marking(number: str, field: str, called: str, read: str, says: str) -> Finding:
    return ask("nut_marking_contradicts", "trade", part=number, field=field, reading=called, read=read, label=says)
