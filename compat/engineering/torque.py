"""The torque question: what preload does the application's torque give, and what part of its strength is that?"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from compat.engineering import joints
from compat.engineering.answers import Answer, Finding, Value, ask, note, stop, warn
from compat.engineering.corners import both, judged, known, over_corners
from compat.engineering.refused import Refused
from compat.engineering.threads import limits, section, strength
from compat.engineering.threads.designation import Thread, ThreadError, parse
from compat.engineering.threads.readings import implausible
from compat.engineering.threads.section import Relief, checked_relief
from compat.engineering.threads.stripping import carried_n, strip_areas, stripping
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
MOST_YIELD_PERCENT = 90.0  # of Rp0.2 by tension and torsion together while tightening (VDI 2230)
STRIP_FACTOR = 2.0  # the shop's margin against stripping; no standard gives one
# A wrench whose error is not known counts as the worst that can be told. A checked click wrench has 4 % (ISO 6789,
# from memory), a hand without one is off by about 25 % (common practice, no published source).
MOST_WRENCH_PERCENT = 25.0
Figures = dict[str, Value]


@dataclass(frozen=True, slots=True)
class Joint:
    """What a torque is put on. torque_n_m: the application's figure, without prevailing torque. nut_factor: K of the
    compound's or the nut's maker; friction: mu of thread and bearing face, with bearing_mm, the mean diameter of the
    face; where both are told, all that either allows counts. hole_mm: of a hollow shaft, 0 if solid. thread_relief:
    whether a relief groove lies before the full thread; relief_diameter_mm: the diameter left in it. engagement_mm: of
    full thread. property_class, nut_class: of shaft and nut. adapter_offset_mm: by which an adapter lengthens a wrench
    of wrench_length_mm in line; prevailing_n_m: what turns the nut before it clamps, as read; wrench_error_percent:
    either way. None where not known."""

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
    nut_class: str | None = None
    wrench_error_percent: float | None = None
    thread_relief: bool | None = None
    relief_diameter_mm: Range | None = None

    @property
    def relief(self) -> Relief:
        """The relief groove as it is known."""
        return Relief(self.thread_relief, self.relief_diameter_mm)

    @property
    def added_n_m(self) -> float:
        """The prevailing torque that is added to the figure, N.m: the middle of what was read, whatever lies nearest;
        none where it is not known."""
        read = self.prevailing_n_m
        return 0.0 if read is None else (read.low + read.high) / 2


@dataclass(frozen=True, slots=True)
class _Load:
    """What the torque does in the thread: its preload, N; the moment that twists the shaft, N.mm, per N of preload,
    and the most that it can be; and the prevailing moment besides, N.mm."""

    preload: Range
    twist: Range
    most: float
    prevailing: Range


def torque(joint: Joint) -> Answer:
    """What preload this torque gives, and whether shaft and thread bear it.

    `fits` means: where the torque comes from is said, friction is known from a maker's figure, prevailing torque, hole,
    relief groove, both classes and engagement are known, and at every corner, the wrench's error and what the
    prevailing torque was read off by included, the preload stays under the proof load, tension and torsion together
    under 90 % of the yield stress, both in the least section, and the weaker thread strips at no less than twice the
    preload, or not before the strongest shaft of its class breaks. Values: `preload_n`, `proof_percent`,
    `equivalent_percent` (of the yield stress, while tightening), `strip_percent` (ranges, None where open), `set_n_m`
    (what the wrench is set to, the middle of the prevailing torque in it). Raises Refused `groove_of_none` for the
    diameter of a groove that is said not to be there, `wrench_arm` for an adapter that leaves no arm; ValueError for
    figures that no request lets through; ThreadError never: what cannot be read is a finding. Sources: T = K d F (NSTS
    08307A); T = F (0.16 P + 0.58 d2 mu + D mu / 2), sqrt(sigma^2 + 3 tau^2) (VDI 2230); ISO 898-1; FED-STD-H28/2B.
    """
    _check(joint)
    names = ("preload_n", "proof_percent", "equivalent_percent", "strip_percent", "set_n_m")
    values: Figures = dict.fromkeys(names)
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
    if joint.wrench_error_percent is None:
        findings.append(warn("wrench_error_assumed", "trade", percent=MOST_WRENCH_PERCENT))
    per_n, open_ = _per_newton(joint, thread)
    load = _load(joint, thread, per_n)
    values["preload_n"] = load.preload
    findings += [*open_, *strength.class_findings(joint.property_class, joint.nut_class)]
    findings += joint.relief.findings()
    if joint.relief_diameter_mm is not None:
        findings += implausible("shaft", thread.nominal_mm, {"relief_diameter_mm": joint.relief_diameter_mm}).values()
    findings += _shaft(joint, thread, load, values)
    findings += _strip(joint, thread, load.preload, values)
    return Answer(QUESTION, tuple(findings), values, SOURCES, CAUTIONS)


def _check(joint: Joint) -> None:
    if not 0 < joint.torque_n_m < float("inf"):
        raise ValueError("the torque is above zero")
    if (joint.adapter_offset_mm is None) is not (joint.wrench_length_mm is None):
        raise ValueError("adapter_offset_mm and wrench_length_mm are told together")
    if joint.wrench_length_mm is not None and joint.wrench_length_mm + (joint.adapter_offset_mm or 0.0) <= 0:
        arm = {"wrench_mm": joint.wrench_length_mm, "adapter_mm": joint.adapter_offset_mm}
        raise Refused("wrench_arm", "adapter_offset_mm", **arm)
    if joint.wrench_length_mm is not None and not joint.wrench_length_mm > 0:
        raise ValueError("wrench_length_mm is above zero")
    if joint.wrench_error_percent is not None and not 0 <= joint.wrench_error_percent <= MOST_WRENCH_PERCENT:
        raise Refused("wrench_error", "wrench_error_percent", most=MOST_WRENCH_PERCENT)
    for name in ("nut_factor", "friction", "bearing_mm", "relief_diameter_mm"):
        told = getattr(joint, name)
        if told is not None and not told.low > 0:
            raise ValueError(f"{name} is above zero")
    if joint.prevailing_n_m is not None and not joint.prevailing_n_m.low >= 0:
        raise ValueError("prevailing_n_m: zero or above zero")
    checked_relief(joint.thread_relief, joint.relief_diameter_mm, "relief_diameter_mm")


def _prevailing(joint: Joint) -> list[Finding]:
    if (read := joint.prevailing_n_m) is None:
        return [ask("prevailing_unknown", "trade")]
    if not read.high:
        return []
    if read.low == read.high:
        return [note("prevailing_added", "trade", n_m=read.high)]
    figures = {"n_m": round(joint.added_n_m, 2), "off_n_m": round((read.high - read.low) / 2, 2)}
    return [note("prevailing_middle_added", "trade", low=read.low, high=read.high, **figures)]


def _set(joint: Joint) -> Range | None:
    """The figure and the middle of the prevailing torque together, as a wrench with its adapter shows them."""
    if joint.prevailing_n_m is None:
        return None
    share = 1.0
    if joint.adapter_offset_mm is not None and joint.wrench_length_mm is not None:
        share = joint.wrench_length_mm / (joint.wrench_length_mm + joint.adapter_offset_mm)
    return Range.exact(joint.torque_n_m + joint.added_n_m).times(share)


def _per_newton(joint: Joint, thread: Thread) -> tuple[Range, list[Finding]]:
    """Torque per newton of preload, N.mm/N: by the long form where friction and bearing face are known, by the nut
    factor where that is, by all that either allows where both are."""
    pitch, flank = thread.pitch_mm, limits.basic_pitch_diameter(thread)
    long = None
    if joint.friction is not None and joint.bearing_mm is not None:
        long = over_corners(
            lambda mu, face: 0.16 * pitch + (0.58 * flank + face / 2) * mu, joint.friction, joint.bearing_mm
        )
    short = None if joint.nut_factor is None else joint.nut_factor.times(thread.nominal_mm)
    if long is None and short is None:
        usual = {"low": USUAL_FACTOR.low, "high": USUAL_FACTOR.high}
        return USUAL_FACTOR.times(thread.nominal_mm), [ask("nut_factor_unknown", "nasa_std_5020b", **usual)]
    if long is None or short is None:
        return known(long or short), []
    # Whichever of the two is right, the joint must bear it: a part that only one allows is judged too.
    hull = Range.between(min(long.low, short.low), max(long.high, short.high))
    if both(long, short) is not None:
        return hull, []
    by_friction = long.times(1 / thread.nominal_mm)
    figures = {"low": round(by_friction.low, 3), "high": round(by_friction.high, 3)}
    return hull, [ask("friction_contradicts_factor", "vdi_2230", **figures)]


def _load(joint: Joint, thread: Thread, per_n: Range) -> _Load:
    """The wrench's error is of all that it turns, the prevailing torque too, and goes into the clamping alone. So does
    what the nut turns heavier or lighter with than the middle that was added."""
    prevailing = joint.prevailing_n_m or Range.exact(0.0)
    error = MOST_WRENCH_PERCENT if joint.wrench_error_percent is None else joint.wrench_error_percent
    off = error / 100 * (joint.torque_n_m + joint.added_n_m) + (prevailing.high - prevailing.low) / 2
    moment = Range(max(0.0, joint.torque_n_m - off), joint.torque_n_m + off, joint.torque_n_m).times(1000)
    preload = Range(moment.low / per_n.high, moment.high / per_n.low, moment.nominal / per_n.nominal)
    pitch, flank = thread.pitch_mm, limits.basic_pitch_diameter(thread)
    if joint.friction is not None:
        twist = over_corners(lambda mu: 0.16 * pitch + 0.58 * flank * mu, joint.friction)
    else:  # a nut factor does not say where the friction is: from none to all of it may be in the thread
        twist = Range(min(0.16 * pitch, per_n.low), per_n.high, per_n.nominal)
    return _Load(preload, twist, moment.high, prevailing.times(1000))


def _shaft(joint: Joint, thread: Thread, load: _Load, values: Figures) -> list[Finding]:
    """Proof load, and tension with torsion while tightening, over the least section."""
    if joint.hole_mm is None:
        return [ask("shaft_hole_unknown")]
    findings = section.wall_findings(thread, joint.hole_mm, joint.relief, load_known=True)
    unknown, nominal = joint.relief.unknown, thread.nominal_mm
    # Of a groove that nobody measured it is asked already; what the thread alone does not bear, no groove mends.
    alone = Relief(False, None) if unknown else joint.relief
    area = section.net_area(thread, joint.hole_mm, alone)
    if area is None or joint.property_class not in strength.PAIR:
        return findings
    proof = joints.proof_stress_mpa(joint.property_class, nominal)
    percent, both_loads = section.percent_of(load.preload, area.times(proof)), _equivalent(joint, thread, load, alone)
    if not unknown:
        values["proof_percent"], values["equivalent_percent"] = percent, both_loads
    data = {"low": percent.low, "high": percent.high, "property_class": joint.property_class}
    findings += judged(
        Range.exact(100.0) - percent,
        never=stop("torque_over_proof", "iso_898_1", **data),
        perhaps=ask("torque_may_be_over_proof", "iso_898_1", **data),
    )
    if SURE_PROOF_PERCENT < percent.high <= 100:
        findings.append(warn("torque_near_proof", "iso_898_1", **data, usual=SURE_PROOF_PERCENT))
    data = {"low": both_loads.low, "high": both_loads.high, "most": MOST_YIELD_PERCENT}
    return findings + judged(
        Range.exact(MOST_YIELD_PERCENT) - both_loads,
        never=stop("torque_over_yield", "vdi_2230", **data),
        perhaps=ask("torque_may_be_over_yield", "vdi_2230", **data),
    )


def _equivalent(joint: Joint, thread: Thread, load: _Load, relief: Relief) -> Range:
    """Tension and torsion together while tightening, percent of the yield stress."""
    flank, root = limits.basic_pitch_diameter(thread), joints.root_mm(thread.nominal_mm, thread.pitch_mm)
    bears = joints.yield_mpa(joint.property_class or "", thread.nominal_mm)
    hole, groove = known(joint.hole_mm), relief.diameter or Range.exact(math.inf)

    def equivalent(end: str, opposite: str) -> float:
        force, twist, added, inside = (getattr(one, end) for one in (load.preload, load.twist, load.prevailing, hole))
        left = getattr(groove, opposite)
        net = min(joints.stress_area_mm2(thread.nominal_mm, thread.pitch_mm, inside), joints.ring_mm2(left, inside))
        moment = min(force * twist, load.most) + added
        return 100 / bears * joints.equivalent_mpa(force, net, moment, joints.torsion_mm3(flank, root, inside, left))

    # It rises with all of them but what the groove leaves, so the two ends are its extremes.
    return Range(equivalent("low", "high"), equivalent("high", "low"), equivalent("nominal", "nominal"))


def _strip(joint: Joint, thread: Thread, preload: Range, values: Figures) -> list[Finding]:
    """Of the weaker of both threads, at the widest usual classes of tolerance."""
    if joint.engagement_mm is None:
        return [ask("engagement_unknown", "fed_std_h28_2b")]
    length = joint.engagement_mm
    findings = strength.turn_findings(length, thread.pitch_mm)
    if joint.property_class not in strength.PAIR or joint.nut_class not in strength.NUT_CLASSES or length.high <= 0:
        return findings
    threads = stripping(_widest_areas(thread), joint.property_class, joint.nut_class, thread.nominal_mm)
    carried = carried_n(length, threads.weaker)
    if carried.low <= 0:
        return findings
    percent = section.percent_of(preload, carried)
    values["strip_percent"] = percent
    net = None if joint.hole_mm is None else section.net_area(thread, joint.hole_mm, joint.relief)
    if net is None:
        return findings
    own = net.times(joints.bolt_tensile_mpa(joint.property_class, thread.nominal_mm))
    data = {"low": percent.low, "high": percent.high}
    return findings + judged(
        threads.margin(length, own, preload=preload, factor=STRIP_FACTOR),
        never=stop("torque_strips", "fed_std_h28_2b", **data),
        perhaps=ask("torque_may_strip", "fed_std_h28_2b", **data),
    )


@lru_cache(maxsize=512)
def _widest_areas(thread: Thread) -> tuple[Range, Range]:
    """Shear areas of shaft and nut, mm2/mm, over every usual class of tolerance."""
    inner = limits.internal_limits(thread, limits.widest_internal(thread))
    return strip_areas(limits.possible_external(thread), inner, thread.pitch_mm)
