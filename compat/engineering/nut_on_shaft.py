"""May this nut go on this shaft? Identity first, then geometry, reuse and engagement."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from compat.engineering.answers import Answer, Finding, ask, note, stop, warn
from compat.engineering.threads import engagement, limits, pairing
from compat.engineering.threads.designation import Form, Thread
from compat.engineering.threads.near_misses import near_misses
from compat.engineering.threads.readings import (
    CALIPER_MM,
    LEAST_PER_INCH,
    Length,
    PartThread,
    as_range,
    bore_over_outside,
    checked_length,
    crest_in_inches,
    implausible,
    read_part,
    start_in_inches,
    swapped_within,
)
from compat.engineering.units import Range

QUESTION = "nut-on-shaft"
LEAST_PITCH_MM = 0.2  # no thread here is finer than 0.35 mm; less is a pitch in inches
HANDS = ("right", "left")
ENDS = ("plain", "peened", "peened_dressed", "damaged")
LOCKING = ("none", "prevailing", "staked", "compound")
CONDITIONS = ("new", "used")


@dataclass(frozen=True, slots=True)
class ShaftEnd:
    """A shaft's threaded end. Lengths in mm, a number or a `Range`; None where not read. Positions are from the
    shoulder; `hole_mm` is 0 for a solid shaft. Raises ValueError naming the field for a length that is none or a
    word that is not listed above."""

    thread: str | None = None
    tolerance_class: str | None = None
    hand: str | None = None
    gauged_pitch_mm: float | None = None
    major_mm: Length | None = None
    hole_mm: Length | None = None
    end_condition: str | None = None
    full_thread_start_mm: Length | None = None
    shaft_end_mm: Length | None = None
    property_class: str | None = None
    full_length_gauged: bool = False
    thread_relief: bool | None = None

    def __post_init__(self) -> None:
        _word("shaft.hand", self.hand, HANDS)
        _word("shaft.end_condition", self.end_condition, ENDS)
        for name in ("gauged_pitch_mm", "major_mm", "shaft_end_mm"):
            checked_length("shaft", name, getattr(self, name))
        for name in ("hole_mm", "full_thread_start_mm"):
            checked_length("shaft", name, getattr(self, name), zero=True)


@dataclass(frozen=True, slots=True)
class Nut:
    """A nut, and where its underside sits when tight. Lengths as in `ShaftEnd`; `chamfer_mm` is the depth of one
    face's chamfer along the axis, 0 where there is none."""

    thread: str | None = None
    tolerance_class: str | None = None
    hand: str | None = None
    gauged_pitch_mm: float | None = None
    minor_mm: Length | None = None
    height_mm: Length | None = None
    chamfer_mm: Length | None = None
    property_class: str | None = None
    locking: str | None = None
    condition: str | None = None
    underside_mm: Length | None = None

    def __post_init__(self) -> None:
        _word("nut.hand", self.hand, HANDS)
        _word("nut.locking", self.locking, LOCKING)
        _word("nut.condition", self.condition, CONDITIONS)
        for name in ("gauged_pitch_mm", "minor_mm", "height_mm", "underside_mm"):
            checked_length("nut", name, getattr(self, name))
        checked_length("nut", "chamfer_mm", self.chamfer_mm, zero=True)


