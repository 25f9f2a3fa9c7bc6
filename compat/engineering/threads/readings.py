"""What is known of one threaded part: its label, its hand and class, and whether the gauge agrees."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from compat.engineering.answers import Finding, Severity, ask, warn
from compat.engineering.refused import Refused
from compat.engineering.threads import limits, pairing
from compat.engineering.threads.designation import Form, Thread, ThreadError, parse, pitches_of, unified
from compat.engineering.threads.tables import UNIFIED
from compat.engineering.units import MM_PER_INCH, Range

Length = float | Range
CALIPER_MM = 0.02  # plus or minus of a workshop caliper on a single reading
SAME_PITCH = 0.005  # a leaf read as its own pitch, as a part of it: 14 per inch may be typed 1.81 for 1.8143
CRESTS_MM = (2.0, 37.0)  # no thread of the tables has a crest outside
MOST_SWAPPED = 1.5  # a bore is nearer to its shaft's outside than this, as a part of it; more is another unit
LEAST_PER_INCH = 7  # a pitch of this many millimetres or more is threads per inch typed into the wrong field


@dataclass(frozen=True, slots=True)
class PartThread:
    """One part's thread. `thread` is the label's, with the gauged pitch where the gauge clearly contradicts it; None
    where the label is missing or refused. `tolerance_class` is the widest usual one where `class_known` is false."""

    thread: Thread | None
    gauged: float | None
    hand: str | None
    tolerance_class: str = ""
    class_known: bool = False


def read_part(
    part: str, label: str | None, tolerance_class: str | None, hand: str | None, gauged: float | None
) -> tuple[PartThread, list[Finding]]:
    """Reads the `part` (`shaft` or `nut`) from what is written and gauged (pitch in mm); with what is left open."""
    findings: list[Finding] = []
    thread = _label(part, label, findings)
    hand = _hand(part, thread, hand, findings)
    if gauged is None:
        findings.append(ask(f"{part}_pitch_not_gauged", "trade"))
    if thread is None:
        return PartThread(None, gauged, hand), findings
    thread = _as_gauged(part, thread, gauged, findings)
    class_used, known = _class(part, thread, tolerance_class, findings)
    return PartThread(thread, gauged, hand, class_used, known), findings


def _label(part: str, label: str | None, findings: list[Finding]) -> Thread | None:
    if label is None or not label.strip():
        findings.append(ask(f"{part}_thread_not_known"))
        return None
    try:
        thread = parse(label)
    except ThreadError as refused:
        findings.append(Finding(refused.code, Severity.ASK, {"part": part, **refused.data}, "iso_261"))
        return None
    if thread.coarse_taken:
        findings.append(warn("coarse_pitch_taken", "iso_261", part=part, thread=thread.name))
    return thread


def _hand(part: str, thread: Thread | None, hand: str | None, findings: list[Finding]) -> str | None:
    written = thread.hand if thread else None
    if hand and written and hand != written:
        findings.append(ask("hand_contradicts_label", part=part, hand=hand, written=written))
        return None
    if not (hand or written):
        findings.append(ask(f"{part}_hand_unknown"))
    return hand or written


def _class(part: str, thread: Thread, said: str | None, findings: list[Finding]) -> tuple[str, bool]:
    written = thread.tolerance_class
    tried = said or written
    shaft = part == "shaft"
    if said and written and said != written:
        findings.append(ask("class_contradicts_label", part=part, tolerance_class=said, written=written))
        tried = None
    if tried:
        try:
            limits.external_limits(thread, tried) if shaft else limits.internal_limits(thread, tried)
        except ThreadError as refused:
            source = "iso_965_1" if thread.form is Form.METRIC else "asme_b1_1"
            findings.append(Finding(refused.code, Severity.ASK, {"part": part, **refused.data}, source))
        else:
            return tried, True
    widest = limits.widest_external(thread) if shaft else limits.widest_internal(thread)
    if not (said or written):
        findings.append(warn("class_assumed", "trade", part=part, tolerance_class=widest))
    return widest, False


def _as_gauged(part: str, thread: Thread, gauged: float | None, findings: list[Finding]) -> Thread:
    if gauged is None or abs(gauged - thread.pitch_mm) <= SAME_PITCH * thread.pitch_mm:
        return thread
    pitch = round(thread.pitch_mm, 4)
    data: dict[str, Any] = {"part": part, "gauged_mm": gauged, "thread": thread.name, "pitch_mm": pitch}
    if gauged >= LEAST_PER_INCH:
        findings.append(ask("gauge_looks_per_inch", **data, mm=round(MM_PER_INCH / gauged, 3)))
    elif abs(gauged * MM_PER_INCH - thread.pitch_mm) <= pairing.LEAF_GAUGE * thread.pitch_mm:
        findings.append(_inches(part, "gauged_pitch_mm", gauged))
    elif abs(gauged - thread.pitch_mm) <= pairing.LEAF_GAUGE * thread.pitch_mm:
        findings.append(ask("gauge_near_another_leaf", "trade", **data))
    else:
        findings.append(ask("gauge_contradicts_label", "trade", **data))
        if thread.form is Form.METRIC:
            near = [pitch for pitch in pitches_of(thread.nominal_mm) if abs(pitch - gauged) <= SAME_PITCH * pitch]
            return replace(thread, pitch_mm=near[0]) if near else thread
        for count in UNIFIED[thread.size][1].values():
            if abs(MM_PER_INCH / count - gauged) <= SAME_PITCH * gauged:
                other = unified(thread.size, count)
                return replace(other, tolerance_class=thread.tolerance_class, hand=thread.hand)
    return thread


def outer_limits(part: PartThread) -> limits.ExternalLimits:
    """What d and d2 of a shaft can be, mm: by its class, or by every usual one where it is not known."""
    if part.thread is None:
        raise ValueError("a part without a thread has no limits")
    if part.class_known:
        return limits.external_limits(part.thread, part.tolerance_class)
    return limits.possible_external(part.thread)


def inner_limits(part: PartThread) -> limits.InternalLimits:
    """What D1 and D2 of a nut can be, mm: by its class, or by the widest usual one, which begins at the basic size."""
    if part.thread is None:
        raise ValueError("a part without a thread has no limits")
    return limits.internal_limits(part.thread, part.tolerance_class)


def checked_length(owner: str, name: str, value: Length | None, *, zero: bool = False) -> None:
    """Raises Refused `not_a_length` for the field unless every end of the length, mm, is finite and above zero (or
    zero, where that means something, as for the hole of a solid shaft)."""
    ends = () if value is None else (value.low, value.high) if isinstance(value, Range) else (value,)
    for end in ends:
        if not math.isfinite(end) or end < 0 or (end == 0 and not zero):
            raise Refused("not_a_length", f"{owner}.{name}", value=end)


def as_range(value: Length, error: float = 0.0) -> Range:
    """A reading, or the limits of several, with the gauge's error either side."""
    spread = value if isinstance(value, Range) else Range.exact(value)
    return Range(spread.low - error, spread.high + error, spread.nominal) if error else spread


