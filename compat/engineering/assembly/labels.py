"""What only the bench can read of a joint, taken as the labels say while it is not read: a plan rests on it, and lists
it to be confirmed."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from compat.engineering.nut_on_shaft import Nut, ShaftEnd
from compat.engineering.threads import limits
from compat.engineering.threads.designation import Thread, ThreadError, parse
from compat.engineering.threads.readings import CALIPER_MM
from compat.engineering.units import UM_PER_MM, Range, um_to_mm

# Every reading that may be taken from the label, and no other: (part, field).
READ_AT_THE_BENCH = (
    ("shaft", "gauged_pitch_mm"),
    ("shaft", "major_mm"),
    ("shaft", "end_condition"),
    ("nut", "gauged_pitch_mm"),
    ("nut", "minor_mm"),
    ("nut", "condition"),
)


def as_labelled(shaft: ShaftEnd, nut: Nut) -> tuple[ShaftEnd, Nut, tuple[str, ...]]:
    """Both parts with what the bench has not read as their labels say, and what was taken so, as `part.field`.

    Pitches are those of the designations, crests lie surely within the limits of the classes (of the widest usual one
    where no class is told), the end is plain and the nut is new. Where a label cannot be read its part stays as it is:
    then nothing may be taken from it. Readings that are there stay. Sources: ISO 965-1, ASME B1.1.
    """
    parts: dict[str, Any] = {"shaft": shaft, "nut": nut}
    taken = []
    for part, name in READ_AT_THE_BENCH:
        told = parts[part]
        if getattr(told, name) is None and (value := _by_label(part, name, told)) is not None:
            parts[part] = replace(told, **{name: value})
            taken.append(f"{part}.{name}")
    return parts["shaft"], parts["nut"], tuple(taken)


def _by_label(part: str, name: str, told: ShaftEnd | Nut) -> Any:
    if name in ("end_condition", "condition"):
        return {"end_condition": "plain", "condition": "new"}[name]
    try:
        thread = parse(told.thread or "")
    except ThreadError:
        return None
    return thread.pitch_mm if name == "gauged_pitch_mm" else _crest(part, thread, told.tolerance_class)


def _crest(part: str, thread: Thread, told: str | None) -> Range | None:
    """The limits of the crest by the class that is told or written, else by the widest usual one."""
    widest: Callable[[Thread], str] = limits.widest_external if part == "shaft" else limits.widest_internal
    for tolerance_class in (told or thread.tolerance_class, widest(thread)):
        if tolerance_class is None:
            continue
        try:
            if part == "shaft":
                return _inward(limits.external_limits(thread, tolerance_class).major)
            return _inward(limits.internal_limits(thread, tolerance_class).minor)
        except ThreadError:
            continue
    return None


def _inward(limit: Range) -> Range:
    """Readings that surely lie within the limits: as far inside as a caliper may be off, in whole micrometres."""
    error = round(CALIPER_MM * UM_PER_MM)
    low = math.ceil(round(limit.low * UM_PER_MM, 3)) + error
    high = max(math.floor(round(limit.high * UM_PER_MM, 3)) - error, low)
    return Range.between(um_to_mm(low), um_to_mm(high), um_to_mm((low + high) // 2))
