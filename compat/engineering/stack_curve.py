"""The stack-curve question: force against lift of one side's stack, and how far to trust it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from compat.engineering.answers import Answer, Finding, ask, note, warn
from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.band import SLIP, Band, band, lifts_inside, most_lift_mm, nominal
from compat.engineering.bending.shape import Stress, stresses
from compat.engineering.bending.stack import CannotBend, Groups, Mount
from compat.engineering.curve_values import values_of
from compat.engineering.groups import Ply, closes, crossovers_of, groups_of
from compat.engineering.shims import Form

CONTACT = "contact_model"
FATIGUE_MPA = 500.0  # reversed bending of spring strip, from memory: 500-700
YIELD_MPA = 1200.0  # of spring strip, from memory: 1200-1700
NO_DISC = frozenset({Form.RING, Form.POLYGON})  # outlines that the model of plates does not know


def stack_curve(
    plies: Sequence[Ply],
    mount: Mount,
    *,
    lifts_mm: Sequence[float] | None = None,
    open_fraction: float | None = None,
    slip: tuple[float, float] = SLIP,
) -> Answer:
    """What force lifts a stack how far: a curve with its band, the gaps' closing and the peak stress.

    plies: face first. lifts_mm: rising; None takes ten up to where a shim begins to
    stretch or the stack rests on its stop. open_fraction: how much of the ring the ports
    leave open; unknown, pressures are those of an open ring and forces are left out. slip: the clamp's edge.
    `fits` means: everything asked for lies inside the model's range; it is no judgement of the damper. Values:
    `curve` (a row a lift), `gap_closes_at_mm` (of the first gap), `crossovers`, `peak_stress_mpa` (at the last lift
    that is reached), `stresses`, `scatter`, `stiffening_bound` (percent at that lift), `dominated_by`. Raises
    ValueError for no shims, or lifts that do not rise. Source: plate theory, one-sided contact.
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
    try:
        lifts = lifts_inside(Groups.of(nominal(plies)), mount) if asked is None else asked
        found = band(plies, mount, lifts, slip=slip)
    except CannotBend as refused:
        return _answer([*findings, ask(refused.code, CONTACT, **refused.data)], {})
    except NotSolved:
        return _answer([*findings, ask("curve_not_solved", CONTACT)], {})
    reached = float(min(lifts[-1], found.path.lift_mm[-1]))
    peaks = stresses(found.path, reached)
    findings += [*_range(found), *_strength(peaks), *_trust(found)]
    if open_fraction is None:
        findings.append(ask("open_fraction_unknown", CONTACT))
    return _answer(findings, values_of(found, gaps, peaks, open_fraction))


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
    last, lifts = float(found.path.lift_mm[-1]), found.lifts_mm
    if found.path.stopped and lifts[-1] > last * (1 + 1e-5):
        findings.append(ask("lift_beyond_stop", CONTACT, lift_mm=float(lifts[-1]), stop_mm=last))
    beyond = np.flatnonzero(np.isfinite(found.stretch) & ~found.inside)
    if len(beyond):
        most = most_lift_mm(found.path.contacts.groups)
        findings.append(ask("lift_beyond_plates", CONTACT, lift_mm=float(lifts[beyond[0]]), most_mm=most))
    return findings


def _strength(peaks: Sequence[Stress]) -> list[Finding]:
    worst = max(peaks, key=lambda peak: peak.mpa, default=None)
    if worst is None or worst.mpa <= FATIGUE_MPA:
        return []
    code = "stress_near_yield" if worst.mpa > 0.7 * YIELD_MPA else "stress_over_fatigue"
    return [warn(code, CONTACT, mpa=worst.mpa, group=worst.group + 1, radius_mm=worst.radius_mm)]


def _trust(found: Band) -> list[Finding]:
    what, share = found.dominated_by()
    return [note(f"band_by_{what}", CONTACT, percent=100 * share), note("force_is_not_damping", CONTACT)]


def _answer(findings: Sequence[Finding], values: dict[str, Any]) -> Answer:
    return Answer(
        "stack-curve",
        tuple(findings),
        values,
        (CONTACT, "roark", "von_karman", "iso_9445_1"),
        ("makers_instructions", "light_gap"),
    )
