"""Limits of size of external and internal threads at a tolerance class."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from compat.engineering.threads import tables
from compat.engineering.threads.designation import Form, Thread, ThreadError
from compat.engineering.units import MM_PER_INCH, Range

# Widest class in general use where none is known, then what to fall back on at pitches too fine for its grade.
WIDEST_EXTERNAL = {Form.METRIC: ("8g", "6g"), Form.UNIFIED: ("2A",)}
WIDEST_INTERNAL = {Form.METRIC: ("7H", "6H"), Form.UNIFIED: ("2B",)}
USUAL_EXTERNAL = {Form.METRIC: "6g", Form.UNIFIED: "2A"}  # what the trade sells where nothing is said
USUAL_INTERNAL = {Form.METRIC: "6H", Form.UNIFIED: "2B"}
TD2_FACTOR = {"2A": 1.0, "2B": 1.3}  # on Td2(2A), ASME B1.1


@dataclass(frozen=True, slots=True)
class ExternalLimits:
    """Major diameter d and pitch diameter d2 of a bolt or shaft, mm."""

    major: Range
    pitch: Range


@dataclass(frozen=True, slots=True)
class InternalLimits:
    """Minor diameter D1 and pitch diameter D2 of a nut, mm."""

    minor: Range
    pitch: Range


@lru_cache(maxsize=1024)
def external_limits(thread: Thread, tolerance_class: str) -> ExternalLimits:
    """d and d2, mm. Class `4..8` with `e..h` for metric (`4e6g`: pitch diameter first), `2A` for unified.

    Metric by the tables of ISO 965-1; unified by the formulas of ASME B1.1 with its lengths of engagement, the diameter
    for UNC and UNF and nine pitches for UNEF, to within the last digit of its tables. Raises ThreadError
    `class_not_for_part` for a nut's class and `class_outside_tables` where nothing is tabulated.
    """
    if thread.form is Form.UNIFIED:
        _unified_class(thread, tolerance_class, "A", "B")
        td2, inch, pitch = _td2_2a(thread), thread.nominal_mm / MM_PER_INCH, 1 / thread.threads_per_inch
        top, crest = inch - 0.3 * td2, 0.06 * pitch ** (2 / 3)
        flank = top - 0.75 * _height(pitch)
        return ExternalLimits(_mm(top - crest, top), _mm(flank - TD2_FACTOR[tolerance_class] * td2, flank))
    (grade2, position2), (grade1, position1) = _metric_class(thread, tolerance_class, "efgh", "EFGH")
    try:
        top = thread.nominal_mm + tables.deviation_um(thread.pitch_mm, position1) / 1000
        crest = tables.crest_um(thread.pitch_mm, grade1, internal=False) / 1000
        flank = basic_pitch_diameter(thread) + tables.deviation_um(thread.pitch_mm, position2) / 1000
        td2 = tables.pitch_diameter_um(thread.nominal_mm, thread.pitch_mm, grade2, internal=False) / 1000
    except KeyError:
        raise _outside(thread, tolerance_class) from None
    return ExternalLimits(_range(top - crest, top), _range(flank - td2, flank))


@lru_cache(maxsize=1024)
def internal_limits(thread: Thread, tolerance_class: str) -> InternalLimits:
    """D1 and D2, mm. Class `4..8` with `G` or `H` for metric, `2B` for unified (1/4 inch and up).

    Sources and errors as `external_limits`.
    """
    if thread.form is Form.UNIFIED:
        _unified_class(thread, tolerance_class, "B", "A")
        pitch, inch = 1 / thread.threads_per_inch, thread.nominal_mm / MM_PER_INCH
        bore, flank = inch - 1.25 * _height(pitch), inch - 0.75 * _height(pitch)
        tolerance = 0.25 * pitch - 0.4 * pitch**2
        td2 = TD2_FACTOR[tolerance_class] * _td2_2a(thread)
        # The standard tabulates the minor diameter of the nut to 0.001 inch from 1/4 inch up, all else to 0.0001.
        return InternalLimits(_mm(bore, bore + tolerance, decimals=3), _mm(flank, flank + td2))
    (grade2, position2), (grade1, position1) = _metric_class(thread, tolerance_class, "GH", "gh")
    try:
        bore = thread.nominal_mm - 1.25 * _height(thread.pitch_mm)
        bore += tables.deviation_um(thread.pitch_mm, position1) / 1000
        crest = tables.crest_um(thread.pitch_mm, grade1, internal=True) / 1000
        flank = basic_pitch_diameter(thread) + tables.deviation_um(thread.pitch_mm, position2) / 1000
        td2 = tables.pitch_diameter_um(thread.nominal_mm, thread.pitch_mm, grade2, internal=True) / 1000
    except KeyError:
        raise _outside(thread, tolerance_class) from None
    return InternalLimits(_range(bore, bore + crest), _range(flank, flank + td2))


@lru_cache(maxsize=512)
def possible_external(thread: Thread) -> ExternalLimits:
    """d and d2, mm, of a shaft whose class is not known: down to the widest usual class, up to the basic size."""
    widest, flank = external_limits(thread, widest_external(thread)), basic_pitch_diameter(thread)
    return ExternalLimits(
        _range(widest.major.low, max(widest.major.high, thread.nominal_mm)),
        _range(widest.pitch.low, max(widest.pitch.high, flank)),
    )


def widest_external(thread: Thread) -> str:
    """The widest usual class of a shaft of this thread: `8g`, or `6g` at pitches without grade 8; `2A` if unified."""
    return _first(thread, WIDEST_EXTERNAL[thread.form], internal=False)


def widest_internal(thread: Thread) -> str:
    """The widest usual class of a nut of this thread: `7H`; `2B` if unified."""
    return _first(thread, WIDEST_INTERNAL[thread.form], internal=True)


def _first(thread: Thread, classes: tuple[str, ...], *, internal: bool) -> str:
    for tolerance_class in classes[:-1]:
        try:
            internal_limits(thread, tolerance_class) if internal else external_limits(thread, tolerance_class)
        except ThreadError:
            continue
        return tolerance_class
    return classes[-1]


def _height(pitch: float) -> float:
    """H of the basic triangle, ISO 68-1."""
    return float(3**0.5 / 2 * pitch)


def basic_pitch_diameter(thread: Thread) -> float:
    """d2 of the basic profile, mm: d - 3/4 H (ISO 68-1)."""
    return thread.nominal_mm - 0.75 * _height(thread.pitch_mm)


def _td2_2a(thread: Thread) -> float:
    """Td2 of class 2A, inch, ASME B1.1, with the length of engagement of the standard series."""
    inch, pitch = thread.nominal_mm / MM_PER_INCH, 1 / thread.threads_per_inch
    engaged = 9 * pitch if thread.series == "UNEF" else inch
    return float(0.0015 * inch ** (1 / 3) + 0.0015 * engaged**0.5 + 0.015 * pitch ** (2 / 3))


def _range(low: float, high: float) -> Range:
    # The standard's limits are whole micrometres of a rounded basic size; unrounded they carry binary dust.
    return Range(round(low, 3), round(high, 3), round((low + high) / 2, 4))


def _mm(low: float, high: float, decimals: int = 4) -> Range:
    return _range(round(low, decimals) * MM_PER_INCH, round(high, decimals) * MM_PER_INCH)


def _outside(thread: Thread, tolerance_class: str) -> ThreadError:
    return ThreadError("class_outside_tables", thread=thread.name, tolerance_class=tolerance_class)


def _metric_class(thread: Thread, written: str, own: str, other: str) -> tuple[tuple[int, str], tuple[int, str]]:
    halves = [written[:2], written[2:] or written[:2]]
    if len(written) not in (2, 4) or not all(half[0].isdecimal() for half in halves):
        raise _outside(thread, written)
    if all(half[1] in other for half in halves):
        raise ThreadError("class_not_for_part", thread=thread.name, tolerance_class=written)
    if not all(half[1] in own for half in halves):
        raise _outside(thread, written)
    return (int(halves[0][0]), halves[0][1]), (int(halves[1][0]), halves[1][1])


def _unified_class(thread: Thread, written: str, own: str, other: str) -> None:
    if written[1:] == other:
        raise ThreadError("class_not_for_part", thread=thread.name, tolerance_class=written)
    if written not in TD2_FACTOR or written[1:] != own:
        raise _outside(thread, written)
