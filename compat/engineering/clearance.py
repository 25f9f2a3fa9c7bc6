"""The clearance question: does this bore pass this shaft, and with how much play?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from compat.engineering.answers import Answer, Finding, Value, ask, stop
from compat.engineering.corners import Standing, both, judged, room, standing
from compat.engineering.limits_and_fits import hole_limits, shaft_limits
from compat.engineering.units import MM_PER_INCH, Range

QUESTION = "clearance"
SOURCES = ("iso_286_1",)
CAUTIONS = ("makers_instructions",)
TIMES = 8  # by which two sizes of one joint never differ
GOOD = Standing.GOOD
SAME = 0.15  # of a size, within which two agree once one is taken for inches


@dataclass(frozen=True, slots=True)
class BoreOnShaft:
    """A bore (of a shim, bush or piston) and the shaft in it. Each measured, mm, or by its class of ISO 286 at
    `nominal_mm`, which narrows what was measured. `most_clearance_mm`: the largest play that this joint may have."""

    nominal_mm: float | None = None
    bore_mm: Range | None = None
    bore_class: str | None = None
    shaft_mm: Range | None = None
    shaft_class: str | None = None
    most_clearance_mm: float | None = None


def clearance(told: BoreOnShaft) -> Answer:
    """Does the shaft pass through the bore at every corner, with no more play than is allowed?

    `fits` means: both sizes are measured, and lie within the limits of their class where one is told; the play is above
    zero at every corner, and no larger than the most that the joint may have. A class is no reading: it narrows one.
    Values: `bore_mm`, `shaft_mm`, `clearance_mm` in diameter (ranges; below zero it must be pressed). Raises
    limits_and_fits.ClassError for a class that is not tabulated. Source: ISO 286-1.
    """
    findings: list[Finding] = []
    values: dict[str, Any] = {"bore_mm": None, "shaft_mm": None, "clearance_mm": None}
    for part, limits in (("bore", hole_limits), ("shaft", shaft_limits)):
        size, by_class = getattr(told, f"{part}_mm"), getattr(told, f"{part}_class")
        tabulated = None if by_class is None or told.nominal_mm is None else limits(told.nominal_mm, by_class)
        if by_class is not None and tabulated is None:
            findings.append(ask("nominal_missing", "iso_286_1", part=part, tolerance_class=by_class))
        if size is None and tabulated is not None:
            findings.append(ask(f"{part}_not_measured", "iso_286_1", tolerance_class=by_class))
        elif size is None:
            findings.append(ask(f"{part}_size_missing", "iso_286_1"))
        elif tabulated is not None and standing(room(size, least=_low(tabulated), most=_high(tabulated))) is not GOOD:
            data = {"part": part, "size_mm": size.nominal, "tolerance_class": by_class, "low_mm": tabulated.low}
            findings.append(ask("size_outside_class", "iso_286_1", **data, high_mm=tabulated.high))
        # What contradicts its class is asked about, and stands as it was read.
        values[f"{part}_mm"] = (both(size, tabulated) or size) if size is not None else tabulated
    if values["bore_mm"] is not None and values["shaft_mm"] is not None:
        findings += _play(values["bore_mm"], values["shaft_mm"], told.most_clearance_mm, values)
    return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)


def _low(limits: Range) -> Range:
    return Range.exact(limits.low)


def _high(limits: Range) -> Range:
    return Range.exact(limits.high)


def _play(bore: Range, shaft: Range, most: float | None, values: dict[str, Value]) -> list[Finding]:
    inches, surely = _inches(bore, shaft)
    if surely:
        return inches
    play = bore - shaft
    values["clearance_mm"] = play
    data = {"low_mm": play.low, "high_mm": play.high}
    passing = judged(
        play,
        never=stop("bore_does_not_pass", "iso_286_1", **data),
        perhaps=ask("bore_may_not_pass", "iso_286_1", **data),
        strict=True,
    )
    if passing:
        return [*inches, *passing]
    if most is None:
        return [*inches, ask("most_clearance_unknown", "trade", **data)]
    data["most_mm"] = most
    return [
        *inches,
        *judged(
            Range.exact(most) - play,
            never=stop("play_too_large", "trade", **data),
            perhaps=ask("play_may_be_large", "trade", **data),
        ),
    ]


def _inches(bore: Range, shaft: Range) -> tuple[list[Finding], bool]:
    """A bore and a shaft of which one may have been measured in inches, and whether that is so at every value."""
    for one, other, part in ((bore, shaft, "bore"), (shaft, bore, "shaft")):
        least, most = one.low * MM_PER_INCH / other.high - 1, one.high * MM_PER_INCH / other.low - 1
        if one.low * TIMES < other.high or (least < SAME and most > -SAME):
            surely = one.high * TIMES < other.low or (least > -SAME and most < SAME)
            return [ask("size_looks_like_inches", "", part=part, size_mm=one.nominal)], surely
    return [], False
