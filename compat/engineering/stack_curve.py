"""The stack-curve question: force against lift of one side's stack, and how far to trust it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from compat.engineering.answers import Answer, Finding, Value, ask, note, stop, warn
from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.band import Band, band, most_lift_mm
from compat.engineering.bending.shape import Stress, stresses
from compat.engineering.bending.spread import Spread
from compat.engineering.bending.stack import CannotBend
from compat.engineering.corners import both, judged
from compat.engineering.curve_sizes import CONTACT, of_sizes
from compat.engineering.curve_values import values_of
from compat.engineering.groups import Ply, closes, crossovers_of, groups_of
from compat.engineering.shims import Form
from compat.engineering.units import Range

FATIGUE_MPA = 500.0  # reversed bending of spring strip, from memory: 500-700
YIELD_MPA = Range.between(1200.0, 1700.0)  # of spring strip, from memory
NEAR_YIELD = 0.7  # of the least yield strength; this project's choice
NO_DISC = frozenset({Form.RING, Form.POLYGON})  # outlines that the model of plates does not know


def stack_curve(
    plies: Sequence[Ply],
    spread: Spread,
    *,
    lifts_mm: Sequence[float] | None = None,
    open_fraction: float | None = None,
    yield_mpa: Range | None = None,
) -> Answer:
    """What force lifts a stack how far: a curve with its band, the gaps' closing and the peak stress.

    plies: face first. lifts_mm: rising; None takes ten up to where a shim begins to stretch, may yield, or the stack
    rests on its stop. open_fraction: how much of the ring the ports leave open; unknown, pressures are those of an open
    ring and forces are left out. yield_mpa: of these shims, where their strip is known.
    `fits` means: everything asked for lies inside the model's range for every stack that is possible; it is no
    judgement of the damper. Values: `curve` (a row a lift), `gap_closes_at_mm` (of the first gap), `crossovers`,
    `peak_stress_mpa` (at the last lift that is reached), `stresses`, `peak_stress_band_mpa`, `yield_mpa`,
    `may_yield_at_mm`, `yields_at_mm`, `scatter`, `stiffening_bound` (percent at that lift), `dominated_by`, `open_by`.
    Raises ValueError for no shims, or lifts that do not rise. Source: plate theory, one-sided contact.
    """
    findings = _forms(plies)
    if any(finding.code != "curve_cut_shim" for finding in findings):
        return _answer(findings, {})
    asked = None if lifts_mm is None else np.array(lifts_mm, dtype=float)
    if asked is not None and (not len(asked) or asked[0] <= 0 or (np.diff(asked) <= 0).any()):
        raise ValueError("lifts rise, from above zero")
    gaps = crossovers_of(groups_of(plies))
    findings += [
        warn("curve_gap_uncertain", CONTACT, after=gap.after, gap_min_mm=gap.gap_mm.low, gap_max_mm=gap.gap_mm.high)
        for gap in gaps
        if closes(gap)
    ]
    findings += of_sizes(plies, spread)
    findings += _unusual("yield_mpa", yield_mpa, YIELD_MPA)
    bears = YIELD_MPA if yield_mpa is None else yield_mpa
    try:
        found = band(plies, spread, asked, elastic_mpa=bears.low)
    except CannotBend as refused:
        return _answer([*findings, ask(refused.code, CONTACT, **refused.data)], {})
    except NotSolved:
        return _answer([*findings, ask("curve_not_solved", CONTACT)], {})
    peaks = stresses(found.path, float(min(found.lifts_mm[-1], found.path.lift_mm[-1])))
    findings += [*_range(found), *_strength(found, peaks, bears), *_trust(found)]
    if open_fraction is None:
        findings.append(ask("open_fraction_unknown", CONTACT))
    return _answer(findings, values_of(found, gaps, peaks, open_fraction, bears))


def _forms(plies: Sequence[Ply]) -> list[Finding]:
    found: list[Finding] = []
    for number, ply in enumerate(plies, start=1):
        data = {"line": number, "od_mm": ply.od_mm}
        form = ply.line.size.form
        if form in NO_DISC:
            found.append(ask("curve_not_round", CONTACT, **data))
        elif form is not Form.ROUND:
            found.append(warn("curve_cut_shim", CONTACT, **data))
    return found


def _range(found: Band) -> list[Finding]:
    findings = []
    stops, lifts = found.stop_mm, found.lifts_mm
    if stops is not None and lifts[-1] > stops * (1 + 1e-5):
        findings.append(ask("lift_beyond_stop", CONTACT, lift_mm=float(lifts[-1]), stop_mm=stops))
    beyond = np.flatnonzero(found.beyond)
    if len(beyond):
        most = most_lift_mm(found.path.contacts.groups)
        findings.append(ask("lift_beyond_plates", CONTACT, lift_mm=float(lifts[beyond[0]]), most_mm=most))
    return findings


def _strength(found: Band, peaks: Sequence[Stress], bears: Range) -> list[Finding]:
    """What the largest stress up to the last lift does to the shims: with all of its band, against all of its limit."""
    worst = max(peaks, key=lambda peak: peak.mpa, default=None)
    if worst is None:
        return []
    low, high = float(found.stress_low[-1]), float(found.stress_high[-1])
    stress = Range(low, high, min(max(worst.mpa, low), high))
    from_mm = found.yields_mm(found.stress_high, bears.low)
    place = {"group": worst.group + 1, "radius_mm": worst.radius_mm}
    data = {"low_mpa": low, "high_mpa": high, "yield_min_mpa": bears.low, "yield_max_mpa": bears.high, **place}
    told = {**data, "lift_mm": float(found.lifts_mm[-1]), "from_mm": from_mm}
    findings = judged(
        bears - stress,
        never=stop("stress_past_yield", CONTACT, **told),
        perhaps=ask("stress_may_yield", CONTACT, **told),
    )
    if not findings and high > FATIGUE_MPA:
        code = "stress_near_yield" if high > NEAR_YIELD * bears.low else "stress_over_fatigue"
        findings = [warn(code, CONTACT, mpa=high, **data)]
    if found.ends_by_yield:
        findings.append(note("curve_ends_at_yield", CONTACT, lift_mm=float(found.lifts_mm[-1]), mpa=bears.low))
    return findings


def _unusual(name: str, told: Range | None, usual: Range) -> list[Finding]:
    """What is told of the steel and lies, or may lie, outside what spring strip has."""
    if told is None or both(told, usual) == told:
        return []
    data = {"min": told.low, "max": told.high, "usual_min": usual.low, "usual_max": usual.high}
    return [ask(f"{name}_unusual", CONTACT, **data)]


def _trust(found: Band) -> list[Finding]:
    what, share = found.dominated_by()
    findings = [note(f"band_by_{what}", CONTACT, percent=100 * share)]
    low, _ = found.widths().get("beyond", (0.0, 0.0))
    if low < 0:
        findings.append(note("band_beside_ports", CONTACT, percent=-100 * low))
    return [*findings, note("force_is_not_damping", CONTACT)]


def _answer(findings: Sequence[Finding], values: dict[str, Value]) -> Answer:
    return Answer(
        "stack-curve",
        tuple(findings),
        values,
        (CONTACT, "roark", "von_karman", "iso_9445_1"),
        ("makers_instructions", "light_gap"),
    )
