"""How much thread a nut has on its shaft, and whether that is enough."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from compat.engineering import joints
from compat.engineering.answers import Finding, ask, note, stop, warn
from compat.engineering.threads import limits, pairing
from compat.engineering.threads.designation import Thread
from compat.engineering.threads.readings import Length, PartThread, as_range
from compat.engineering.units import Range

DUST_MM = 1e-6
PAIR = {"8.8": 8, "10.9": 10, "12.9": 12}  # ISO 898-2: the nut class that goes with a bolt class
NUT_CLASSES = tuple(str(pair) for pair in PAIR.values())


@dataclass(frozen=True, slots=True)
class Layout:
    """Where things are, mm: positions from the shoulder, the nut's height and chamfer, the shaft's hole; whether a
    relief groove lies before the full thread (None: not looked at)."""

    full_thread_start: Length | None
    shaft_end: Length | None
    underside: Length | None
    height: Length | None
    chamfer: Length | None
    hole: Length | None
    relief: bool | None


@dataclass(frozen=True, slots=True)
class Strength:
    """Property classes (ISO 898-1 and -2), the preload in N, and the shop's margin against stripping."""

    shaft_class: str | None
    nut_class: str | None
    preload: Range | None
    factor: float


def engagement(
    layout: Layout, strength: Strength, shaft: PartThread, nut: PartThread
) -> tuple[dict[str, float | None], list[Finding]]:
    """`available`, `needed` and `full_strength` engagement, mm, each at its worst limits or None, with the findings.

    Strength figures only where both parts carry the same thread. Sources: FED-STD-H28/2B, ISO 898-1, ISO 898-2.
    """
    values: dict[str, float | None] = {"available": None, "needed": None, "full_strength": None}
    findings = [ask(code) for name, code in _UNKNOWN.items() if getattr(layout, name) is None]
    if shaft.thread is None:
        return values, findings
    findings += _positions(layout, shaft.thread)
    values["available"] = available = _available(layout)
    if available is not None and available <= 0:
        findings.append(stop("no_engagement"))
    if nut.thread is not None and not pairing.differences(shaft.thread, nut.thread):
        areas = strip_areas(shaft.thread, shaft.tolerance_class, nut.tolerance_class)
        findings += _full_strength(layout, shaft.thread, areas[0], values)
        findings += _loaded(layout, strength, shaft.thread, areas, values)
    return values, findings


_UNKNOWN = {
    "full_thread_start": "full_thread_start_unknown",
    "shaft_end": "shaft_end_unknown",
    "underside": "nut_underside_unknown",
    "height": "nut_height_unknown",
    "chamfer": "nut_chamfer_unknown",
    "hole": "shaft_hole_unknown",
}


def _available(layout: Layout) -> float | None:
    given = (layout.underside, layout.height, layout.chamfer, layout.full_thread_start, layout.shaft_end)
    ends: list[tuple[float, float]] = []
    for length in given:
        if length is None:
            return None
        ends.append((as_range(length).low, as_range(length).high))
    # A minimum less a maximum is concave, so its least value over ranges lies at one of their corners.
    return round(min(joints.available_mm(*corner) for corner in product(*ends)), 3)


def _positions(layout: Layout, thread: Thread) -> list[Finding]:
    findings: list[Finding] = []
    start, end, under, height = layout.full_thread_start, layout.shaft_end, layout.underside, layout.height
    if start is not None and end is not None and as_range(start).high >= as_range(end).low:
        findings.append(ask("positions_contradict", start_mm=as_range(start).nominal, end_mm=as_range(end).nominal))
    if start is not None and under is not None:
        margin = as_range(under) - as_range(start)
        data = {"underside_mm": as_range(under).nominal, "start_mm": as_range(start).nominal}
        # Over a relief groove the nut turns freely, and the turns there do not count as engaged. Without one it meets
        # the thread's run-out and jams before it clamps.
        if margin.low < -DUST_MM and layout.relief:
            findings.append(note("nut_overhangs_relief", "trade", **data))
        elif margin.high < -DUST_MM and layout.relief is False:
            findings.append(stop("nut_runs_out_of_thread", "trade", **data))
        elif margin.low < -DUST_MM:
            findings.append(ask("nut_may_run_out_of_thread", "trade", **data))
    if end is not None and under is not None and height is not None:
        past = as_range(end) - as_range(under) - as_range(height)
        pitch = round(thread.pitch_mm, 3)
        data = {"protrusion_mm": round(past.nominal, 3), "pitch_mm": pitch}
        if past.high < thread.pitch_mm - DUST_MM:
            findings.append(stop("too_little_protrusion", "trade", **data))
        elif past.low < thread.pitch_mm - DUST_MM:
            findings.append(ask("protrusion_not_proven", "trade", **data))
    return findings


