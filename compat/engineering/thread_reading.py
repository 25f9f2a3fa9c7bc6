"""The thread-reading question: which thread is this, by caliper and pitch gauge?"""

from __future__ import annotations

from compat.engineering.answers import Answer, Finding, Value, ask, note
from compat.engineering.threads import pairing, tables
from compat.engineering.threads.designation import Form
from compat.engineering.threads.identify import (
    OVER_THREADS,
    Candidate,
    Read,
    Separation,
    agrees,
    candidates,
    nearly,
    separations,
)
from compat.engineering.threads.readings import CALIPER_MM, CRESTS_MM, Length, as_range
from compat.engineering.units import MM_PER_INCH, Range

QUESTION = "thread-reading"
LEAST_MM, MOST_MM = CRESTS_MM
LEAST_PITCH_MM, MOST_PITCH_MM = 0.3, 4.2
SOURCES = ("iso_261", "iso_965_1", "asme_b1_1")
CAUTIONS = ("wrong_nut", "makers_instructions")
MOST_SHOWN, MOST_SAID = 12, 3


def thread_reading(
    part: str,
    *,
    diameter_mm: Length | None = None,
    pitch_mm: float | None = None,
    threads_per_inch: float | None = None,
    diameter_error_mm: float = CALIPER_MM,
    pitch_error_mm: float | None = None,
) -> Answer:
    """Which threads have these readings, and what would tell them apart.

    part: `shaft` (diameter over the crests) or `nut` (its bore). diameter_mm: a number or the limits of several
    readings, to which the caliper's error is added. One pitch: in mm, or as threads per inch. pitch_error_mm: of the
    gauge; a leaf gauge's where None, 3 % of the pitch: 1.25 mm and 20 per inch look alike under it. `fits` means: both
    were read, exactly one thread of the tables has them, every diameter read lies within its limits, the pitch within
    1.5 % of its own, and no other thread would with twice the gauges' errors. Values: `candidates` best first (thread,
    nominal_mm, pitch_mm, limits of the diameter, how far off in the errors of the readings), those near besides them
    included and marked `inside: false`; `separate_by` (against the best: the reading and what either thread would
    show). Raises ValueError for a part that is neither, two pitches, or readings that are not above zero. Sources:
    ISO 261, ISO 965-1, ASME B1.1.
    """
    if part not in ("shaft", "nut"):
        raise ValueError("part is shaft or nut")
    if pitch_mm is not None and threads_per_inch is not None:
        raise ValueError("pitch_mm and threads_per_inch are two ways to tell the same: give one")
    told = (pitch_mm, threads_per_inch, pitch_error_mm, diameter_error_mm)
    if any(value is not None and not 0 < value < float("inf") for value in told):
        raise ValueError("pitches and errors are above zero")
    pitch = MM_PER_INCH / threads_per_inch if threads_per_inch is not None else pitch_mm
    findings = [*_missing(diameter_mm, pitch), *_implausible(diameter_mm, pitch_mm)]
    read = Read(
        part == "nut",
        None if diameter_mm is None else as_range(diameter_mm),
        pitch,
        diameter_error_mm,
        pitch_error_mm or pairing.LEAF_GAUGE * (pitch or 0.0),
    )
    found = candidates(read)
    near = nearly(read, found)
    findings = [*_swapped(part, diameter_mm, pitch_mm, diameter_error_mm), *findings]
    findings += _judged(found, near, read, part)
    looked_at = [*found, *near][:MOST_SHOWN]
    told_apart = separations(looked_at, read)
    findings += [_finding(looked_at[0], one) for one in told_apart[:MOST_SAID]]
    findings += _twins(found, part)
    values = {
        "candidates": [{**_shown(one), "inside": one in found} for one in looked_at],
        "separate_by": [_telling(looked_at[0], one) for one in told_apart],
    }
    return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)


def _missing(diameter: Length | None, pitch: float | None) -> list[Finding]:
    findings = []
    if diameter is None:
        findings.append(ask("reading_diameter_missing", "trade"))
    if pitch is None:
        findings.append(ask("reading_pitch_missing", "trade"))
    return findings


