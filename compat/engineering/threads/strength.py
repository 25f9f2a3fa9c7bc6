"""The property classes of a pair, and the least thread that makes a joint at all."""

from __future__ import annotations

from compat.engineering.answers import Finding, ask, stop, warn
from compat.engineering.corners import Standing, judged, standing
from compat.engineering.units import Range

PAIR = {"8.8": 8, "10.9": 10, "12.9": 12}  # ISO 898-2: the nut class that goes with a bolt class
NUT_CLASSES = tuple(str(pair) for pair in PAIR.values())


def class_findings(shaft_class: str | None, nut_class: str | None) -> list[Finding]:
    """What is open of the two property classes, and whether they pair (ISO 898-1 and -2)."""
    findings = []
    if shaft_class not in PAIR:
        findings.append(ask("shaft_strength_unknown", "iso_898_1", known=", ".join(PAIR)))
    if nut_class not in NUT_CLASSES:
        findings.append(ask("nut_strength_unknown", "iso_898_2", known=", ".join(NUT_CLASSES)))
    if shaft_class in PAIR and nut_class in NUT_CLASSES and int(nut_class) < PAIR[shaft_class]:
        findings.append(warn("classes_do_not_pair", "iso_898_2", nut_class=nut_class, shaft_class=shaft_class))
    return findings


def turn_findings(engaged: Range, pitch: float) -> list[Finding]:
    """Less than one full turn is no joint, whatever the load. Lengths in mm; common practice, no published source."""
    if standing(engaged, strict=True) is Standing.BAD:
        return [stop("no_engagement")]
    data = {"least_mm": round(max(0.0, engaged.low), 2), "pitch_mm": round(pitch, 3)}
    return judged(
        engaged - Range.exact(pitch),
        never=stop("engagement_under_a_turn", "trade", **data),
        perhaps=ask("engagement_may_be_under_a_turn", "trade", **data),
    )
