"""Which threads have these readings, and what reading would tell them apart."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from compat.engineering.corners import Standing, room, standing
from compat.engineering.threads import limits, pairing
from compat.engineering.threads.designation import Thread, known_threads
from compat.engineering.units import Range

OVER_THREADS = 10  # a length over so many tells pitches apart that a leaf gauge does not
NEARLY = 2.0  # times the gauges' errors inside of which another thread is near enough to be asked about
AGREES = pairing.LEAF_GAUGE / 2  # a pitch this near a tabulated one, as a part of it, is that one's however it was read


@dataclass(frozen=True, slots=True)
class Read:
    """What was read of one part, mm: the diameter over the crests (a nut's bore) and the pitch, each as it was read
    and with the error of its gauge; None where it was not read."""

    is_nut: bool
    diameter: Range | None
    pitch: float | None
    diameter_error: float = 0.0
    pitch_error: float = 0.0

    def diameters(self, times: float = 1.0) -> Range | None:
        """The diameter with so many times its gauge's error."""
        if self.diameter is None:
            return None
        by = times * self.diameter_error
        return Range(self.diameter.low - by, self.diameter.high + by, self.diameter.nominal)


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


def candidates(read: Read, times: float = 1.0) -> list[Candidate]:
    """Every thread of the tables whose limits the readings touch with so many times their errors, best first; with
    neither reading none.

    Metric M3 to M36 (ISO 261, ISO 965-1) and unified 1/4 to 1 inch (ASME B1.1). Single-start threads only.
    """
    if read.diameter is None and read.pitch is None:
        return []
    diameters, found = read.diameters(times), []
    for thread in known_threads():
        off = [0.0]
        if read.pitch is not None:
            if abs(read.pitch - thread.pitch_mm) > max(times * read.pitch_error, AGREES * thread.pitch_mm):
                continue
            off.append(abs(read.pitch - thread.pitch_mm) / (read.pitch_error or AGREES * thread.pitch_mm))
        diameter = crest_limits(thread, is_nut=read.is_nut)
        if diameters is not None:
            if not diameters.touches(diameter):
                continue
            off.append(_off(diameters, diameter))
        found.append(Candidate(thread, diameter, math.hypot(*off)))
    return sorted(found, key=lambda one: (one.off, one.thread.nominal_mm, one.thread.pitch_mm))


def nearly(read: Read, found: Sequence[Candidate]) -> list[Candidate]:
    """Threads besides those found that the readings would touch with NEARLY times their errors, best first."""
    if read.diameter is None or read.pitch is None:
        return []
    known = {one.thread for one in found}
    return [one for one in candidates(read, NEARLY) if one.thread not in known]


def agrees(read: Read, one: Candidate) -> bool:
    """Whether every diameter that was read lies within the candidate's limits, and the pitch is its own: a reading that
    some other value of would be no thread at all proves nothing, and a coarser gauge does not mend it."""
    diameters = read.diameters()
    if diameters is None or read.pitch is None:
        return False
    inside = room(diameters, least=Range.exact(one.diameter.low), most=Range.exact(one.diameter.high))
    pitch = one.thread.pitch_mm
    return standing(inside) is Standing.GOOD and abs(read.pitch - pitch) <= AGREES * pitch


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


@lru_cache(maxsize=512)
def crest_limits(thread: Thread, *, is_nut: bool) -> Range:
    """The crest diameter over all usual classes: a shaft up to its basic size, a nut down to it."""
    if is_nut:
        minor = limits.internal_limits(thread, limits.widest_internal(thread)).minor
        return Range(minor.low, minor.high, (minor.low + minor.high) / 2)
    major = limits.possible_external(thread).major
    return Range(major.low, major.high, (major.low + major.high) / 2)


def _off(reading: Range, usual: Range) -> float:
    """How far a reading lies from the middle of what is usual, in half of both widths together."""
    width = (reading.high - reading.low) / 2 + (usual.high - usual.low) / 2
    return abs(reading.nominal - usual.nominal) / width if width else 0.0