def implausible(part: str, nominal: float, readings: Mapping[str, Length | None]) -> dict[str, Finding]:
    """Readings of which any value is one that no part of this nominal diameter, mm, has: by field name, a question
    whether they are in inches or wrong. The bounds are wide on purpose; readings inside them are judged elsewhere.
    Common practice, no source."""
    found: dict[str, Finding] = {}
    for name, value in readings.items():
        if value is None:
            continue
        low, high = (bound * nominal for bound in _BOUNDS[name])
        spread = as_range(value)
        if (low <= spread.low and spread.high <= high) or (spread.high == 0 and name in ZERO):
            continue
        under = spread.low < low
        if under and spread.low * MM_PER_INCH <= high and min(spread.high, low) * MM_PER_INCH >= low:
            found[name] = _inches(part, name, spread.low)
        else:
            shown = round(spread.low if under else spread.high, 3)
            found[name] = ask("thread_reading_implausible", part=part, **_named(name), value=shown)
    return found


ZERO = ("hole_mm", "chamfer_mm", "full_thread_start_mm", "unthreaded_mm")  # where zero means something


# Field -> least and most, as parts of the nominal diameter.
_BOUNDS = {
    "major_mm": (0.85, 1.1),
    "minor_mm": (0.7, 1.1),
    "hole_mm": (0.08, 0.85),
    "relief_diameter_mm": (0.4, 1.0),
    "height_mm": (0.25, 3.0),
    "chamfer_mm": (0.01, 0.25),
    "unthreaded_mm": (0.02, 1.5),
    "full_thread_start_mm": (0.0, 100.0),
    "shaft_end_mm": (1.0, 100.0),
    "underside_mm": (0.25, 100.0),
}
# Field -> what people call it.
_CALLED = {
    "major_mm": "outside diameter",
    "minor_mm": "bore",
    "hole_mm": "hole",
    "relief_diameter_mm": "groove's diameter",
    "height_mm": "height",
    "chamfer_mm": "chamfer",
    "unthreaded_mm": "height without thread",
    "full_thread_start_mm": "start of full thread",
    "shaft_end_mm": "distance from shoulder to end",
    "underside_mm": "distance from shoulder to underside",
    "gauged_pitch_mm": "gauged pitch",
}


