"""May this nut go on this shaft? Identity first, then geometry, reuse and engagement."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from compat.engineering.answers import Answer, Finding, ask, stop, warn
from compat.engineering.refused import Refused
from compat.engineering.threads import engagement, pairing
from compat.engineering.threads.geometry import geometry, rounded
from compat.engineering.threads.near_misses import near_misses
from compat.engineering.threads.readings import (
    CALIPER_MM,
    LEAST_PER_INCH,
    Length,
    PartThread,
    as_range,
    checked_length,
    implausible,
    read_part,
    start_in_inches,
)
from compat.engineering.threads.section import Relief, checked_relief
from compat.engineering.units import Range

QUESTION = "nut-on-shaft"
LEAST_PITCH_MM = 0.2  # no thread here is finer than 0.35 mm; less is a pitch in inches
HANDS = ("right", "left")
ENDS = ("plain", "peened", "peened_dressed", "damaged")
LOCKING = ("none", "prevailing", "staked", "compound")
CONDITIONS = ("new", "used")
NO_COLLAR = ("none", "compound")  # ways of locking that need no insert and no collar


@dataclass(frozen=True, slots=True)
class ShaftEnd:
    """A shaft's threaded end. Lengths in mm, a number or a `Range`; None where not read. Positions are from the
    shoulder; `hole_mm` is 0 for a solid shaft; `thread_relief` says whether a relief groove lies before the full
    thread, `relief_diameter_mm` the diameter left in it. Raises Refused for the field of a length that is none, of a
    word that is not listed above, and of the diameter of a groove that is said not to be there."""

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
    relief_diameter_mm: Length | None = None

    def __post_init__(self) -> None:
        _word("shaft.hand", self.hand, HANDS)
        _word("shaft.end_condition", self.end_condition, ENDS)
        for name in ("gauged_pitch_mm", "major_mm", "shaft_end_mm", "relief_diameter_mm"):
            checked_length("shaft", name, getattr(self, name))
        for name in ("hole_mm", "full_thread_start_mm"):
            checked_length("shaft", name, getattr(self, name), zero=True)
        checked_relief(self.thread_relief, self.relief_diameter_mm, "shaft.relief_diameter_mm")

    @property
    def relief(self) -> Relief:
        """The relief groove as it is known."""
        left = self.relief_diameter_mm
        return Relief(self.thread_relief, None if left is None else as_range(left))


@dataclass(frozen=True, slots=True)
class Nut:
    """A nut, and where its underside sits when tight. Lengths as in `ShaftEnd`; `chamfer_mm` is the depth of one
    face's chamfer along the axis, 0 where there is none; `unthreaded_mm` what else of its height is not thread: a nylon
    ring, an insert, a collar or a counterbore. Turns that are squeezed to lock are thread. Where it is None, a nut that
    locks not at all or by compound has none, and of any other it is a question."""

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
    unthreaded_mm: Length | None = None

    def __post_init__(self) -> None:
        _word("nut.hand", self.hand, HANDS)
        _word("nut.locking", self.locking, LOCKING)
        _word("nut.condition", self.condition, CONDITIONS)
        for name in ("gauged_pitch_mm", "minor_mm", "height_mm", "underside_mm"):
            checked_length("nut", name, getattr(self, name))
        for name in ("chamfer_mm", "unthreaded_mm"):
            checked_length("nut", name, getattr(self, name), zero=True)


def nut_on_shaft(
    shaft: ShaftEnd,
    nut: Nut,
    *,
    preload_n: Range | None = None,
    strip_factor: float = 2.0,
    caliper_mm: float = CALIPER_MM,
    near_misses_too: bool = True,
) -> Answer:
    """Whether the nut may be used on the shaft's end.

    `preload_n` (N) is what the torque gives, and the engaged thread must carry it; without it the thread must carry
    what the strongest shaft of its class does, so any load that the shaft bears. `strip_factor` is the shop's margin
    against stripping; `caliper_mm` the error of the caliper on each diameter; `near_misses_too`: whether the values
    tell them.
    Fits means: same form, diameter, pitch, hand and starts, both property classes known, both pitches gauged, both
    crests read and wholly within limits, play and overlap at all limits, nothing reused that must not be, enough full
    thread under the nut with a pitch to spare, a relief groove that is measured or known not to be there, and under
    thread and groove a wall that is no thin tube or that bears the load by the least section. Holds for M3-M36 (ISO
    261, ISO 965-1) and 1/4-1 inch UNC, UNF and UNEF (ASME B1.1).
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
    findings += _doubtful(shaft, nut, on_shaft, on_nut)
    run_down = shaft.full_length_gauged
    values, found = geometry(on_shaft, on_nut, shaft.major_mm, nut.minor_mm, caliper_mm=caliper_mm, run_down=run_down)
    findings += found
    if near_misses_too:
        values["near_misses"] = _near_misses(on_shaft, on_nut)
    findings += _reuse(shaft, nut)
    layout = engagement.Layout(
        shaft.full_thread_start_mm,
        shaft.shaft_end_mm,
        nut.underside_mm,
        nut.height_mm,
        nut.chamfer_mm,
        _unthreaded(nut),
        shaft.hole_mm,
        shaft.relief,
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
                "turns_before_binding": rounded(one.turns, 2) if one.turns else None,
                "overlap_percent": rounded(one.overlap, 0),
                "axial_play_mm": rounded(one.play, 3),
                "spins_freely": one.spins_freely,
            }
            found.append(shown)
    return found


def _word(name: str, value: str | None, allowed: tuple[str, ...]) -> None:
    if value is not None and value not in allowed:
        raise Refused("not_one_of", name, value=value, known=", ".join(allowed))


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
        ("shaft", on_shaft.thread, ("hole_mm", "relief_diameter_mm", "full_thread_start_mm", "shaft_end_mm")),
        ("nut", on_nut.thread, ("height_mm", "chamfer_mm", "unthreaded_mm", "underside_mm")),
    ):
        if known:
            owner = shaft if part == "shaft" else nut
            found = implausible(part, known.nominal_mm, {name: getattr(owner, name) for name in fields})
            findings += found.values()
    if not findings and (doubt := start_in_inches(shaft.full_thread_start_mm, nut.underside_mm, shaft.shaft_end_mm)):
        findings.append(doubt)
    return findings


def _unthreaded(nut: Nut) -> Length | None:
    """What of the nut's height is not thread, mm, besides its chamfers; None where nobody knows."""
    if nut.unthreaded_mm is None and nut.locking in NO_COLLAR:
        return 0.0
    return nut.unthreaded_mm


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
    elif _unthreaded(nut) is None:
        findings.append(ask("nut_unthreaded_unknown", "trade"))
    if nut.condition == "used":
        if nut.locking in ("prevailing", "staked"):
            findings.append(stop("used_locking_nut", "trade", locking=nut.locking))
        else:
            findings.append(warn("used_nut", "trade"))
    if nut.locking == "none":
        findings.append(warn("no_locking", "trade"))
    return findings


def groove_as_read(there: bool | None, *, measured: bool) -> bool | None:
    """Whether a relief groove is on this very shaft, by what was read of it alone: `there` as it was said, None where
    nothing was; `measured`: its diameter was read. None where what a model says of it stands.

    A groove that was measured here is here, whatever a model says, and one that is not here has no diameter.
    """
    if measured:
        return True if there is None else None
    return False if there is False else None