def nut_on_shaft(
    shaft: ShaftEnd,
    nut: Nut,
    *,
    preload_n: Range | None = None,
    strip_factor: float = 2.0,
    caliper_mm: float = CALIPER_MM,
) -> Answer:
    """Whether the nut may be used on the shaft's end.

    `preload_n` (N) is what the torque gives; without it the needed engagement stays open and a thin nut is a question.
    `strip_factor` is the shop's margin against stripping; `caliper_mm` the error of a single diameter reading.
    Fits means: same form, diameter, pitch, hand and starts, a class pair, both pitches gauged, both crests read and
    within limits, play and overlap at all limits, nothing reused that must not be, and full thread under the whole
    nut with a pitch to spare. Holds for M3-M36 (ISO 261, ISO 965-1) and 1/4-1 inch UNC, UNF and UNEF (ASME B1.1).
    Values: `turns_before_binding` (None for equal pitches: never), `axial_play_mm`, `overlap_percent` as Range,
    `engagement_mm` with the sure `available`, the `needed` and the `full_strength` length, each a number or None, and
    `near_misses`: other threads that would start on the shaft (`on` says `shaft`) or in which the nut would start.
    Raises ValueError for a factor or caliper error that is not positive, or a preload below zero.
    """
    if not strip_factor > 0 or not caliper_mm > 0:
        raise ValueError("strip_factor and caliper_mm are above zero")
    if preload_n is not None and not 0 <= preload_n.low <= preload_n.high < float("inf"):
        raise ValueError("preload_n: not a force in newtons")
    on_shaft, findings = read_part("shaft", shaft.thread, shaft.tolerance_class, shaft.hand, shaft.gauged_pitch_mm)
    on_nut, of_nut = read_part("nut", nut.thread, nut.tolerance_class, nut.hand, nut.gauged_pitch_mm)
    findings += of_nut + _identity(on_shaft, on_nut)
    values: dict[str, Any] = {"turns_before_binding": None, "axial_play_mm": None, "overlap_percent": None}
    findings += _doubtful(shaft, nut, on_shaft, on_nut)
    findings += _geometry(shaft, nut, on_shaft, on_nut, caliper_mm, values)
    values["near_misses"] = _near_misses(on_shaft, on_nut)
    findings += _reuse(shaft, nut)
    layout = engagement.Layout(
        shaft.full_thread_start_mm,
        shaft.shaft_end_mm,
        nut.underside_mm,
        nut.height_mm,
        nut.chamfer_mm,
        shaft.hole_mm,
        shaft.thread_relief,
    )
    strength = engagement.Strength(shaft.property_class, nut.property_class, preload_n, strip_factor)
    values["engagement_mm"], engaged = engagement.engagement(layout, strength, on_shaft, on_nut)
    findings += engaged
    cautions = ["wrong_nut", "locking_compound", "pressurised_gas", "makers_instructions"]
    if nut.condition != "new" or shaft.end_condition != "plain":
        cautions.insert(1, "peened_or_locking")
    sources = {"iso_68_1", "iso_965_1", "fed_std_h28_2b"} | {finding.source for finding in findings if finding.source}
    return Answer(QUESTION, tuple(findings), values, tuple(sorted(sources)), tuple(cautions))


def _near_misses(shaft: PartThread, nut: PartThread) -> list[dict[str, Any]]:
    found = []
    for on, part in (("shaft", shaft), ("nut", nut)):
        for one in near_misses(on, part.thread, part.tolerance_class) if part.thread else ():
            shown = {
                "on": on,
                "thread": one.thread.name,
                "turns_before_binding": _rounded(one.turns, 2) if one.turns else None,
                "overlap_percent": _rounded(one.overlap, 0),
                "axial_play_mm": _rounded(one.play, 3),
                "spins_freely": one.spins_freely,
            }
            found.append(shown)
    return found


def _word(name: str, value: str | None, allowed: tuple[str, ...]) -> None:
    if value is not None and value not in allowed:
        raise ValueError(f"{name}: {value!r} is not one of {', '.join(allowed)}")


def _identity(shaft: PartThread, nut: PartThread) -> list[Finding]:
    findings = []
    differ = pairing.differences(shaft.thread, nut.thread) if shaft.thread and nut.thread else []
    if shaft.thread and nut.thread and differ:
        words = ", ".join(_WORDS[name] for name in differ)
        findings.append(stop("threads_differ", "trade", shaft=shaft.thread.name, nut=nut.thread.name, differs=words))
    if shaft.gauged and nut.gauged and _per_mm_apart(shaft.gauged, nut.gauged):
        findings.append(stop("gauged_pitches_differ", shaft_mm=shaft.gauged, nut_mm=nut.gauged))
    if shaft.hand and nut.hand and shaft.hand != nut.hand:
        findings.append(stop("hands_differ", shaft=shaft.hand, nut=nut.hand))
    return findings


def _per_mm_apart(one: float, other: float) -> bool:
    """Whether two gauged pitches are certainly different. Figures that can only be inches or threads per inch are
    left to the question that asks about them."""
    if max(one, other) >= LEAST_PER_INCH or min(one, other) < LEAST_PITCH_MM:
        return False
    return abs(one - other) > pairing.LEAF_GAUGE * min(one, other)


