"""The curve-calibration question: what E and what slip of the clamp's edge explain a measured curve?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from compat.engineering.answers import Answer, Finding, ask, note, warn
from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.band import lifts_inside, nominal
from compat.engineering.bending.calibration import calibrate
from compat.engineering.bending.stack import CannotBend, Groups, Mount
from compat.engineering.groups import Ply
from compat.engineering.shims import Form

CONTACT = "contact_model"
CLOSE = 0.02  # a lift so little beyond the last one inside is no other
GOOD_PERCENT = 5.0  # a fit that leaves more is none: this project's choice


def curve_calibration(
    plies: Sequence[Ply], mount: Mount, lifts_mm: Sequence[float], forces_n: Sequence[float]
) -> Answer:
    """Fits E (180 to 220 GPa) and the edge slip (0 to 1) to at least three measured points.

    plies: face first, with measured thickness. lifts_mm: rising, at the rim; forces_n: on the whole ring. `fits`
    means that the points lie within GOOD_PERCENT (root mean square) of a curve of this stack. Values: `youngs_gpa`,
    `edge_slip`, `rms_percent`, `worst_percent`, `points` (measured and computed force). Points at lifts where shims
    stretch as well as bend are not explained by this model: it asks for smaller ones. Raises ValueError for points
    that are none. Source: plate theory, one-sided contact; the bounds of E from memory.
    """
    odd = [ask("curve_not_round", CONTACT, line=at, od_mm=ply.od_mm) for at, ply in enumerate(plies, 1) if _odd(ply)]
    if odd:
        return _answer(odd, {})
    try:
        found = calibrate(nominal(plies), mount, lifts_mm, forces_n)
        inside = float(lifts_inside(Groups.of(nominal(plies)), replace(mount, edge_slip=found.edge_slip))[-1])
    except CannotBend as refused:
        return _answer([ask(refused.code, CONTACT, **refused.data)], {})
    except NotSolved:
        return _answer([ask("curve_not_solved", CONTACT)], {})
    findings: list[Finding] = []
    beyond = [lift for lift in lifts_mm if lift > inside * (1 + CLOSE)]
    if beyond:
        findings.append(ask("calibration_beyond_plates", CONTACT, lift_mm=beyond[0], most_mm=inside))
    if found.rms_percent > GOOD_PERCENT:
        findings.append(ask("calibration_poor", CONTACT, percent=found.rms_percent))
    findings += [warn(f"calibration_at_bound_{name}", CONTACT) for name in found.at_bound]
    findings.append(note("calibration_for_this_piston", CONTACT))
    values = {
        "youngs_gpa": found.youngs_mpa / 1000,
        "edge_slip": found.edge_slip,
        "rms_percent": found.rms_percent,
        "worst_percent": found.worst_percent,
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
    return _answer(findings, values)


def _odd(ply: Ply) -> bool:
    return ply.line.size.form is not Form.ROUND


def _answer(findings: Sequence[Finding], values: dict[str, Any]) -> Answer:
    return Answer("curve-calibration", tuple(findings), values, (CONTACT, "roark"), ("makers_instructions",))
