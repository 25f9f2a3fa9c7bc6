"""Which threads have these readings, and what reading would tell them apart."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from compat.engineering.threads import limits
from compat.engineering.threads.designation import Thread, known_threads
from compat.engineering.units import Range

OVER_THREADS = 10  # a length over so many tells pitches apart that a leaf gauge does not
NEARLY = 2.0  # times the gauges' errors inside of which another thread is near enough to be asked about


@dataclass(frozen=True, slots=True)
class Read:
    """What was read of one part, mm: the diameter over the crests (a nut's bore) and the pitch, each as a range with
    the gauge's error; None where it was not read."""

    is_nut: bool
    diameter: Range | None
    pitch: Range | None


@dataclass(frozen=True, slots=True)
class Candidate:
    """A thread whose limits the readings touch. `diameter`: limits of the widest and the narrowest usual class
    together, mm. `off`: how far the readings are from what is usual, in their own errors; 0 is in the middle."""

    thread: Thread
    diameter: Range
    off: float


@dataclass(frozen=True, slots=True)
class Separation:
    """A reading that tells the best candidate from another: `pitch` (over OVER_THREADS threads, mm), `diameter`
    (limits, mm), or `flank` where nothing that a workshop reads does. `one` and `other` are what it would read."""

    reading: str
    thread: Thread
    one: Range
    other: Range


def candidates(read: Read) -> list[Candidate]:
    """Every thread of the tables whose limits the readings touch, best first; with neither reading none.

    Metric M3 to M36 (ISO 261, ISO 965-1) and unified 1/4 to 1 inch (ASME B1.1). Single-start threads only.
    """
    if read.diameter is None and read.pitch is None:
        return []
    found = []
    for thread in known_threads():
        diameter = _limits(thread, is_nut=read.is_nut)
        off = [0.0]
        if read.pitch is not None:
            if not read.pitch.low <= thread.pitch_mm <= read.pitch.high:
                continue
            off.append(_off(read.pitch, Range.exact(thread.pitch_mm)))
        if read.diameter is not None:
            if not read.diameter.touches(diameter):
                continue
            off.append(_off(read.diameter, diameter))
        found.append(Candidate(thread, diameter, math.hypot(*off)))
    return sorted(found, key=lambda one: (one.off, one.thread.nominal_mm, one.thread.pitch_mm))


def nearly(read: Read, found: Sequence[Candidate]) -> list[Candidate]:
    """Threads besides those found that the readings would touch with NEARLY times their errors, best first."""
    if read.diameter is None or read.pitch is None:
        return []
    wide = Read(read.is_nut, _wider(read.diameter), _wider(read.pitch))
    known = {one.thread for one in found}
    return [one for one in candidates(wide) if one.thread not in known]


def _wider(reading: Range) -> Range:
    return Range(
        reading.nominal - NEARLY * (reading.nominal - reading.low),
        reading.nominal + NEARLY * (reading.high - reading.nominal),
        reading.nominal,
    )


def separations(found: Sequence[Candidate], read: Read) -> list[Separation]:
    """For each candidate behind the best one the reading that tells it from that: the one not taken yet if it does,
    else the more telling of the two taken more closely."""
    if not found:
        return []
    best, *others = found
    return [_separation(best, other, read) for other in others]


def _separation(best: Candidate, other: Candidate, read: Read) -> Separation:
    pitches = [Range.exact(round(one.thread.pitch_mm * OVER_THREADS, 3)) for one in (best, other)]
    by_pitch = Separation("pitch", other.thread, *pitches)
    by_diameter = Separation("diameter", other.thread, best.diameter, other.diameter)
    same_pitch = abs(best.thread.pitch_mm - other.thread.pitch_mm) < 1e-9
    if read.pitch is None and not same_pitch:
        return by_pitch
    if not best.diameter.touches(other.diameter):
        return by_diameter
    return Separation("flank", other.thread, *pitches) if same_pitch else by_pitch


def _limits(thread: Thread, *, is_nut: bool) -> Range:
    """The crest diameter over all usual classes: a shaft up to its basic size, a nut down to it."""
    if is_nut:
        minor = limits.internal_limits(thread, limits.widest_internal(thread)).minor
        return Range(minor.low, minor.high, (minor.low + minor.high) / 2)
    major = limits.external_limits(thread, limits.widest_external(thread)).major
    high = max(major.high, round(thread.nominal_mm, 3))
    return Range(major.low, high, (major.low + high) / 2)


def _off(reading: Range, usual: Range) -> float:
    """How far a reading lies from the middle of what is usual, in half of both widths together."""
    width = (reading.high - reading.low) / 2 + (usual.high - usual.low) / 2
    return abs(reading.nominal - usual.nominal) / width if width else 0.0