_WORDS = {"form": "form", "nominal_mm": "diameter", "pitch_mm": "pitch", "starts": "starts"}


def _doubtful(shaft: ShaftEnd, nut: Nut, on_shaft: PartThread, on_nut: PartThread) -> list[Finding]:
    findings: list[Finding] = []
    for part, known, fields in (
        ("shaft", on_shaft.thread, ("hole_mm", "full_thread_start_mm", "shaft_end_mm")),
        ("nut", on_nut.thread, ("height_mm", "chamfer_mm", "underside_mm")),
    ):
        if known:
            owner = shaft if part == "shaft" else nut
            found = implausible(part, known.nominal_mm, {name: getattr(owner, name) for name in fields})
            findings += found.values()
    if not findings and (doubt := start_in_inches(shaft.full_thread_start_mm, nut.underside_mm, shaft.shaft_end_mm)):
        findings.append(doubt)
    return findings


def _crest(
    part: str,
    thread: Thread | None,
    reading: Length | None,
    limit: Range | None,
    caliper: float,
    findings: list[Finding],
) -> Range | None:
    """The crest reading with its error; findings where it is missing, in inches, or outside the limits."""
    name = "major_mm" if part == "shaft" else "minor_mm"
    if reading is None:
        findings.append(ask(f"{part}_{name.removesuffix('_mm')}_not_read", "trade"))
        return None
    if thread is None or limit is None:
        findings += crest_in_inches(part, name, reading)
        return None
    if doubt := implausible(part, thread.nominal_mm, {name: reading}):
        findings += doubt.values()
        return None
    read = as_range(reading, caliper)
    if read.low > limit.high or read.high < limit.low:
        data = {"reading_mm": round(read.nominal, 3), "low_mm": limit.low, "high_mm": limit.high, "thread": thread.name}
        findings.append(ask(f"{part}_crest_outside_limits", "iso_965_1", **data))
        matching = pairing.shafts_matching if part == "shaft" else pairing.nuts_matching
        others = [other.name for other in matching(read, thread.pitch_mm) if other.name != thread.name]
        if others:
            findings.append(ask(f"{part}_could_be_another_thread", "trade", names=", ".join(others)))
    return read


def _geometry(
    shaft: ShaftEnd, nut: Nut, on_shaft: PartThread, on_nut: PartThread, caliper: float, values: dict[str, Any]
) -> list[Finding]:
    findings: list[Finding] = []
    one, other = on_shaft.thread, on_nut.thread
    outer = limits.external_limits(one, on_shaft.tolerance_class) if one else None
    inner = limits.internal_limits(other, on_nut.tolerance_class) if other else None
    swapped = False
    if doubt := bore_over_outside(shaft.major_mm, nut.minor_mm, caliper):
        findings.append(doubt)
        if outer and inner and shaft.major_mm and nut.minor_mm:
            swapped = swapped_within(shaft.major_mm, nut.minor_mm, caliper, outer.major, inner.minor)
    major = minor = None
    if not swapped:
        major = _crest("shaft", one, shaft.major_mm, outer.major if outer else None, caliper, findings)
        minor = _crest("nut", other, nut.minor_mm, inner.minor if inner else None, caliper, findings)
    if one:
        findings += _traps(one)
    if not (one and other and outer and inner):
        return findings
    play = pairing.axial_play_mm(one.pitch_mm, other.pitch_mm, outer.pitch, inner.pitch)
    turns = pairing.turns_before_binding(play, one.pitch_mm, other.pitch_mm)
    same = not pairing.differences(one, other)
    d = _judged(outer.major, major, on_shaft.class_known or not same)
    bore = _judged(inner.minor, minor, on_nut.class_known or not same)
    overlap = pairing.overlap_percent(d, bore, one.pitch_mm)
    if overlap.low < pairing.LEAST_OVERLAP_PERCENT and major and minor and same:
        # The class alone does not prove enough overlap (8g in 7H); the readings of these two parts may.
        overlap = pairing.overlap_percent(major, minor, one.pitch_mm)
    values |= {
        "turns_before_binding": _rounded(turns, 2) if turns else None,
        "axial_play_mm": _rounded(play, 3),
        "overlap_percent": _rounded(overlap, 1),
    }
    data = {"low": round(overlap.low, 1), "high": round(overlap.high, 1), "least": pairing.LEAST_OVERLAP_PERCENT}
    if overlap.high < pairing.LEAST_OVERLAP_PERCENT:
        findings.append(stop("overlap_too_small", "trade", **data))
    elif overlap.low < pairing.LEAST_OVERLAP_PERCENT:
        findings.append(ask("overlap_not_proven", "trade", **data))
    if play.high <= 0:
        findings.append(stop("no_play", low_mm=round(play.low, 3), high_mm=round(play.high, 3)))
    elif play.low <= 0:
        findings.append(ask("play_not_proven", low_mm=round(play.low, 3), high_mm=round(play.high, 3)))
    if play.high > 0 and overlap.high > 0:
        findings += _wrong_nut(one, other, turns, overlap)
    return findings


