"""Whether a nut's thread and a shaft's thread are the same thread, and what happens if they are not."""

from __future__ import annotations

import math
from functools import lru_cache

from compat.engineering.threads import limits
from compat.engineering.threads.designation import Thread, known_threads
from compat.engineering.units import MM_PER_INCH, Range

TAN_30 = math.tan(math.radians(30))
LEAST_OVERLAP_PERCENT = 55.0  # of 5H/8; a right 6g/6H pair of M12x1.25 has 63 at its worst limits
LEAF_GAUGE = 0.03  # pitches nearer than this part of each other look alike under a leaf gauge
FELT_TURNS = 4.0  # with the lead-in, what a hand feels at most of a nut that binds; common practice, no source
INCH_LEAVES = (8, 9, 10, 11, 12, 13, 14, 16, 18, 20, 24, 28, 32)  # threads per inch of the common unified series


def differences(shaft: Thread, nut: Thread) -> list[str]:
    """What differs between two designations: of `form`, `nominal_mm`, `pitch_mm`, `starts`, in this order.

    Empty means the same thread as far as it is written; hand and class are judged apart, since labels leave them out.
    """
    names = ("form", "nominal_mm", "pitch_mm", "starts")
    return [name for name in names if getattr(shaft, name) != getattr(nut, name)]


def axial_play_mm(shaft_pitch: float, nut_pitch: float, shaft_d2: Range, nut_d2: Range) -> Range:
    """Axial play of the first turn, mm: (P_nut - P_shaft)/2 + (D2 - d2) tan 30, over all limits of D2 and d2.

    Pitches and pitch diameters in mm. Holds for two 60 degree threads; below zero the nut may not start at all.
    The low end pairs the smallest nut with the largest shaft.
    """
    half = (nut_pitch - shaft_pitch) / 2
    flanks = (nut_d2 - shaft_d2).times(TAN_30)
    return Range(*(round(half + value, 6) for value in (flanks.low, flanks.high, flanks.nominal)))


def turns_before_binding(play: Range, shaft_pitch: float, nut_pitch: float) -> Range | None:
    """Turns until a difference of pitch has used up the play; None where the pitches are equal: it never binds."""
    if (difference := abs(nut_pitch - shaft_pitch)) < 1e-9:
        return None
    return play.times(1 / difference)


def overlap_percent(major: Range, minor: Range, pitch: float) -> Range:
    """Radial overlap (d - D1)/2 as a percentage of the basic depth 5H/8, H = 0.866025 x `pitch`; all mm.

    The low end pairs the smallest shaft with the largest nut bore; below zero the nut slides over the shaft.
    """
    return (major - minor).times(50 / (5 / 8 * 3**0.5 / 2 * pitch))


def shown_overlap(overlap: Range) -> Range:
    """An overlap, percent, as it is told to people: a nut that slides over has 0, one that is finer or coarser than
    its shaft no more than the shaft's whole depth."""
    return Range(*(min(100.0, max(0.0, part)) for part in (overlap.low, overlap.high, overlap.nominal)))


def leaves_near(pitch: float) -> list[int]:
    """Threads per inch whose gauge leaf can be taken for a pitch in mm, and the other way: 1.25 mm and 20 (1.27)."""
    return [count for count in INCH_LEAVES if abs(MM_PER_INCH / count - pitch) <= LEAF_GAUGE * pitch]


def shafts_matching(major: Range, pitch: float) -> list[Thread]:
    """Threads with a pitch like `pitch` under a leaf gauge whose shafts (widest class) can have this major diameter."""
    return [thread for thread in _alike(pitch) if major.touches(_widest_shaft(thread).major)]


def nuts_matching(minor: Range, pitch: float) -> list[Thread]:
    """Threads with a pitch like `pitch` under a leaf gauge whose nuts (widest class) can have this minor diameter."""
    return [thread for thread in _alike(pitch) if minor.touches(_widest_nut(thread).minor)]


@lru_cache(maxsize=512)
def caliper_twins(thread: Thread) -> tuple[Thread, ...]:
    """Threads of the same nominal diameter that a caliper cannot tell from this one: their outside diameters overlap
    in class 6g (metric) or 2A. Two parts that differ only by this look the same until they bind."""
    own = limits.external_limits(thread, limits.USUAL_EXTERNAL[thread.form]).major
    twins = []
    for other in known_threads():
        if other.form is thread.form and other.nominal_mm == thread.nominal_mm and other.pitch_mm != thread.pitch_mm:
            major = limits.external_limits(other, limits.USUAL_EXTERNAL[other.form]).major
            if own.touches(major):
                twins.append(other)
    return tuple(twins)


def _alike(pitch: float) -> list[Thread]:
    return [thread for thread in known_threads() if abs(thread.pitch_mm - pitch) <= LEAF_GAUGE * pitch]


def _widest_shaft(thread: Thread) -> limits.ExternalLimits:
    return limits.external_limits(thread, limits.widest_external(thread))


def _widest_nut(thread: Thread) -> limits.InternalLimits:
    return limits.internal_limits(thread, limits.widest_internal(thread))
