"""How wide the gap beside a gland may be before pressure drives the ring into it."""

from __future__ import annotations

from compat.engineering.answers import Finding, Severity, Value, ask, note, stop
from compat.engineering.corners import judged, known
from compat.engineering.seals.compounds import HARDNESS_ABOUT, Service, hardness_of
from compat.engineering.seals.gland import Gland, gap_of
from compat.engineering.units import MM_PER_INCH, Range

MPA_PER_PSI = 0.006894757
# Upper end of each step of gauge pressure, and the widest gap there in diameter by hardness. Seal makers print this
# table alike, without back-up rings; it stands openly in inches and psi, rows for 70 and 90 Shore A.
STEPS_MPA = tuple(psi * MPA_PER_PSI for psi in (500, 1000, 1500, 2000, 3000))
GAPS_MM = {
    70: tuple(inch * MM_PER_INCH for inch in (0.016, 0.010, 0.006, 0.004, 0.002)),
    90: tuple(inch * MM_PER_INCH for inch in (0.028, 0.024, 0.020, 0.016, 0.010)),
}
CHART_HOTTEST_C = 70.0  # up to which the table was tried; from memory of it
HOT_SHARE = 0.5  # of the table's gap, for rubber hotter than that: a bound of this project, no published source


def widest_gap(pressure_mpa: Range, hardness_shore_a: Range) -> Range:
    """The widest gap in diameter that a ring surely bears (low) and perhaps bears (high), mm.

    Gauge pressure in MPa, hardness in Shore A; either may be unknown, which is infinite. The full clearance in diameter
    counts, since the parts may lie against each other on one side. Between the rows of the table the softer one is
    sure and the harder one possible; below the soft row, and past the last pressure, nothing is sure.
    """
    low, _ = _between(pressure_mpa.high, hardness_shore_a.low)
    _, high = _between(pressure_mpa.low, hardness_shore_a.high)
    middle = _between(pressure_mpa.nominal, hardness_shore_a.nominal)[0]
    return Range(low, high, min(max(middle, low), high))


def _between(pressure_mpa: float, hardness: float) -> tuple[float, float]:
    """(surely borne, perhaps borne) at one pressure and one hardness, mm."""
    soft, hard = (_row(row, pressure_mpa) for row in (70, 90))
    if hardness < 70 - HARDNESS_ABOUT:
        return 0.0, soft[1]
    if hardness <= 70 + HARDNESS_ABOUT:
        return soft
    return (soft[0], hard[1]) if hardness < 90 - HARDNESS_ABOUT else hard


def _row(hardness: int, pressure_mpa: float) -> tuple[float, float]:
    for end, gap in zip(STEPS_MPA, GAPS_MM[hardness], strict=True):
        if pressure_mpa <= end:
            return gap, gap
    return 0.0, GAPS_MM[hardness][-1]


def extrusion_findings(gland: Gland, service: Service, values: dict[str, Value]) -> list[Finding]:
    """Whether pressure drives the ring into the gap beside it, and what must be known to say so. Fills in `gap_mm` and
    `widest_gap_mm`. With back-up rings on both sides the gap is closed, up to the last pressure of the table; how far
    round parts lie to one side must be known all the same."""
    found: list[Finding] = []
    gap, pressure = gap_of(gland), service.pressure_mpa
    hardness, contrary = hardness_of(service)
    if pressure is None:
        found.append(ask("pressure_missing", "extrusion_chart"))
    if service.backup_rings:
        past = judged(
            Range.exact(STEPS_MPA[-1]) - known(pressure),
            never=ask("pressure_past_table", "extrusion_chart", most_mpa=STEPS_MPA[-1]),
            perhaps=ask("pressure_past_table", "extrusion_chart", most_mpa=STEPS_MPA[-1]),
        )
        found += past if pressure is not None else []
        found += [] if gland.kind == "face" else _gap_unsure(gap)
        return [*found, note("backup_rings_close_gap", "extrusion_chart")]
    if contrary is not None:
        found.append(contrary)
    elif hardness is None:
        found.append(ask("hardness_missing", "extrusion_chart"))
    found += _gap_unsure(gap)
    if gap is None:
        return found
    gap = Range(*(max(getattr(gap, end), 0.0) for end in ("low", "high", "nominal")))
    most = widest_gap(known(pressure), known(hardness))
    values |= {"gap_mm": gap}
    if pressure is not None and hardness is not None:
        values |= {"widest_gap_mm": most}
    data = {"low_mm": gap.low, "high_mm": gap.high, "sure_mm": most.low, "most_mm": most.high}
    wide = judged(
        most - gap,
        never=stop("gap_too_wide", "extrusion_chart", **data),
        perhaps=ask("gap_may_be_wide", "extrusion_chart", **data),
    )
    # What is not known is asked for by its own name already.
    open_already = any(one.severity is Severity.ASK for one in found)
    found += [one for one in wide if one.severity is Severity.STOP or not open_already]
    if not wide and (service.hottest_c is None or service.hottest_c > CHART_HOTTEST_C):
        sure = HOT_SHARE * most.low
        hot = ask("extrusion_table_hot", "extrusion_chart", high_mm=gap.high, sure_mm=sure, hottest_c=CHART_HOTTEST_C)
        spared = [] if open_already else judged(Range.exact(sure) - gap, never=hot, perhaps=hot)
        found += spared or [note("extrusion_table_warm", "extrusion_chart", hottest_c=CHART_HOTTEST_C)]
    return found


def _gap_unsure(gap: Range | None) -> list[Finding]:
    """A gap that is not known, or below zero: a land larger than its bore is a slip."""
    if gap is None:
        return [ask("gap_missing", "extrusion_chart")]
    doubted = ask("land_contradicts", "", gap_mm=gap.low)
    return judged(gap, never=doubted, perhaps=doubted)


def pressure_from(mpa: Range | None, bar: Range | None) -> Range | None:
    """Gauge pressure in MPa from whichever of the two units was told."""
    return mpa if bar is None or mpa is not None else bar.times(0.1)
