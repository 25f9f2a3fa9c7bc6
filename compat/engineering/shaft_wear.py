"""The shaft question: is this shaft worn thin, bent, pitted or rough?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from compat.engineering.answers import Answer, Finding, ask, note, stop
from compat.engineering.roundness import (
    FORM_MM,
    GROWN_MM,
    DiameterReading,
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
    """A damper's shaft where its seal runs: nominal and least diameter, readings, run-out between centres as the
    gauge swings in a turn and the most that is allowed, mm; surface one of SURFACES. None where not known."""

    nominal_mm: Range | None
    min_diameter_mm: Range | None = None
    readings: Sequence[DiameterReading] = ()
    runout_mm: Range | None = None
    max_runout_mm: Range | None = None
    surface: str | None = None


def shaft(told: Shaft) -> Answer:
    """Is this shaft within the maker's limits?

    `fits` means: read at three places or more in two directions each, surely no thinner than the least diameter,
    run-out surely within its limit, and the surface sound to eye and fingernail. Values: `smallest_mm`, `wear_mm`
    (nominal less smallest), `ovality_mm`, `taper_mm`, `wear_left_mm`; ranges, None where open. Raises ValueError for
    another surface. Source: common practice; the limits are the maker's.
    """
    if told.surface is not None and told.surface not in SURFACES:
        raise ValueError(f"surface is one of {', '.join(SURFACES)}; not {told.surface!r}")
    values: dict[str, Any] = dict.fromkeys(("smallest_mm", "wear_mm", "ovality_mm", "taper_mm", "wear_left_mm"))
    findings = reading_findings(told.readings, told.nominal_mm)
    if told.nominal_mm is None:
        findings.append(ask("shaft_nominal_missing", "trade"))
    shape = shape_of(told.readings)
    if shape is not None and are_plausible(findings):
        values |= {"smallest_mm": shape.smallest, "ovality_mm": shape.ovality, "taper_mm": shape.taper}
        if told.nominal_mm is not None:
            values["wear_mm"] = told.nominal_mm - shape.smallest
        if told.min_diameter_mm is not None:
            values["wear_left_mm"] = shape.smallest - told.min_diameter_mm
        findings += [note("three_lobes_unseen", "trade"), *_over(told), *_diameter(told, shape.smallest)]
        findings += form_findings(shape, _allowed(told))
    if told.min_diameter_mm is None:
        findings.append(ask("shaft_limit_missing", "trade"))
    return Answer(QUESTION, (*findings, *_runout(told), *_surface(told)), values, SOURCES, CAUTIONS)


def _over(told: Shaft) -> list[Finding]:
    """A reading over the nominal diameter: a slip, or another shaft."""
    if told.nominal_mm is None:
        return []
    largest = max(told.readings, key=lambda one: one.diameter_mm.low).diameter_mm
    if largest.low <= told.nominal_mm.high + GROWN_MM:
        return []
    return [ask("shaft_over_nominal", "trade", diameter_mm=largest.nominal, nominal_mm=told.nominal_mm.nominal)]


def _allowed(told: Shaft) -> float:
    """How much the shaft may be out of round: as much as it may wear."""
    if told.nominal_mm is None or told.min_diameter_mm is None:
        return FORM_MM
    return max(told.nominal_mm.high - told.min_diameter_mm.low, 0.0)


def _diameter(told: Shaft, smallest: Range) -> list[Finding]:
    if told.min_diameter_mm is None:
        return []
    least = told.min_diameter_mm
    if doubted := limit_findings(least, told.nominal_mm):
        return doubted
    if told.nominal_mm is not None and least.low > told.nominal_mm.high:
        return [ask("shaft_limit_over_nominal", "", min_mm=least.nominal, nominal_mm=told.nominal_mm.nominal)]
    data = {"smallest_mm": smallest.nominal, "low_mm": smallest.low, "high_mm": smallest.high, "min_mm": least.nominal}
    if smallest.high < least.low:
        return [stop("shaft_worn_thin", "makers_limit", **data)]
    return [ask("shaft_at_limit", "makers_limit", **data)] if smallest.low < least.high else []


def _runout(told: Shaft) -> list[Finding]:
    if told.runout_mm is None:
        return [ask("runout_missing", "trade")]
    if told.max_runout_mm is None:
        return [ask("runout_limit_missing", "trade", runout_mm=told.runout_mm.nominal)]
    runout, most = told.runout_mm, told.max_runout_mm
    if most.nominal > RUNOUT_MOST_MM:
        return [ask("runout_limit_large", "trade", max_mm=most.nominal)]
    data = {"runout_mm": runout.nominal, "low_mm": runout.low, "high_mm": runout.high, "max_mm": most.nominal}
    if runout.low > most.high:
        return [stop("shaft_bent", "makers_limit", **data)]
    return [ask("runout_at_limit", "makers_limit", **data)] if runout.high > most.low else []


def _surface(told: Shaft) -> list[Finding]:
    if told.surface is None:
        return [ask("surface_missing", "trade")]
    return [] if told.surface == "ok" else [stop(f"shaft_{told.surface}", "trade")]
