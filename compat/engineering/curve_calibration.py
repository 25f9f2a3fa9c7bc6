"""The curve-calibration question: what E and what slip of the clamp's edge explain a measured curve?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from compat.engineering.answers import Answer, Finding, Value, ask, note, warn
from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.band import lifts_inside, nominal, thickness_shares
from compat.engineering.bending.calibration import Calibration, Steel, calibrate
from compat.engineering.bending.spread import Spread
from compat.engineering.bending.stack import CannotBend, Groups
from compat.engineering.curve_sizes import CONTACT, of_sizes
from compat.engineering.groups import Ply
from compat.engineering.shims import Form
from compat.engineering.stack_curve import NO_DISC

# This project's choices: a fit that leaves more is none; points so far apart tell a curve; a lift so little beyond the
# last one inside is no other; more diameters than any stack has.
GOOD_PERCENT = 5.0
LEAST_SPAN, LEAST_REACH = 3.0, 0.25
CLOSE = 0.02
MOST_GROUPS = 16
MOST_MOUNTS = 17  # with four sizes open; each takes as long as a fit


def curve_calibration(
    plies: Sequence[Ply], spread: Spread, lifts_mm: Sequence[float], forces_n: Sequence[float]
) -> Answer:
    """Fits E (180 to 220 GPa) and the edge slip (0 to 1) to at least three measured points.

    plies: face first, with measured thickness; what it leaves open stays open for every stack that the fit is used on.
    spread: where sizes of the mount are open, the points are fitted at every end of them too, and the worst counts.
    lifts_mm: rising, at the rim (at the seat with a preload); forces_n: on the whole ring. `fits` means that the
    points lie within GOOD_PERCENT (root mean square) of a curve of this stack, cover a part of its lifts, and ask for
    no steel that there is not. Values: `youngs_gpa`, `edge_slip`, `rms_percent`, `worst_percent`, `open_percent` (by
    the thickness of the measured stack), `as_good` (two other pairs that explain the points as well), `points`
    (measured and computed force). Raises ValueError for points that are none. Source: plate theory, one-sided contact;
    the bounds of E from memory.
    """
    odd = [_odd(number, ply) for number, ply in enumerate(plies, 1) if ply.line.size.form is not Form.ROUND]
    if odd:
        return _answer(odd, {})
    sizes = of_sizes(plies, spread)
    try:
        groups = Groups.of(nominal(plies))
        if len(groups.radius_mm) > MOST_GROUPS:
            many = ask("calibration_too_many", CONTACT, groups=len(groups.radius_mm), most=MOST_GROUPS)
            return _answer([*sizes, many], {})
        mounts = [spread.mount, *spread.size_corners()]
        if len(mounts) > MOST_MOUNTS:
            return _answer([*sizes, ask("calibration_sizes_open", CONTACT)], {})
        fits = [calibrate(nominal(plies), mount, lifts_mm, forces_n) for mount in mounts]
        fitted = [
            replace(mount, youngs_mpa=one.best.youngs_mpa, edge_slip=one.best.edge_slip)
            for mount, one in zip(mounts, fits, strict=True)
        ]
        inside = min(float(lifts_inside(groups, mount)[-1]) for mount in fitted)
        pressures = np.array(fits[0].forces_n) / spread.mount.ring_area_mm2
        thickness = thickness_shares(plies, fitted[0], np.array(lifts_mm), pressures)
    except CannotBend as refused:
        return _answer([*sizes, ask(refused.code, CONTACT, **refused.data)], {})
    except NotSolved:
        return _answer([*sizes, ask("curve_not_solved", CONTACT)], {})
    share = float(np.nanmax(abs(thickness[np.array(lifts_mm) <= max(inside, lifts_mm[0])])))
    found = _worst(fits)
    findings = [*sizes, *_points(lifts_mm, inside), *_fit(found), *_open(share)]
    findings.append(note("calibration_for_this_piston", CONTACT))
    return _answer(findings, _values(found, lifts_mm, forces_n, share))


def _worst(fits: Sequence[Calibration]) -> Calibration:
    """The first fit with all that the others leave open: their rests, their bounds, their pairs."""
    pairs = sorted((pair for one in fits for pair in one.as_good), key=lambda steel: steel.edge_slip)
    return replace(
        fits[0],
        as_good=(pairs[0], pairs[-1]),
        rms_percent=max(one.rms_percent for one in fits),
        worst_percent=max(one.worst_percent for one in fits),
        at_bound=tuple(dict.fromkeys(name for one in fits for name in one.at_bound)),
    )


def _odd(number: int, ply: Ply) -> Finding:
    code = "curve_not_round" if ply.line.size.form in NO_DISC else "calibration_of_cut_shim"
    return ask(code, CONTACT, line=number, od_mm=ply.od_mm)


def _points(lifts_mm: Sequence[float], inside_mm: float) -> list[Finding]:
    """Points beyond the model, or too near each other to tell a curve."""
    beyond = [lift for lift in lifts_mm if lift > inside_mm * (1 + CLOSE)]
    if beyond:
        return [ask("calibration_beyond_plates", CONTACT, lift_mm=beyond[0], most_mm=inside_mm)]
    first, last = lifts_mm[0], lifts_mm[-1]
    if last < LEAST_SPAN * first * (1 - CLOSE) or last < LEAST_REACH * inside_mm:
        wanted = {"reach_mm": LEAST_REACH * inside_mm, "span": LEAST_SPAN}
        return [ask("calibration_span_small", CONTACT, first_mm=first, last_mm=last, **wanted)]
    return []


def _fit(found: Calibration) -> list[Finding]:
    if found.rms_percent > GOOD_PERCENT:
        return [ask("calibration_poor", CONTACT, percent=found.rms_percent)]
    findings = []
    if "youngs" in found.at_bound:
        findings.append(ask("calibration_at_bound_youngs", CONTACT))
    if "edge_slip" in found.at_bound:
        findings.append(warn("calibration_at_bound_edge_slip", CONTACT))
    return findings


def _open(share: float) -> list[Finding]:
    return [warn("calibration_thickness_open", CONTACT, percent=100 * share)] if 100 * share > GOOD_PERCENT else []


def _values(found: Calibration, lifts_mm: Sequence[float], forces_n: Sequence[float], share: float) -> dict[str, Value]:
    return {
        **_pair(found.best),
        "rms_percent": found.rms_percent,
        "worst_percent": found.worst_percent,
        "open_percent": 100 * share,
        "as_good": [_pair(steel) for steel in found.as_good],
        "points": [
            {
                "lift_mm": lift,
                "force_n": force,
                "computed_n": computed,
                "difference_percent": 100 * (computed / force - 1),
            }
            for lift, force, computed in zip(lifts_mm, forces_n, found.forces_n, strict=True)
        ],
    }


def _pair(steel: Steel) -> dict[str, float]:
    return {"youngs_gpa": steel.youngs_mpa / 1000, "edge_slip": steel.edge_slip}


def _answer(findings: Sequence[Finding], values: dict[str, Value]) -> Answer:
    return Answer("curve-calibration", tuple(findings), values, (CONTACT, "roark"), ("makers_instructions",))