def _named(field: str) -> dict[str, str]:
    return {"field": field, "reading": _CALLED[field]}


def crest_in_inches(part: str, field: str, value: Length) -> list[Finding]:
    """Asks when a crest, mm, is smaller than any thread's and would be one in inches: all that can be asked while the
    part's own thread is not known."""
    spread, (least, most) = as_range(value), CRESTS_MM
    small = spread.low < least and spread.low * MM_PER_INCH <= most
    return [_inches(part, field, spread.low)] if small and min(spread.high, least) * MM_PER_INCH >= least else []


def bore_over_outside(outside: Length | None, bore: Length | None, error: float) -> Finding | None:
    """Asks when the nut's bore reads larger than the shaft does outside, each in mm with a single reading's error: such
    a nut slides over the shaft, or the two readings are swapped."""
    if outside is None or bore is None:
        return None
    shaft, nut = as_range(outside, error), as_range(bore, error)
    if not shaft.high < nut.low <= MOST_SWAPPED * shaft.nominal:
        return None
    return ask("bore_over_outside", "trade", bore_mm=round(nut.nominal, 3), outside_mm=round(shaft.nominal, 3))


def swapped_within(outside: Length, bore: Length, error: float, major: Range, minor: Range) -> bool:
    """Whether each reading, mm, lies within the other's limits: then a slip explains them and nothing is proven."""
    return as_range(outside, error).touches(minor) and as_range(bore, error).touches(major)


def _inches(part: str, field: str, value: float) -> Finding:
    mm = round(value * MM_PER_INCH, 3)
    return ask("thread_reading_in_inches", part=part, **_named(field), value=round(value, 4), mm=mm)


def start_in_inches(start: Length | None, underside: Length | None, end: Length | None) -> Finding | None:
    """Asks when the start of full thread, alone of the three positions, looks like inches at any corner: left as it is,
    it would place thread where there is none."""
    if start is None or underside is None or end is None:
        return None
    at, under, past = as_range(start), as_range(underside), as_range(end)
    least, most = max(at.low, under.low / 2 / MM_PER_INCH), min(at.high, past.high / MM_PER_INCH)
    if 0 < least <= most and least < under.high / 5:
        return _inches("shaft", "full_thread_start_mm", least)
    return None