def strip_areas(thread: Thread, shaft_class: str, nut_class: str) -> tuple[float, float]:
    """Shear areas of (shaft, nut) per mm of engagement, mm2/mm, at the worst limits of their classes."""
    outer, inner = limits.external_limits(thread, shaft_class), limits.internal_limits(thread, nut_class)
    return (
        joints.shaft_strip_area(thread.pitch_mm, inner.minor.high, outer.pitch.low),
        joints.nut_strip_area(thread.pitch_mm, outer.major.low, inner.pitch.high),
    )


def _stress_area(thread: Thread, hole: float) -> float | None:
    try:
        return joints.stress_area_mm2(thread.nominal_mm, thread.pitch_mm, hole)
    except ValueError:
        return None


def _full_strength(layout: Layout, thread: Thread, strip_area: float, values: dict[str, float | None]) -> list[Finding]:
    if layout.hole is None or strip_area <= 0:
        return []
    # The narrowest hole leaves the strongest shaft, which needs the longest thread.
    area = _stress_area(thread, as_range(layout.hole).low)
    if area is None or _stress_area(thread, as_range(layout.hole).high) is None:
        return [ask("hole_leaves_no_wall", hole_mm=as_range(layout.hole).nominal, thread=thread.name)]
    values["full_strength"] = full = round(joints.full_strength_mm(area, strip_area), 3)
    available = values["available"]
    if available is None or available >= full:
        return []
    data = {"available_mm": available, "full_mm": full, "percent": round(100 * available / full)}
    return [note("under_full_strength", "fed_std_h28_2b", **data)]


def _loaded(
    layout: Layout, strength: Strength, thread: Thread, areas: tuple[float, float], values: dict[str, float | None]
) -> list[Finding]:
    findings: list[Finding] = []
    thin = layout.height is not None and as_range(layout.height).low < joints.THIN_NUT * thread.nominal_mm
    if strength.preload is None:
        findings.append(note("needed_engagement_open", "trade"))
        return [*findings, ask("thin_nut_load_unknown", "iso_898_2")] if thin else findings
    if thin:
        findings.append(warn("thin_nut", "iso_898_2"))
    shaft_class, nut_class, preload = strength.shaft_class or "", strength.nut_class or "", strength.preload.high
    if shaft_class not in PAIR:
        findings.append(ask("shaft_strength_unknown", "iso_898_1", known=", ".join(PAIR)))
    if nut_class not in NUT_CLASSES:
        findings.append(ask("nut_strength_unknown", "iso_898_2", known=", ".join(NUT_CLASSES)))
    if shaft_class not in PAIR or nut_class not in NUT_CLASSES:
        return findings
    if int(nut_class) < PAIR[shaft_class]:
        findings.append(warn("classes_do_not_pair", "iso_898_2", nut_class=nut_class, shaft_class=shaft_class))
    shaft_mpa = joints.bolt_tensile_mpa(shaft_class, thread.nominal_mm)
    nut_mpa = joints.nut_tensile_mpa(nut_class, thread.nominal_mm)
    if min(areas) > 0:
        needed = joints.needed_mm(
            preload, strength.factor, shaft_area=areas[0], shaft_mpa=shaft_mpa, nut_area=areas[1], nut_mpa=nut_mpa
        )
        values["needed"] = round(needed, 3)
        available = values["available"]
        if available is not None and available < needed:
            data = {"available_mm": available, "needed_mm": round(needed, 3), "factor": strength.factor}
            findings.append(stop("engagement_too_short", "fed_std_h28_2b", **data))
    if layout.hole is not None and (area := _stress_area(thread, as_range(layout.hole).high)) is not None:
        proof = joints.proof_stress_mpa(shaft_class, thread.nominal_mm) * area
        if preload > proof:
            figures = {"preload_n": round(preload), "proof_n": round(proof)}
            findings.append(stop("preload_over_proof", "iso_898_1", **figures, shaft_class=shaft_class))
    return findings