def _wrong_nut(shaft: Thread, nut: Thread, turns: Range | None, overlap: Range) -> list[Finding]:
    """What a nut of another thread does on the shaft that it starts on."""
    names = {"shaft": shaft.name, "nut": nut.name}
    percent = {"percent_low": max(0, round(overlap.low)), "percent_high": round(overlap.high)}
    if turns is None:
        # Two starts against one do not run into each other, and equal diameters are the same thread.
        spins = shaft.nominal_mm != nut.nominal_mm and shaft.starts == nut.starts
        return [stop("false_friend_never_binds", "trade", **names, **percent)] if spins else []
    data = {"turns_low": round(turns.low, 2), "turns_high": round(turns.high, 2)}
    if turns.low >= pairing.FELT_TURNS:
        return [stop("false_friend", "trade", **names, **data, **percent)]
    return [note("binds_after_turns", "trade", **names, **data)]


def _judged(limit: Range, reading: Range | None, by_limits: bool) -> Range:
    """The limits where the class is known, or where the threads differ and only what is possible matters; else the
    reading, and always the reading where it lies outside the limits."""
    if reading is None:
        return limit
    outside = reading.low > limit.high or reading.high < limit.low
    return reading if outside or not by_limits else limit


def _traps(thread: Thread) -> list[Finding]:
    findings = []
    if twins := pairing.caliper_twins(thread):
        names = ", ".join(twin.name for twin in twins)
        findings.append(note("caliper_cannot_tell", "trade", thread=thread.name, names=names))
    if thread.form is Form.METRIC and (leaves := pairing.leaves_near(thread.pitch_mm)):
        counts = ", ".join(str(count) for count in leaves)
        findings.append(note("leaf_gauge_cannot_tell", "trade", pitch_mm=thread.pitch_mm, per_inch=counts))
    return findings


def _reuse(shaft: ShaftEnd, nut: Nut) -> list[Finding]:
    findings: list[Finding] = []
    if shaft.end_condition is None:
        findings.append(ask("end_condition_unknown", "trade"))
    elif shaft.end_condition in ("peened", "damaged"):
        findings.append(stop(f"shaft_end_{shaft.end_condition}", "trade"))
    elif shaft.end_condition == "peened_dressed":
        gauged = warn if shaft.full_length_gauged else ask
        code = "dressed_end_gauged" if shaft.full_length_gauged else "dressed_end_not_gauged"
        findings.append(gauged(code, "trade"))
    if nut.condition is None:
        findings.append(ask("nut_condition_unknown", "trade"))
    if nut.locking is None:
        findings.append(ask("nut_locking_unknown", "trade"))
    if nut.condition == "used":
        if nut.locking in ("prevailing", "staked"):
            findings.append(stop("used_locking_nut", "trade", locking=nut.locking))
        else:
            findings.append(warn("used_nut", "trade"))
    if nut.locking == "none":
        findings.append(warn("no_locking", "trade"))
    return findings


def _rounded(value: Range, decimals: int) -> Range:
    return Range(*(round(part, decimals) for part in (value.low, value.high, value.nominal)))
