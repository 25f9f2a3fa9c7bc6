"""The torque question: what preload does the application's torque give, and what part of its strength is that?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from compat.engineering import joints
from compat.engineering.answers import Answer, Finding, ask, note, stop, warn
from compat.engineering.threads import limits
from compat.engineering.threads.designation import Thread, ThreadError, parse
from compat.engineering.threads.engagement import PAIR, strip_areas
from compat.engineering.units import Range

QUESTION = "torque"
SOURCES = ("nsts_08307a", "vdi_2230", "iso_898_1", "fed_std_h28_2b")
CAUTIONS = ("locking_compound", "wrong_nut", "makers_instructions")
# One unit of torque in N.m. Exact by the international pound, foot and standard gravity.
UNITS: Mapping[str, float] = {
    "torque_n_m": 1.0,
    "torque_lbf_ft": 1.3558179483314004,
    "torque_lbf_in": 0.1129848290276167,
    "torque_kgf_cm": 0.0980665,
}
# Nut factor of a compound or oil whose maker's figure is not known: it must be tested (NASA-STD-5020B, B.5.8).
USUAL_FACTOR = Range(0.12, 0.20, 0.16)
SURE_PROOF_PERCENT = 75.0  # of the proof load, for a joint that is taken apart again; Shigley, from memory


@dataclass(frozen=True, slots=True)
class Joint:
    """What a torque is put on. torque_n_m: the application's figure, without prevailing torque. nut_factor: K of the
    compound's or the nut's maker; friction: mu of thread and bearing face, with bearing_mm, the mean diameter of the
    face, in its place. hole_mm: of a hollow shaft, 0 if solid. engagement_mm: of full thread. adapter_offset_mm: by
    which an adapter lengthens a wrench of wrench_length_mm in line; prevailing_n_m: what turns the nut before it
    clamps. None where not known."""

    thread: str
    torque_n_m: float
    source: str | None = None
    nut_factor: Range | None = None
    friction: Range | None = None
    bearing_mm: Range | None = None
    property_class: str | None = None
    hole_mm: Range | None = None
    engagement_mm: Range | None = None
    prevailing_n_m: Range | None = None
    adapter_offset_mm: float | None = None
    wrench_length_mm: float | None = None


def torque(joint: Joint) -> Answer:
    """What preload this torque gives, and whether shaft and thread bear it.

    `fits` means: where the torque comes from is said, friction is known from a maker's figure, hole, class and
    engagement are known, and at every corner the preload stays under the proof load and strips no thread. Values:
    `preload_n`, `proof_percent`, `strip_percent` (ranges, None where open), `set_n_m` (what the wrench is set to).
    Raises ValueError for figures that are none, or an adapter without the wrench's length; ThreadError never: what
    cannot be read is a finding. Sources: T = K d F (NSTS 08307A); T = F (0.16 P + 0.58 d2 mu + D mu / 2) (VDI 2230);
    ISO 898-1; FED-STD-H28/2B.
    """
    _check(joint)
    values: dict[str, Any] = {"preload_n": None, "proof_percent": None, "strip_percent": None, "set_n_m": None}
    findings = [] if joint.source else [ask("torque_source_missing", "trade")]
    findings += _prevailing(joint)
    values["set_n_m"] = _set(joint)
    try:
        thread = parse(joint.thread)
    except ThreadError as refused:
        findings.append(ask(refused.code, "iso_261", part="shaft", **refused.data))
        return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)
    if thread.coarse_taken:
        findings.append(warn("coarse_pitch_taken", "iso_261", part="shaft", thread=thread.name))
    per_n, open_ = _per_newton(joint, thread)
    findings += open_
    moment = 1000 * joint.torque_n_m
    preload = Range(moment / per_n.high, moment / per_n.low, moment / per_n.nominal)
    values["preload_n"] = preload
    findings += _proof(joint, thread, preload, values)
    findings += _strip(joint, thread, preload, values)
    return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)


def _check(joint: Joint) -> None:
    if not 0 < joint.torque_n_m < float("inf"):
        raise ValueError("the torque is above zero")
    if (joint.adapter_offset_mm is None) is not (joint.wrench_length_mm is None):
        raise ValueError("adapter_offset_mm and wrench_length_mm are told together")
    if joint.wrench_length_mm is not None and not joint.wrench_length_mm > 0:
        raise ValueError("wrench_length_mm is above zero")
    if joint.wrench_length_mm is not None and joint.wrench_length_mm + (joint.adapter_offset_mm or 0.0) <= 0:
        raise ValueError("adapter_offset_mm: with the wrench the arm must be above zero")
    for name in ("nut_factor", "friction", "bearing_mm"):
        told = getattr(joint, name)
        if told is not None and not told.low > 0:
            raise ValueError(f"{name} is above zero")


def _prevailing(joint: Joint) -> list[Finding]:
    if joint.prevailing_n_m is None:
        return [ask("prevailing_unknown", "trade")]
    return [note("prevailing_added", "trade", n_m=joint.prevailing_n_m.nominal)] if joint.prevailing_n_m.high else []


def _set(joint: Joint) -> Range | None:
    """The figure and the prevailing torque together, as a wrench with its adapter shows them."""
    if joint.prevailing_n_m is None:
        return None
    share = 1.0
    if joint.adapter_offset_mm is not None and joint.wrench_length_mm is not None:
        share = joint.wrench_length_mm / (joint.wrench_length_mm + joint.adapter_offset_mm)
    return (Range.exact(joint.torque_n_m) + joint.prevailing_n_m).times(share)


def _per_newton(joint: Joint, thread: Thread) -> tuple[Range, list[Finding]]:
    """Torque per newton of preload, N.mm/N, by the long form where friction and bearing face are known."""
    if joint.friction is not None and joint.bearing_mm is not None:
        flank = limits.basic_pitch_diameter(thread)
        ends = [
            0.16 * thread.pitch_mm + (0.58 * flank + face / 2) * mu
            for mu, face in (
                (joint.friction.low, joint.bearing_mm.low),
                (joint.friction.high, joint.bearing_mm.high),
                (joint.friction.nominal, joint.bearing_mm.nominal),
            )
        ]
        return Range(*ends), []
    if joint.nut_factor is not None:
        return joint.nut_factor.times(thread.nominal_mm), []
    usual = {"low": USUAL_FACTOR.low, "high": USUAL_FACTOR.high}
    return USUAL_FACTOR.times(thread.nominal_mm), [ask("nut_factor_unknown", "nasa_std_5020b", **usual)]


def _proof(joint: Joint, thread: Thread, preload: Range, values: dict[str, Any]) -> list[Finding]:
    findings = []
    if joint.hole_mm is None:
        findings.append(ask("shaft_hole_unknown"))
    if joint.property_class not in PAIR:
        findings.append(ask("shaft_strength_unknown", "iso_898_1", known=", ".join(PAIR)))
    if joint.hole_mm is None or joint.property_class not in PAIR:
        return findings
    try:
        areas = [joints.stress_area_mm2(thread.nominal_mm, thread.pitch_mm, hole) for hole in _corners(joint.hole_mm)]
    except ValueError:
        return [*findings, ask("hole_leaves_no_wall", hole_mm=joint.hole_mm.nominal, thread=thread.name)]
    proof = joints.proof_stress_mpa(joint.property_class, thread.nominal_mm)
    percent = Range(
        100 * preload.low / (proof * max(areas)),
        100 * preload.high / (proof * min(areas)),
        100 * preload.nominal / (proof * areas[2]),
    )
    values["proof_percent"] = percent
    data = {"low": percent.low, "high": percent.high, "property_class": joint.property_class}
    if percent.nominal > 100:
        findings.append(stop("torque_over_proof", "iso_898_1", **data))
    elif percent.high > 100:
        findings.append(ask("torque_may_be_over_proof", "iso_898_1", **data))
    elif percent.high > SURE_PROOF_PERCENT:
        findings.append(warn("torque_near_proof", "iso_898_1", **data, usual=SURE_PROOF_PERCENT))
    return findings


def _strip(joint: Joint, thread: Thread, preload: Range, values: dict[str, Any]) -> list[Finding]:
    """Of the weaker of both threads at the widest usual classes, in a nut of the class that goes with the shaft's."""
    if joint.engagement_mm is None:
        return [ask("engagement_unknown", "fed_std_h28_2b")]
    if joint.property_class not in PAIR:
        return []
    shaft, nut = strip_areas(thread, limits.widest_external(thread), limits.widest_internal(thread))
    per_mm = joints.strip_load_per_mm(
        shaft_area=shaft,
        shaft_mpa=joints.bolt_tensile_mpa(joint.property_class, thread.nominal_mm),
        nut_area=nut,
        nut_mpa=joints.nut_tensile_mpa(str(PAIR[joint.property_class]), thread.nominal_mm),
    )
    if per_mm <= 0 or joint.engagement_mm.low <= 0:
        return [stop("no_engagement", "fed_std_h28_2b")]
    length = joint.engagement_mm
    percent = Range(
        100 * preload.low / (per_mm * length.high),
        100 * preload.high / (per_mm * length.low),
        100 * preload.nominal / (per_mm * length.nominal),
    )
    values["strip_percent"] = percent
    data = {"low": percent.low, "high": percent.high}
    if percent.high > 50:  # the shop's margin of two
        code = stop if percent.low > 50 else ask
        return [code("torque_may_strip", "fed_std_h28_2b", **data)]
    return []


def _corners(told: Range) -> tuple[float, float, float]:
    return told.low, told.high, told.nominal
