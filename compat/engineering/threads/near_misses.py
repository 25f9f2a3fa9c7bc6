"""The other threads that would start on a part: nuts that a shaft takes by mistake, and shafts that a nut takes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from compat.engineering.threads import limits, pairing
from compat.engineering.threads.designation import Form, Thread, known_threads
from compat.engineering.units import Range

# From the least pitch diameter of a shaft down to its deepest root, in pitches: ASME B1.13M (metric, rounded root) and
# ASME B1.1 (unified), where it bounds the minor diameter from below.
ROOT_DEPTH = {Form.METRIC: 0.616025, Form.UNIFIED: 0.649519}
SLACK_MM = 1.5  # more than all tolerances of a pair: what the nominal sizes rule out by more is not looked at


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A thread that is not the part's and yet starts on it. `on` is the part that is there, `shaft` or `nut`; `thread`
    the other part's. `turns` until it binds, None where the pitches are equal and it never does; `overlap` in percent
    of the shaft's depth of thread, 0 where it can slide over and at most 100; `play` along the axis, mm."""

    on: str
    thread: Thread
    turns: Range | None
    overlap: Range
    play: Range

    @property
    def spins_freely(self) -> bool:
        """Whether at every corner it turns further than a hand takes for the lead-in: a false friend."""
        return self.turns is None or self.turns.low >= pairing.FELT_TURNS


def near_misses(on: str, thread: Thread, tolerance_class: str) -> tuple[NearMiss, ...]:
    """Other threads of the tables that start on the part `on` (`shaft` or `nut`) of this thread and class.

    The other part is taken in its usual class, 6g and 6H or 2A and 2B. It starts where at some corner of the limits
    the flanks have play, the threads overlap, and the shaft's root passes the nut's bore. Those that spin freely come
    first, each by how much of the thread it holds at most. Empty for more than one start, where the lead decides.
    Sources: the model of `pairing`; roots by ASME B1.1 and B1.13M.
    """
    if thread.starts > 1:
        return ()
    return _near_misses(on, replace(thread, tolerance_class=None, hand=None, coarse_taken=False), tolerance_class)


@lru_cache(maxsize=512)
def _near_misses(on: str, thread: Thread, tolerance_class: str) -> tuple[NearMiss, ...]:
    found = []
    for other in known_threads():
        shaft, nut = (thread, other) if on == "shaft" else (other, thread)
        if not pairing.differences(shaft, nut) or not _in_reach(shaft, nut):
            continue
        outer = limits.external_limits(shaft, tolerance_class if on == "shaft" else limits.USUAL_EXTERNAL[shaft.form])
        inner = limits.internal_limits(nut, tolerance_class if on == "nut" else limits.USUAL_INTERNAL[nut.form])
        play = pairing.axial_play_mm(shaft.pitch_mm, nut.pitch_mm, outer.pitch, inner.pitch)
        overlap = pairing.overlap_percent(outer.major, inner.minor, shaft.pitch_mm)
        if play.high > 0 and overlap.high > 0 and inner.minor.high > deepest_root(shaft, outer):
            turns = pairing.turns_before_binding(play, shaft.pitch_mm, nut.pitch_mm)
            found.append(NearMiss(on, other, turns, pairing.shown_overlap(overlap), play))
    return tuple(sorted(found, key=lambda one: (not one.spins_freely, -one.overlap.high)))


def deepest_root(shaft: Thread, outer: limits.ExternalLimits) -> float:
    """The least minor diameter of a shaft, mm, from its limits."""
    return outer.pitch.low - ROOT_DEPTH[shaft.form] * shaft.pitch_mm


def _in_reach(shaft: Thread, nut: Thread) -> bool:
    """Whether by nominal sizes alone the threads could overlap and their flanks have play: what is worth computing."""
    depth = 5 / 4 * 3**0.5 / 2 * nut.pitch_mm
    play = (nut.pitch_mm - shaft.pitch_mm) / 2
    play += (limits.basic_pitch_diameter(nut) - limits.basic_pitch_diameter(shaft)) * pairing.TAN_30
    return nut.nominal_mm - depth < shaft.nominal_mm + SLACK_MM and play > -SLACK_MM * pairing.TAN_30
