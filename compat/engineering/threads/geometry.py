"""The threads of a shaft and a nut as bodies: crests within their limits, play, overlap, and what a wrong nut does."""

from __future__ import annotations

from typing import Any

from compat.engineering.answers import Finding, Value, ask, note, stop
from compat.engineering.corners import DUST, Standing, both, judged, room, standing
from compat.engineering.threads import pairing
from compat.engineering.threads.designation import Form, Thread
from compat.engineering.threads.readings import (
    Length,
    PartThread,
    as_range,
    bore_over_outside,
    crest_in_inches,
    implausible,
    inner_limits,
    outer_limits,
    swapped_within,
)
from compat.engineering.units import Range

Values = dict[str, Any]


def geometry(
    shaft: PartThread,
    nut: PartThread,
    major: Length | None,
    minor: Length | None,
    *,
    caliper_mm: float,
    run_down: bool,
) -> tuple[Values, list[Finding]]:
    """`turns_before_binding`, `axial_play_mm` and `overlap_percent` (None where open), with the findings.

    major, minor: crests as read, mm; caliper_mm: the error of the caliper on each; run_down: whether the thread was
    gauged over its whole length, which proves the play that limits of size leave open.
    """
    values: Values = {"turns_before_binding": None, "axial_play_mm": None, "overlap_percent": None}
    findings: list[Finding] = []
    outer = outer_limits(shaft) if shaft.thread else None
    inner = inner_limits(nut) if nut.thread else None
    swapped = False
    if doubt := bore_over_outside(major, minor, caliper_mm):
        findings.append(doubt)
        if outer and inner and major and minor:
            swapped = swapped_within(major, minor, caliper_mm, outer.major, inner.minor)
    d_read = bore_read = None
    if not swapped:
        d_read, found = _crest("shaft", shaft.thread, major, outer.major if outer else None, caliper_mm)
        bore_read, more = _crest("nut", nut.thread, minor, inner.minor if inner else None, caliper_mm)
        findings += [*found, *more]
    if shaft.thread:
        findings += _traps(shaft.thread)
    if not (shaft.thread and nut.thread and outer and inner):
        return values, findings
    one, other = shaft.thread, nut.thread
    play = pairing.axial_play_mm(one.pitch_mm, other.pitch_mm, outer.pitch, inner.pitch)
    turns = pairing.turns_before_binding(play, one.pitch_mm, other.pitch_mm)
    same = not pairing.differences(one, other)
    # Of a nut of another thread it matters what any such nut does, not how this one reads.
    d = _possible(outer.major, d_read if same else None)
    bore = _possible(inner.minor, bore_read if same else None)
    overlap = pairing.overlap_percent(d, bore, one.pitch_mm)
    values |= {
        "turns_before_binding": rounded(turns, 2) if turns else None,
        "axial_play_mm": rounded(play, 3),
        "overlap_percent": rounded(pairing.shown_overlap(overlap), 1),
    }
    least = pairing.LEAST_OVERLAP_PERCENT
    data = {"low": max(0, round(overlap.low)), "high": max(0, min(100, round(overlap.high))), "least": least}
    findings += judged(
        room(overlap, least=Range.exact(least)),
        never=stop("overlap_too_small", "trade", **data),
        perhaps=ask("overlap_not_proven", "trade", **data),
    )
    findings += _play(play, run_down)
    if play.high > 0 and overlap.high > 0:
        findings += _wrong_nut(one, other, turns, overlap)
    return values, findings


def rounded(value: Range, decimals: int) -> Range:
    """A range for people: each end to so many decimals."""
    return Range(*(round(part, decimals) for part in (value.low, value.high, value.nominal)))


def _crest(
    part: str, thread: Thread | None, reading: Length | None, limit: Range | None, caliper: float
) -> tuple[Range | None, list[Finding]]:
    """The crest reading with its error; findings where it is missing, in inches, or not wholly inside the limits."""
    name = "major_mm" if part == "shaft" else "minor_mm"
    if reading is None:
        return None, [ask(f"{part}_{name.removesuffix('_mm')}_not_read", "trade")]
    if thread is None or limit is None:
        return None, crest_in_inches(part, name, reading)
    if doubt := implausible(part, thread.nominal_mm, {name: reading}):
        return None, list(doubt.values())
    read = as_range(reading, caliper)
    data: dict[str, Value] = {"low_mm": limit.low, "high_mm": limit.high, "thread": thread.name}
    if both(read, limit) is not None:
        ends = {"read_low_mm": round(read.low, 3), "read_high_mm": round(read.high, 3)}
        partly = ask(f"{part}_crest_partly_outside", "iso_965_1", **data, **ends)
        inside = room(read, least=Range.exact(limit.low), most=Range.exact(limit.high))
        return read, [] if standing(inside) is Standing.GOOD else [partly]
    findings = [ask(f"{part}_crest_outside_limits", "iso_965_1", **data, reading_mm=round(read.nominal, 3))]
    matching = pairing.shafts_matching if part == "shaft" else pairing.nuts_matching
    if others := [other.name for other in matching(read, thread.pitch_mm) if other.name != thread.name]:
        findings.append(ask(f"{part}_could_be_another_thread", "trade", names=", ".join(others)))
    return read, findings


def _possible(limit: Range, reading: Range | None) -> Range:
    """What limits and reading leave possible together; the reading where they contradict each other."""
    if reading is None:
        return limit
    return both(reading, limit) or reading


def _play(play: Range, run_down: bool) -> list[Finding]:
    ends: Values = {"low_mm": round(play.low, 3), "high_mm": round(play.high, 3)}
    proven = run_down and play.low > -DUST and play.high > DUST
    if proven and play.low < DUST:
        return [note("play_by_gauge", "trade", **ends)]
    never, perhaps = stop("no_play", **ends), ask("play_not_proven", **ends)
    return judged(play, strict=True, never=never, perhaps=perhaps)


def _wrong_nut(shaft: Thread, nut: Thread, turns: Range | None, overlap: Range) -> list[Finding]:
    """What a nut of another thread does on the shaft that it starts on."""
    names = {"shaft": shaft.name, "nut": nut.name}
    shown = pairing.shown_overlap(overlap)
    percent = {"percent_low": round(shown.low), "percent_high": round(shown.high)}
    if turns is None:
        # Two starts against one do not run into each other, and equal diameters are the same thread.
        spins = shaft.nominal_mm != nut.nominal_mm and shaft.starts == nut.starts
        return [stop("false_friend_never_binds", "trade", **names, **percent)] if spins else []
    data = {"turns_low": round(turns.low, 2), "turns_high": round(turns.high, 2)}
    if turns.low >= pairing.FELT_TURNS:
        return [stop("false_friend", "trade", **names, **data, **percent)]
    return [note("binds_after_turns", "trade", **names, **data)]


def _traps(thread: Thread) -> list[Finding]:
    findings = []
    if twins := pairing.caliper_twins(thread):
        names = ", ".join(twin.name for twin in twins)
        findings.append(note("caliper_cannot_tell", "trade", thread=thread.name, names=names))
    if thread.form is Form.METRIC and (leaves := pairing.leaves_near(thread.pitch_mm)):
        counts = ", ".join(str(count) for count in leaves)
        findings.append(note("leaf_gauge_cannot_tell", "trade", pitch_mm=thread.pitch_mm, per_inch=counts))
    return findings
