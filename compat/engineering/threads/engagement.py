"""How much thread a nut has on its shaft, and whether that is enough."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from compat.engineering import joints
from compat.engineering.answers import Finding, ask, note, stop, warn
from compat.engineering.corners import judged
from compat.engineering.threads import pairing, section, strength
from compat.engineering.threads.designation import Thread
from compat.engineering.threads.readings import Length, PartThread, as_range, inner_limits, outer_limits
from compat.engineering.threads.stripping import own_strength_findings, strip_areas, stripping
from compat.engineering.units import Range

DUST_MM = 1e-6
Values = dict[str, float | None]


@dataclass(frozen=True, slots=True)
class Layout:
    """Where things are, mm: positions from the shoulder, the nut's height, chamfer and what of it is not thread, the
    shaft's hole, and the relief groove before the full thread."""

    full_thread_start: Length | None
    shaft_end: Length | None
    underside: Length | None
    height: Length | None
    chamfer: Length | None
    unthreaded: Length | None
    hole: Length | None
    relief: section.Relief


@dataclass(frozen=True, slots=True)
class Strength:
    """Property classes (ISO 898-1 and -2), the preload in N, and the shop's margin against stripping."""

    shaft_class: str | None
    nut_class: str | None
    preload: Range | None
    factor: float


def engagement(layout: Layout, load: Strength, shaft: PartThread, nut: PartThread) -> tuple[Values, list[Finding]]:
    """`available`, `needed` and `full_strength` engagement, mm, each at its worst limits or None, with the findings.

    Strength figures only where both parts carry the same thread. Sources: FED-STD-H28/2B, VDI 2230, ISO 898-1 and -2.
    """
    values: Values = {"available": None, "needed": None, "full_strength": None}
    findings = [ask(code) for name, code in _UNKNOWN.items() if getattr(layout, name) is None]
    findings += layout.relief.findings()
    findings += strength.class_findings(load.shaft_class, load.nut_class)
    if shaft.thread is None:
        return values, findings
    findings += _positions(layout, shaft.thread)
    engaged = _engaged(layout)
    if engaged is not None:
        values["available"] = round(max(0.0, engaged.low), 3)
        findings += strength.turn_findings(engaged, shaft.thread.pitch_mm)
    if layout.hole is not None:
        known = load.preload is not None
        findings += section.wall_findings(shaft.thread, as_range(layout.hole), layout.relief, load_known=known)
    if nut.thread is not None and not pairing.differences(shaft.thread, nut.thread):
        areas = strip_areas(outer_limits(shaft), inner_limits(nut), shaft.thread.pitch_mm)
        findings += _carries(layout, load, shaft.thread, areas, engaged, values)
    return values, findings


_UNKNOWN = {
    "full_thread_start": "full_thread_start_unknown",
    "shaft_end": "shaft_end_unknown",
    "underside": "nut_underside_unknown",
    "height": "nut_height_unknown",
    "chamfer": "nut_chamfer_unknown",
    "hole": "shaft_hole_unknown",
}


def _engaged(layout: Layout) -> Range | None:
    """Engaged full thread over all corners, mm, below zero where there is none; None where a length is not known.

    A minimum less a maximum is the least of four differences, and the least of each lies at a corner; the most of it
    is at most the least of their mosts.
    """
    given = (layout.underside, layout.height, layout.full_thread_start, layout.shaft_end)
    if any(length is None for length in given) or layout.chamfer is None or layout.unthreaded is None:
        return None
    under, height, start, end = (as_range(length) for length in given if length is not None)
    sides = (height, under + height - start, end - under, end - start)
    ends = (min(getattr(side, which) for side in sides) for which in ("low", "high", "nominal"))
    return Range(*ends) - as_range(layout.chamfer).times(2) - as_range(layout.unthreaded)


