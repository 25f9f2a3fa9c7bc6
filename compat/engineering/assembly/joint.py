"""The nut at the end of an assembly: the question nut-on-shaft with where the nut's faces lie, told or assembled."""

from __future__ import annotations

from dataclasses import replace

from compat.engineering.answers import Answer, Value
from compat.engineering.nut_on_shaft import Nut, ShaftEnd, nut_on_shaft
from compat.engineering.threads.designation import ThreadError, parse
from compat.engineering.threads.readings import Length, as_range
from compat.engineering.threads.section import Relief
from compat.engineering.threads.stripping import least_of
from compat.engineering.units import Range

ROOT = 1.226869  # the root lies so many pitches inside the nominal diameter (ISO 68-1: 17/24 H on each side)


def joint(shaft: ShaftEnd, nut: Nut, *, preload_n: Range | None = None) -> Answer:
    """nut_on_shaft() of these parts, and where things lie.

    More values, ranges in millimetres or None while something is unknown: `nut_top_mm`, `protrusion_mm` (of the shaft
    past the nut, below zero where it ends inside), `past_thread_start_mm` (of the nut's underside past the start of
    full thread, below zero where it lies before) and `wall_mm` (round the shaft's hole, under the thread's root or in
    the relief groove, where it is thinner). Raises as nut_on_shaft() does. Plain geometry; the root's depth is ISO
    68-1's.
    """
    answer = nut_on_shaft(shaft, nut, preload_n=preload_n)
    return replace(answer, values={**answer.values, **_places(shaft, nut)})


def on_assembly(shaft: ShaftEnd, nut: Nut, underside_mm: Range | None, *, preload_n: Range | None = None) -> Answer:
    """joint() with the nut where the assembly puts it; None is an assembly whose height is not known."""
    return joint(shaft, replace(nut, underside_mm=underside_mm), preload_n=preload_n)


def _places(shaft: ShaftEnd, nut: Nut) -> dict[str, Value]:
    under, height, end = _range(nut.underside_mm), _range(nut.height_mm), _range(shaft.shaft_end_mm)
    start, hole = _range(shaft.full_thread_start_mm), _range(shaft.hole_mm)
    top = None if under is None or height is None else under + height
    root = _root(shaft.thread)
    return {
        "nut_top_mm": _rounded(top),
        "protrusion_mm": _rounded(None if top is None or end is None else end - top),
        "past_thread_start_mm": _rounded(None if under is None or start is None else under - start),
        "wall_mm": _rounded(_wall(root, shaft.relief, hole)),
    }


def _wall(root: float | None, relief: Relief, hole: Range | None) -> Range | None:
    if hole is None or root is None or relief.unknown:
        return None
    outer = Range.exact(root)
    return ((outer if relief.diameter is None else least_of(outer, relief.diameter)) - hole).times(0.5)


def _range(told: Length | None) -> Range | None:
    return None if told is None else as_range(told)


def _root(thread: str | None) -> float | None:
    """The root diameter of a designated thread, millimetres."""
    try:
        found = parse(thread or "")
    except ThreadError:
        return None
    return found.nominal_mm - ROOT * found.pitch_mm


def _rounded(value: Range | None) -> Range | None:
    return None if value is None else Range(*(round(part, 3) for part in (value.low, value.high, value.nominal)))
