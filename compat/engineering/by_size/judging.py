"""Whether a part can be the one that was read, or is nearly it and dangerous.

A part is within the readings where every one of them lies within its error and the part's own tolerance. It is a near
miss where all but what is named agree, and the rest differs by so little that a hand or an eye takes one for the
other. How little stands in REACH: common practice of the damper trade, no published source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from compat.engineering.by_size.measures import Reading, Way
from compat.engineering.seals.sizes import known as as568
from compat.engineering.threads import limits
from compat.engineering.threads.designation import Thread, ThreadError, parse
from compat.engineering.threads.pairing import LEAF_GAUGE
from compat.engineering.units import Range

EPSILON = 1e-6
# By how much a near miss differs at most: mm, or this part of what was read, whichever is more.
_FLAT = {"od_mm": (1.0, 0.0), "id_mm": (1.0, 0.0), "height_mm": (0.3, 0.15)}
_CLOSE = {"od_mm": (0.5, 0.0), "id_mm": (0.5, 0.0), "height_mm": (1.0, 0.0), "thickness_mm": (0.5, 0.0)}
REACH: dict[str, dict[str, tuple[float, float]]] = {
    "shim": {"od_mm": (1.0, 0.0), "id_mm": (1.0, 0.0), "thickness_mm": (0.055, 0.34)},
    "nut": {
        "pitch_mm": (0.0, 0.5), "across_flats_mm": (1.1, 0.0), "thread_mm": (1.5, 0.0), "id_mm": (1.5, 0.0),
        "height_mm": (1.5, 0.0),
    },
    "washer": _FLAT,
    "piston": _CLOSE,
    "oring": {"section_mm": (0.0, 0.6), "id_mm": (0.5, 0.02), "od_mm": (0.5, 0.02)},
    "band": {"bore_mm": (0.5, 0.0), "id_mm": (0.5, 0.0), "height_mm": (1.0, 0.0), "thickness_mm": (0.5, 0.0)},
    "seal_head": _CLOSE,
    "bush": _CLOSE,
}  # fmt: skip
NEXT_SECTION_MM = 0.35  # sections of metric and inch rings that the eye does not tell apart
# What differs, where it is one measure alone.
MISSES = {
    "od_mm": "diameter", "bore_mm": "diameter", "id_mm": "bore", "section_mm": "section", "height_mm": "height",
    "thickness_mm": "thickness", "pitch_mm": "pitch", "across_flats_mm": "flats", "thread_mm": "thread",
}  # fmt: skip
# Plus or minus of a ring without tolerances on file, as a part of its inner diameter (at least 0.1 mm), and of its
# section: what makers of metric rings state, common practice.
RING_ID_PART, RING_LEAST_MM, RING_SECTION_MM = 0.01, 0.1, 0.1
# Nuts are made narrower than their nominal width across flats: up to so many mm, by this much (ISO 4759-1 grade A, h13
# and above 32 mm h14; from memory of it).
FLATS_UNDER = ((10.0, 0.22), (18.0, 0.27), (32.0, 0.33), (50.0, 1.0), (80.0, 1.2))


@dataclass(frozen=True, slots=True)
class Known:
    """A part of the catalogue: its sizes with their own tolerances, mm, by measure; what is not on file is absent."""

    key: int
    kind: str
    sizes: Mapping[str, Range]
    thread: str = ""
    hand: str = ""
    dash: str = ""
    role: str = ""
    rubber: tuple[str, ...] = ()  # compound and hardness, each empty where it is not on file

    @property
    def size(self) -> tuple[object, ...]:
        """What makes it this size of part and no other."""
        lengths = tuple(sorted((name, round(one.nominal, 4)) for name, one in self.sizes.items()))
        return (self.kind, self.thread, self.hand, lengths)


@dataclass(frozen=True, slots=True)
class Judged:
    """A part with what was read of it. `off`: the reading that is furthest off, in its error and the part's tolerance
    together; up to 1 it may be the part. `miss`: what a near miss differs in, else empty; `outside`: these measures."""

    part: Known
    way: Way
    off: float
    total: float
    miss: str = ""
    outside: tuple[str, ...] = ()
    unknown: tuple[str, ...] = field(default=())


def ring_sizes(
    inner: float, section: float, dash: str, tolerances: tuple[float | None, float | None]
) -> dict[str, Range]:
    """The sizes of an O-ring, mm: its tolerances as on file, else those of its AS568 size, else usual ones."""
    table = as568().get(int(dash)) if dash.isdigit() else None
    about = tolerances[0] or (_spread(table.id_mm) if table else max(RING_LEAST_MM, inner * RING_ID_PART))
    thick = tolerances[1] or (_spread(table.section_mm) if table else RING_SECTION_MM)
    return {
        "id_mm": Range.around(inner, about),
        "section_mm": Range.around(section, thick),
        "od_mm": Range.around(inner + 2 * section, about + 2 * thick),
    }


@lru_cache(maxsize=1024)
def thread_sizes(name: str) -> Mapping[str, Range]:
    """The sizes of a nut's thread, mm: pitch, nominal diameter, and the bore within the limits of its widest class.

    Empty where the thread is not understood; without a bore where its limits are not tabulated.
    """
    try:
        thread = parse(name)
    except ThreadError:
        return {}
    found = {"pitch_mm": Range.exact(thread.pitch_mm), "thread_mm": Range.exact(thread.nominal_mm)}
    return found if (bore := bore_of(thread)) is None else {**found, "id_mm": bore}


def bore_of(thread: Thread) -> Range | None:
    """The bore over the crests of a nut of a thread, mm, from the basic size to the limit of its widest usual class."""
    try:
        minor = limits.internal_limits(thread, limits.widest_internal(thread)).minor
    except ThreadError:
        return None
    return Range(minor.low, minor.high, (minor.low + minor.high) / 2)


def flats(nominal: float) -> Range:
    """The width across flats of a nut, mm."""
    return Range(nominal - next((under for most, under in FLATS_UNDER if nominal <= most), 1.2), nominal, nominal)


def judge(
    part: Known, possible: Sequence[Way], *, hand: str | None = None, rubber: tuple[str, ...] = ()
) -> Judged | None:
    """The part under the meaning of the numbers that suits it best; None where it is neither it nor nearly it."""
    found = [judged for way in possible if (judged := _judged(part, way, hand, rubber)) is not None]
    return min(found, key=lambda one: (bool(one.miss), one.off, one.total), default=None)


def off(reading: Reading, measure: str, size: Range) -> float:
    """How far a reading is from a size, in its error and the size's tolerance on that side together."""
    away = reading.mm - size.nominal
    room = reading.error + (size.high - size.nominal if away > 0 else size.nominal - size.low)
    return abs(away) / room if room > 0 else 0.0 if not away else math.inf


