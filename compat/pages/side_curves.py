"""Curves of a plan's sides for a page: every side as asked and as built, with the lots that the plan draws."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from compat.dampers import engine_values, mounts
from compat.dampers.mounts import Fits
from compat.engineering.answers import Finding, Severity, note
from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.band import Band, band, nominal, path_to_end
from compat.engineering.bending.compare import Compared, compared
from compat.engineering.bending.mounting import Fit
from compat.engineering.bending.shape import peak_stress_mpa
from compat.engineering.bending.spread import Spread
from compat.engineering.bending.stack import CannotBend, Groups
from compat.engineering.drawing.curve_plot import Curves, curve_plot
from compat.engineering.groups import Ply, unmeasured
from compat.engineering.shims import Form, Line, Size
from compat.engineering.stack_curve import NO_DISC, YIELD_MPA
from compat.engineering.units import Range
from compat.pages.drawings import Shown, shown
from compat.plans.answered import AnsweredPlan, PlannedLine, ShimLot
from compat.shelf import shim_rows
from compat.texts import rendering
from inventory.dampers.document import DamperDocument, Valve
from inventory.dampers.document import Line as StackLine

WORDS = {
    "lift": "lift at the rim, mm",
    "pressure": "pressure on the ports' ring, MPa",
    "difference": "as built less as asked, %",
    "asked": "as asked, nominal sizes",
    "built": "as built from these lots, with its band",
}


@dataclass(frozen=True, slots=True)
class CurveRow:
    """The curves at one lift, mm: pressures on the ports' ring, MPa, and what built is more than asked, percent; None
    where a curve has ended."""

    lift_mm: float
    asked: float | None
    built: float | None
    low: float | None
    high: float | None
    difference: float | None


@dataclass(frozen=True, slots=True)
class SideCurve:
    """One side: its plot with the table behind it, or what keeps it from being computed, in sentences.

    percent: the difference of the built curve that is largest, with its sign, as the plan's answer says it.
    """

    valve: str
    side: str
    picture: Shown | None
    rows: list[CurveRow]
    facts: list[str]
    findings: list[str]
    percent: float | None = None


def curves_of_plan(
    plan: AnsweredPlan,
    damper: DamperDocument,
    fits: Fits,
    against: Mapping[tuple[str, str], Sequence[StackLine]] | None = None,
) -> list[SideCurve]:
    """Every side of a plan on the damper's document; two queries for the lots.

    fits: what was measured on its pistons. against: lines of another stack by (valve, side), to compare with in place
    of the one that was asked for.
    """
    behind = plan.spacer.lines if plan.spacer else ()
    drawn = [*(lot for line in plan.lines for lot in line.lots), *behind]
    lots = shim_rows.thickness_of_lots({lot.lot for lot in drawn})
    found = []
    for code in dict.fromkeys(line.valve for line in plan.lines):
        told = damper.valve(code)
        for side in dict.fromkeys(line.side for line in plan.lines if line.valve == code):
            lines = [line for line in plan.lines if (line.valve, line.side) == (code, side)]
            spacer = behind if (code, side) == ("main", "rebound") else ()
            of_other = (against or {}).get((code, side), ())
            asked = [Line(_size_told(line), line.quantity) for line in of_other]
            asked = asked or [Line(_size(line), line.quantity) for line in lines]
            found.append(_side(code, side, told, fits.get(code, ()), asked, lines, spacer, lots))
    return found


def _side(
    code: str,
    side: str,
    valve: Valve | None,
    fits: Sequence[Fit],
    against: Sequence[Line],
    lines: Sequence[PlannedLine],
    spacer: Sequence[ShimLot],
    lots: Mapping[str, tuple[Size, Range]],
) -> SideCurve:
    asked = [unmeasured(line) for line in against]
    built = [ply for line in lines for ply in _built(line, lots)]
    behind = sorted((_ply(lot, lots) for lot in spacer), key=lambda ply: ply.od_mm)
    empty = SideCurve(code, side, None, [], [], [])
    if valve is None or code == "mid":
        return replace(empty, findings=[rendering.sentence(note("curve_of_floating", side=side))])
    spread, told = mounts.spread_of(engine_values.valve_from(valve).valve, side, fits)
    if spread is None:
        return replace(empty, findings=[rendering.sentence(one.on(side)) for one in told])
    if any(ply.line.size.form in NO_DISC for ply in (*asked, *built)):
        return replace(empty, findings=[rendering.sentence(note("curve_of_no_disc", side=side))])
    try:
        found = _computed(empty, asked, [*built, *behind], spread)
        return replace(found, findings=[*found.findings, *map(rendering.sentence, told)])
    except CannotBend as refused:
        return replace(empty, findings=[rendering.sentence(Finding(refused.code, Severity.NOTE, refused.data))])
    except NotSolved:
        return replace(empty, findings=[rendering.sentence(note("curve_not_solved"))])


def _computed(empty: SideCurve, asked: Sequence[Ply], built: Sequence[Ply], spread: Spread) -> SideCurve:
    path, end = path_to_end(Groups.of(nominal(asked)), spread.mount)
    both = compared(path, end, Groups.of(nominal(built)))
    found = band(built, spread, both.lifts_mm, path=both.built_path)
    picture, rows = _drawn(empty, both, found)
    what, share = found.dominated_by()
    said = [note(f"band_by_{what}", percent=100 * share)]
    low, _ = found.widths().get("beyond", (0.0, 0.0))
    if low < 0:
        said.append(note("band_beside_ports", percent=-100 * low))
    return replace(
        empty,
        picture=picture,
        rows=rows,
        percent=both.percent,
        facts=_facts(both, found),
        findings=[rendering.sentence(one) for one in said],
    )


def _drawn(side: SideCurve, both: Compared, found: Band) -> tuple[Shown, list[CurveRow]]:
    low, high = found.low, np.where(found.inside, found.high, np.nan)
    closings = {"asked": both.asked_path.first_closing_mm(), "built": both.built_path.first_closing_mm()}
    columns = {"asked": both.asked, "built": both.built, "low": low, "high": high, "difference": both.differences}
    values = {name: [float(one) if np.isfinite(one) else None for one in column] for name, column in columns.items()}
    rows = [
        CurveRow(float(lift), **{name: column[at] for name, column in values.items()})
        for at, lift in enumerate(both.lifts_mm)
    ]
    title = f"{side.side.capitalize()} side, {side.valve} valve: force against lift"
    picture = curve_picture(
        [float(lift) for lift in both.lifts_mm],
        values,
        closings,
        prefix=f"curve-{side.valve}-{side.side}",
        title=title,
    )
    return picture, rows


def curve_picture(
    lifts_mm: Sequence[float],
    pressures: Mapping[str, Sequence[float | None]],
    closings: Mapping[str, float | None],
    *,
    prefix: str,
    title: str,
) -> Shown:
    """Force against lift: `asked`, `built`, `low`, `high`, MPa, and their `difference`, %; closings by asked and built.

    Raises ValueError as `shown` does, and where there is nothing to draw.
    """
    asked, built, low, high, difference = (pressures[name] for name in ("asked", "built", "low", "high", "difference"))
    curves = Curves(lifts_mm, asked, built, low, high, closings, difference)
    drawing = curve_plot(curves, WORDS, lambda value: f"{value:g}")
    said = ["A plot: the broken line is the stack as asked, the full line as built, inside the band of what is open."]
    if any(lift is not None for lift in closings.values()):
        said.append("A square marks where the gap closes as asked, a ring where it closes as built.")
    said.append("Below: the difference in percent. The numbers stand in the table.")
    return shown(drawing, prefix=prefix, title=title, desc=" ".join(said))


def _facts(both: Compared, found: Band) -> list[str]:
    """What both curves do, side by side, in words."""
    last = float(both.lifts_mm[-1])
    said = []
    if both.percent is not None:
        said.append(f"Where it changes most, the force as built is off by {both.percent:+z.1f} % from that as asked.")
    closes = [(name, one.first_closing_mm()) for name, one in (("as asked", both.asked_path), ("as built", found.path))]
    if any(lift is not None for _, lift in closes):
        parts = [f"at {lift:.3f} mm {name}" if lift is not None else f"not {name}" for name, lift in closes]
        said.append(f"The crossover gap closes {', '.join(parts)}.")
    peaks = [peak_stress_mpa(one, min(last, float(one.lift_mm[-1]))) for one in (both.asked_path, found.path)]
    most = float(found.stress_high[-1])
    said.append(
        f"Peak stress at {last:.3f} mm: {peaks[0]:.0f} MPa as asked, {peaks[1]:.0f} MPa as built, {most:.0f} MPa at "
        "most."
    )
    from_mm = found.yields_mm(found.stress_high, YIELD_MPA.low)
    if from_mm is not None:
        said.append(
            f"From {from_mm:.3f} mm on a shim may stay bent (spring strip from {YIELD_MPA.low:.0f} MPa): do not trust "
            "the numbers beyond."
        )
    return said


def _size(one: PlannedLine | ShimLot) -> Size:
    """The size of a line or a lot of a plan."""
    if isinstance(one, ShimLot):
        return _size_of(one.od_mm, one.thickness_mm)
    return _size_of(one.od_mm, one.thickness_mm, one.bore_mm, one.form)


def _size_told(line: StackLine) -> Size:
    """The size of a line of a stack on file."""
    bore = None if line.bore_mm is None else line.bore_mm.nominal
    return _size_of(line.od_mm.nominal, line.thickness_mm.nominal, bore, line.form)


def _size_of(od_mm: float, thickness_mm: float, bore_mm: float | None = None, form: str | None = None) -> Size:
    """A size; a bore that is not told does not matter to a curve."""
    bore_um = round((0.001 if bore_mm is None else bore_mm) * 1000)
    return Size(round(od_mm * 1000), round(thickness_mm * 1000), bore_um, Form(form or "round"))


def _built(line: PlannedLine, lots: Mapping[str, tuple[Size, Range]]) -> list[Ply]:
    """The pieces of a position from large to small, thick to thin; what is missing by its nominal size."""
    plies = [_ply(lot, lots) for lot in line.lots]
    plies.sort(key=lambda ply: (-ply.od_mm, -ply.thickness_mm.nominal))
    missing = [unmeasured(Line(_size(line), line.missing))] if line.missing else []
    return [*plies, *missing]


def _ply(lot: ShimLot, lots: Mapping[str, tuple[Size, Range]]) -> Ply:
    size, thickness = lots.get(lot.lot, (_size(lot), None))
    line = Line(size, lot.quantity)
    return unmeasured(line) if thickness is None else Ply(line, thickness)