def _positions(layout: Layout, thread: Thread) -> list[Finding]:
    findings: list[Finding] = []
    start, end, under, height = layout.full_thread_start, layout.shaft_end, layout.underside, layout.height
    if start is not None and end is not None:
        data: dict[str, Any] = {"start_mm": as_range(start).nominal, "end_mm": as_range(end).nominal}
        contradict = ask("positions_contradict", **data)
        findings += judged(as_range(end) - as_range(start), strict=True, never=contradict, perhaps=contradict)
    if start is not None and under is not None:
        margin = as_range(under) - as_range(start)
        data = {"underside_mm": as_range(under).nominal, "start_mm": as_range(start).nominal}
        # Over a relief groove the nut turns freely, and the turns there do not count as engaged. Without one it meets
        # the thread's run-out and jams before it clamps.
        maybe = ask("nut_may_run_out_of_thread", "trade", **data)
        if layout.relief.there:
            findings += [note("nut_overhangs_relief", "trade", **data)] if margin.low < -DUST_MM else []
        else:
            never = stop("nut_runs_out_of_thread", "trade", **data) if layout.relief.there is False else maybe
            findings += judged(margin, never=never, perhaps=maybe)
    if end is not None and under is not None and height is not None:
        past = as_range(end) - as_range(under) - as_range(height)
        data = {"protrusion_mm": round(past.nominal, 3), "pitch_mm": round(thread.pitch_mm, 3)}
        findings += judged(
            past - Range.exact(thread.pitch_mm),
            never=stop("too_little_protrusion", "trade", **data),
            perhaps=ask("protrusion_not_proven", "trade", **data),
        )
    return findings


def _carries(
    layout: Layout,
    load: Strength,
    thread: Thread,
    areas: tuple[Range, Range],
    engaged: Range | None,
    values: Values,
) -> list[Finding]:
    """Whether the engaged thread carries the load that is told, or without one the shaft's own strength, and whether
    the shaft carries the load."""
    nominal, preload = thread.nominal_mm, load.preload
    findings = _thin(layout, nominal, load_known=preload is not None)
    hole = None if layout.hole is None else as_range(layout.hole)
    net = None if hole is None else section.net_area(thread, hole, layout.relief)
    if hole is None or net is None:
        return findings
    if areas[0].low > 0:
        values["full_strength"] = round(joints.full_strength_mm(net.high, areas[0].low), 3)
    if load.shaft_class not in strength.PAIR or load.nut_class not in strength.NUT_CLASSES:
        return findings
    own = net.times(joints.bolt_tensile_mpa(load.shaft_class, nominal))
    threads = stripping(areas, load.shaft_class, load.nut_class, nominal)
    values["full_strength"] = threads.full_mm(own) or values["full_strength"]
    if preload is not None:
        # Of a groove that nobody measured it is asked already; what the thread alone does not bear, no groove mends.
        bears = section.thread_area(thread, hole) if layout.relief.unknown else net
        proof = (bears or net).times(joints.proof_stress_mpa(load.shaft_class, nominal))
        findings += _proof(preload, proof, load.shaft_class)
        values["needed"] = threads.needed_mm(preload, load.factor, own)
    if engaged is None or engaged.high <= 0:
        return findings
    available, full = values["available"] or 0.0, values["full_strength"] or 0.0
    if preload is None:
        return [*findings, *own_strength_findings(threads.margin(engaged, own), engaged, full)]
    data = {"available_mm": available, "needed_mm": values["needed"] or 0.0, "factor": load.factor}
    findings += judged(
        threads.margin(engaged, own, preload=preload, factor=load.factor),
        never=stop("engagement_too_short", "fed_std_h28_2b", **data),
        perhaps=ask("engagement_may_be_too_short", "fed_std_h28_2b", **data),
    )
    if full and available < full:
        told = {"available_mm": available, "full_mm": full, "percent": round(100 * available / full)}
        findings.append(note("under_full_strength", "fed_std_h28_2b", **told))
    return findings


def _thin(layout: Layout, nominal: float, *, load_known: bool) -> list[Finding]:
    """A nut under 0.8 of the diameter is made to be stripped before its bolt breaks (ISO 898-2, style 0), whatever
    carries the load here: a hollow shaft asks less of it than a solid one."""
    if layout.height is None or as_range(layout.height).low >= joints.THIN_NUT * nominal:
        return []
    return [warn("thin_nut" if load_known else "thin_nut_at_full_strength", "iso_898_2")]


def _proof(preload: Range, proof: Range, shaft_class: str) -> list[Finding]:
    figures = {"preload_n": round(preload.high), "proof_n": round(proof.low), "shaft_class": shaft_class}
    return judged(
        proof - preload,
        never=stop("preload_over_proof", "iso_898_1", **figures),
        perhaps=ask("preload_may_be_over_proof", "iso_898_1", **figures),
    )
