"""The bore question: is this body worn, oval or tapered beyond what its seal can follow?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from compat.engineering.answers import Answer, Finding, Value, Verdict, ask, note, stop, verdict_of, warn
from compat.engineering.band import Band, band
from compat.engineering.corners import judged
from compat.engineering.roundness import (
    FORM_MM,
    GROWN_MM,
    DiameterReading,
    Shape,
    Travel,
    are_plausible,
    form_findings,
    limit_findings,
    reading_findings,
    shape_of,
)
from compat.engineering.units import Range

QUESTION = "bore"
SOURCES = ("trade",)
CAUTIONS = ("worn_body", "pressurised_gas", "makers_instructions")


@dataclass(frozen=True, slots=True)
class Bore:
    """A body's bore: nominal diameter and the maker's largest, mm, and readings of a two-point gauge over the travel
    of its piston. `on_it`: the band that runs in it, from which a limit follows where the maker gives none; its bore
    and wear are not told."""

    nominal_mm: Range | None
    max_diameter_mm: Range | None = None
    readings: Sequence[DiameterReading] = ()
    on_it: Band | None = None
    travel: Travel = field(default_factory=Travel)


def bore(told: Bore) -> Answer:
    """Is this bore within the maker's limit, or within what its seal can follow?

    `fits` means: read at three depths or more in three directions each, over the whole travel; the largest diameter of
    any ellipse through the readings surely within the limit entered from the maker, or the band on it surely seals
    there; no reading is doubted, and it is no more out of round or tapered than it may wear. No standard gives a limit.
    Values: `largest_mm`, `wear_mm` (largest less nominal), `ovality_mm`, `taper_mm`, `wear_left_mm` (to the limit),
    `limit_mm`; ranges, None where open. Source: common practice; the ellipse as in `ellipse`, the band as in `band`.
    """
    values: dict[str, Value] = dict.fromkeys(
        ("largest_mm", "wear_mm", "ovality_mm", "taper_mm", "limit_mm", "wear_left_mm")
    )
    shape = shape_of(told.readings)
    findings = reading_findings(told.readings, shape, told.nominal_mm, told.travel)
    if told.nominal_mm is None:
        findings.append(ask("bore_nominal_missing", "trade"))
    if shape is None or not are_plausible(findings):
        return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)
    values |= {"largest_mm": shape.largest, "ovality_mm": shape.ovality, "taper_mm": shape.taper}
    if told.nominal_mm is not None:
        values["wear_mm"] = shape.largest - told.nominal_mm
    findings.append(note("three_lobes_unseen", "trade"))
    findings += [*_under(told, shape), *_limit(told, shape, values), *form_findings(shape, _allowed(told))]
    return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)


def _under(told: Bore, shape: Shape) -> list[Finding]:
    """A reading that may lie under the nominal diameter: a slip, which hides wear."""
    if told.nominal_mm is None:
        return []
    smallest, nominal = shape.read_smallest, told.nominal_mm
    under = ask("bore_under_nominal", "trade", diameter_mm=smallest.low, nominal_mm=nominal.nominal)
    return judged(smallest - nominal + Range.exact(GROWN_MM), never=under, perhaps=under)


def _allowed(told: Bore) -> Range:
    """How much the bore may be out of round: as much as it may wear."""
    if told.nominal_mm is None or told.max_diameter_mm is None:
        return Range.exact(FORM_MM)
    return told.max_diameter_mm - told.nominal_mm


def _limit(told: Bore, shape: Shape, values: dict[str, Value]) -> list[Finding]:
    """The maker's limit where there is one; else what the band on it can follow."""
    if told.max_diameter_mm is None:
        return [ask("bore_limit_missing", "trade")] if told.on_it is None else _band(told.on_it, shape, values)
    largest, most = shape.largest, told.max_diameter_mm
    values |= {"limit_mm": most, "wear_left_mm": most - largest}
    found = limit_findings(most, told.nominal_mm)
    if told.nominal_mm is not None:
        under = ask("bore_limit_under_nominal", "", max_mm=most.nominal, nominal_mm=told.nominal_mm.nominal)
        found += [] if found else judged(most - told.nominal_mm, never=under, perhaps=under)
    if found:
        return found
    data = {"largest_mm": largest.nominal, "low_mm": largest.low, "high_mm": largest.high, "max_mm": most.nominal}
    return judged(
        most - largest,
        never=stop("bore_worn_out", "makers_limit", **data),
        perhaps=ask("bore_at_limit", "makers_limit", **data),
    )


def _band(on_it: Band, shape: Shape, values: dict[str, Value]) -> list[Finding]:
    """The band from the smallest to the largest of the bore: what decides, and how much further it can follow."""
    answer = band(replace(on_it, bore_mm=shape.whole, bore_wear_diametral_mm=Range.exact(0.0)))
    largest, left = shape.largest.nominal, answer.values["wear_left_mm"]
    if left is not None:
        values |= {"wear_left_mm": left, "limit_mm": Range.exact(largest) + left}
    verdict = verdict_of(answer.findings)
    if verdict is Verdict.DOES_NOT_FIT:
        return [stop("bore_band_does_not_seal", "trade", largest_mm=largest)]
    if verdict is Verdict.CANNOT_TELL:
        return [ask("bore_band_unsure", "trade", largest_mm=largest)]
    assert isinstance(left, Range)
    return [warn("bore_band_follows", "trade", left_mm=left.low)] if left.low < 0.05 else []