def _implausible(diameter: Length | None, pitch_mm: float | None) -> list[Finding]:
    """Readings of which any value is one that no thread of the tables has, and the unit that would explain it."""
    findings = []
    if diameter is not None:
        read = as_range(diameter)
        small = read.low < LEAST_MM
        inches = read.low * MM_PER_INCH <= MOST_MM and min(read.high, LEAST_MM) * MM_PER_INCH >= LEAST_MM
        if small and inches:
            findings.append(ask("reading_in_inches", "trade", value=read.low, mm=round(read.low * MM_PER_INCH, 3)))
        elif small or read.high > MOST_MM:
            value = read.low if small else read.high
            findings.append(ask("reading_outside_tables", "iso_261", value=value, least=LEAST_MM, most=MOST_MM))
    if pitch_mm is not None and pitch_mm > MOST_PITCH_MM:
        findings.append(ask("pitch_looks_per_inch", "trade", value=pitch_mm, mm=round(MM_PER_INCH / pitch_mm, 3)))
    elif pitch_mm is not None and pitch_mm < LEAST_PITCH_MM:
        findings.append(ask("pitch_too_fine", "iso_261", value=pitch_mm, least=LEAST_PITCH_MM))
    return findings


def _swapped(part: str, diameter: Length | None, pitch_mm: float | None, error: float) -> list[Finding]:
    """A diameter smaller than its pitch is none; asks when the two, swapped, are a thread of the tables."""
    if diameter is None or pitch_mm is None or (pitch := as_range(diameter).nominal) >= pitch_mm:
        return []
    read = Read(part == "nut", Range.exact(pitch_mm), pitch, error, pairing.LEAF_GAUGE * pitch)
    if not (found := candidates(read)):
        return []
    names = ", ".join(one.thread.name for one in found[:MOST_SHOWN])
    return [ask("readings_swapped", "trade", diameter_mm=round(pitch, 3), pitch_mm=pitch_mm, threads=names)]


def _judged(found: list[Candidate], near: list[Candidate], read: Read, part: str) -> list[Finding]:
    if not found:
        return [ask("no_thread_matches", "iso_261", part=part)] if read.diameter or read.pitch else []
    if len(found) > 1:
        names = ", ".join(one.thread.name for one in found[:MOST_SHOWN])
        return [ask("several_threads_match", "iso_261", part=part, count=len(found), threads=names)]
    name = found[0].thread.name
    if near:
        others = ", ".join(one.thread.name for one in near[:MOST_SHOWN])
        return [ask("another_thread_is_near", "iso_261", part=part, thread=name, threads=others)]
    diameters = read.diameters()
    if diameters is None or read.pitch is None:
        return []
    if not agrees(read, found[0]):
        limits = {"low_mm": found[0].diameter.low, "high_mm": found[0].diameter.high}
        ends = {"read_low_mm": round(diameters.low, 3), "read_high_mm": round(diameters.high, 3)}
        pitches = {"read_pitch_mm": round(read.pitch, 3), "pitch_mm": round(found[0].thread.pitch_mm, 3)}
        return [ask("reading_partly_outside", "iso_965_1", part=part, thread=name, **limits, **ends, **pitches)]
    return [note("one_thread_matches", "iso_261", part=part, thread=name)]


def _finding(best: Candidate, one: Separation) -> Finding:
    data = {"best": best.thread.name, "thread": one.thread.name}
    if one.reading == "pitch":
        lengths = {"best_mm": one.one.nominal, "other_mm": one.other.nominal, "threads": OVER_THREADS}
        return ask("separate_by_pitch", "trade", **data, **lengths)
    if one.reading == "diameter":
        limits = {"low_mm": one.one.low, "high_mm": one.one.high}
        other = {"other_low_mm": one.other.low, "other_high_mm": one.other.high}
        return ask("separate_by_diameter", "iso_965_1", **data, **limits, **other)
    return ask("separate_by_flank", "trade", **data)


def _twins(found: list[Candidate], part: str) -> list[Finding]:
    """What the tables do not hold and a caliper takes for the best candidate."""
    if not found:
        return []
    thread = found[0].thread
    if thread.form is Form.UNIFIED and (thread.size, thread.threads_per_inch) in tables.WHITWORTH_TWINS:
        return [ask("whitworth_twin", "trade", part=part, thread=thread.name)]
    return []


def _shown(one: Candidate) -> dict[str, Value]:
    return {
        "thread": one.thread.name,
        "nominal_mm": one.thread.nominal_mm,
        "pitch_mm": one.thread.pitch_mm,
        "diameter_mm": one.diameter,
        "off": one.off,
    }


def _telling(best: Candidate, one: Separation) -> dict[str, Value]:
    over = OVER_THREADS if one.reading != "diameter" else None
    return {
        "from": best.thread.name,
        "thread": one.thread.name,
        "reading": one.reading,
        "over_threads": over,
        "best_mm": one.one,
        "other_mm": one.other,
    }