def _judged(part: Known, way: Way, hand: str | None, rubber: tuple[str, ...]) -> Judged | None:
    offs = {name: off(one, name, part.sizes[name]) for name, one in way.items() if name in part.sizes}
    unknown = tuple(name for name in way if name not in part.sizes)
    if not offs:
        return None
    outside = tuple(name for name, value in offs.items() if value > 1 + EPSILON)
    miss = _miss(part, way, outside) if outside else ""
    if miss is None:
        return None
    if hand and part.hand and hand != part.hand:
        if outside:
            return None
        miss = "hand"
    if any(said and known and said != known for said, known in zip(rubber, part.rubber, strict=False)):
        if outside:
            return None
        miss = "compound"
    return Judged(part, way, max(offs.values()), math.hypot(*offs.values()), miss, outside, unknown)


def _miss(part: Known, way: Way, outside: tuple[str, ...]) -> str | None:
    """In what a part outside the readings is a near miss; None where it is none. One reading alone misses nothing."""
    if len(way) < 2 or not all(_in_reach(part, way[name], name) for name in outside):
        return None
    if part.kind == "nut":
        return _miss_of_nut(part, way, outside)
    if len(outside) == 1:
        return MISSES[outside[0]]
    if part.kind == "oring":
        section = way.get("section_mm")
        close = section is None or abs(section.mm - part.sizes["section_mm"].nominal) <= NEXT_SECTION_MM
        return "ring" if close else None
    return None


def _miss_of_nut(part: Known, way: Way, outside: tuple[str, ...]) -> str | None:
    if len(outside) == 1:
        return MISSES["thread_mm" if outside == ("id_mm",) else outside[0]]
    # The bore goes with the pitch: of one diameter both differ together.
    if set(outside) == {"pitch_mm", "id_mm"}:
        return "pitch"
    pitch = way.get("pitch_mm")
    if pitch is None or {"height_mm"} & set(outside):
        return None
    alike = abs(pitch.mm - part.sizes["pitch_mm"].nominal) <= LEAF_GAUGE * pitch.mm + pitch.error
    return "thread" if alike else None


def _in_reach(part: Known, reading: Reading, measure: str) -> bool:
    return abs(reading.mm - part.sizes[measure].nominal) <= reach(part.kind, measure, reading) + EPSILON


def reach(kind: str, measure: str, reading: Reading) -> float:
    """By how much a near miss may be off this reading, mm: its error counts beside what REACH says."""
    least, part = REACH[kind][measure]
    return max(least, part * reading.mm) + reading.error


def _spread(size: Range) -> float:
    return size.high - size.nominal
