"""The shaft question: is this shaft worn thin, bent, pitted or rough?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from compat.engineering.answers import Answer, Finding, Value, ask, note, stop
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

QUESTION = "shaft"
SOURCES = ("trade",)
CAUTIONS = ("pressurised_gas", "makers_instructions")
RUNOUT_MOST_MM = 0.5  # no limit of run-out is larger; from memory of the trade
SURFACES = ("ok", "pitted", "worn")


@dataclass(frozen=True, slots=True)
class Shaft:
    """A damper's shaft where its seal runs: nominal and least diameter, readings over its travel, run-out between
    centres as the gauge swings in a turn and the most that is allowed, mm; surface one of SURFACES. None where not
    known."""

    nominal_mm: Range | None
    min_diameter_mm: Range | None = None
    readings: Sequence[DiameterReading] = ()
    runout_mm: Range | None = None
    max_runout_mm: Range | None = None
    surface: str | None = None
    travel: Travel = field(default_factory=Travel)


def shaft(told: Shaft) -> Answer:
    """Is this shaft within the maker's limits?

    `fits` means: read at three places or more in three directions each, over the whole travel; no ellipse through the
    readings thinner than the least diameter; run-out surely within its limit, and the surface sound to eye and
    fingernail. Values: `smallest_mm`, `wear_mm`
    (nominal less smallest), `ovality_mm`, `taper_mm`, `wear_left_mm`; ranges, None where open. Raises ValueError for
    another surface. Source: common practice; the limits are the maker's.
    """
    if told.surface is not None and told.surface not in SURFACES:
        raise ValueError(f"surface is one of {', '.join(SURFACES)}; not {told.surface!r}")
    values: dict[str, Value] = dict.fromkeys(("smallest_mm", "wear_mm", "ovality_mm", "taper_mm", "wear_left_mm"))
    shape = shape_of(told.readings)
    findings = reading_findings(told.readings, shape, told.nominal_mm, told.travel)
    if told.nominal_mm is None:
        findings.append(ask("shaft_nominal_missing", "trade"))
    if shape is not None and are_plausible(findings):
        values |= {"smallest_mm": shape.smallest, "ovality_mm": shape.ovality, "taper_mm": shape.taper}
        if told.nominal_mm is not None:
            values["wear_mm"] = told.nominal_mm - shape.smallest
        if told.min_diameter_mm is not None:
            values["wear_left_mm"] = shape.smallest - told.min_diameter_mm
        findings += [note("three_lobes_unseen", "trade"), *_over(told, shape), *_diameter(told, shape.smallest)]
        findings += form_findings(shape, _allowed(told))
    if told.min_diameter_mm is None:
        findings.append(ask("shaft_limit_missing", "trade"))
    return Answer(QUESTION, (*findings, *_runout(told), *_surface(told)), values, SOURCES, CAUTIONS)


def _over(told: Shaft, shape: Shape) -> list[Finding]:
    """A reading that may lie over the nominal diameter: a slip, or another shaft."""
    if told.nominal_mm is None:
        return []
    largest, nominal = shape.read_largest, told.nominal_mm
    over = ask("shaft_over_nominal", "trade", diameter_mm=largest.high, nominal_mm=nominal.nominal)
    return judged(nominal + Range.exact(GROWN_MM) - largest, never=over, perhaps=over)


def _allowed(told: Shaft) -> Range:
    """How much the shaft may be out of round: as much as it may wear."""
    if told.nominal_mm is None or told.min_diameter_mm is None:
        return Range.exact(FORM_MM)
    return told.nominal_mm - told.min_diameter_mm


def _diameter(told: Shaft, smallest: Range) -> list[Finding]:
    if told.min_diameter_mm is None:
        return []
    least = told.min_diameter_mm
    found = limit_findings(least, told.nominal_mm)
    if told.nominal_mm is not None:
        over = ask("shaft_limit_over_nominal", "", min_mm=least.nominal, nominal_mm=told.nominal_mm.nominal)
        found += [] if found else judged(told.nominal_mm - least, never=over, perhaps=over)
    if found:
        return found
    data = {"smallest_mm": smallest.nominal, "low_mm": smallest.low, "high_mm": smallest.high, "min_mm": least.nominal}
    return judged(
        smallest - least,
        never=stop("shaft_worn_thin", "makers_limit", **data),
        perhaps=ask("shaft_at_limit", "makers_limit", **data),
    )


def _runout(told: Shaft) -> list[Finding]:
    if told.runout_mm is None:
        return [ask("runout_missing", "trade")]
    if told.max_runout_mm is None:
        return [ask("runout_limit_missing", "trade", runout_mm=told.runout_mm.nominal)]
    runout, most = told.runout_mm, told.max_runout_mm
    large = ask("runout_limit_large", "trade", max_mm=most.high)
    if doubted := judged(Range.exact(RUNOUT_MOST_MM) - most, never=large, perhaps=large):
        return doubted
    data = {"runout_mm": runout.nominal, "low_mm": runout.low, "high_mm": runout.high, "max_mm": most.nominal}
    return judged(
        most - runout,
        never=stop("shaft_bent", "makers_limit", **data),
        perhaps=ask("runout_at_limit", "makers_limit", **data),
    )


def _surface(told: Shaft) -> list[Finding]:
    if told.surface is None:
        return [ask("surface_missing", "trade")]
    return [] if told.surface == "ok" else [stop(f"shaft_{told.surface}", "trade")]
