"""The shaft of a half section, seen from outside: shoulder, straight part, lip, relief, thread. A shaft is not cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from compat.engineering.drawing.heights import Placed, Scale
from compat.engineering.drawing.items import Kind, ShaftEnd
from compat.engineering.drawing.levels import level
from compat.engineering.drawing.shapes import Note, Point, Shape, area, line

STUB = 24.0  # units of shaft shown below the shoulder
SHOULDER = 1.45  # the shaft's diameter below its shoulder, which is rarely told, in diameters above it
RELIEF = 0.82  # the relief's diameter, in shaft diameters: deep enough to be seen
MINOR = 0.86  # the thin line of a thread, in shaft diameters (ISO 6410-1 asks for about the minor diameter)
RELIEF_LENGTH = 6.0  # units, where the start of the full thread is unknown
BEYOND, MOST_BEYOND = 16.0, 44.0  # units of shaft above the last part: where its end is unknown, and at most
LEAST_THREAD = 6.0


@dataclass(frozen=True, slots=True)
class ShaftLevels:
    """Units above the shoulder; `lip` and `thread` are None where they are not drawn."""

    lip: float | None
    thread: float | None
    end: float
    shortened: bool
    notes: tuple[Note, ...]


def levels(shaft: ShaftEnd, placed: Sequence[Placed], scale: Scale, *, whole: bool = True) -> ShaftLevels:
    """Where lip, thread and end are drawn, and what is unknown of them; none of them where a stack is not told."""
    if not whole:
        return ShaftLevels(None, None, placed[-1].high + BEYOND, False, (Note("stack_not_told"),))
    notes: list[Note] = []

    def at(true_mm: float | None, unknown: str) -> float | None:
        if true_mm is None:
            notes.append(Note(unknown))
            return None
        found = level(placed, true_mm, scale)
        if found is None:
            notes.append(Note("shaft_not_placed"))
        return found

    lip = at(shaft.shoulder_to_lip_mm, "lip_unknown")
    thread = at(shaft.full_thread_start_mm, "thread_start_unknown")
    end = at(shaft.shaft_end_mm, "shaft_end_unknown")
    if thread is None:
        nuts = [one.low for one in placed if one.item.kind is Kind.NUT]
        thread = lip + RELIEF_LENGTH if lip is not None else nuts[-1] if nuts else None
    elif lip is not None:
        thread = max(thread, lip)
    top = placed[-1].high
    shortened = end is not None and end > top + MOST_BEYOND
    if shortened:
        notes.append(Note("shaft_end_shortened"))
    end = top + BEYOND if end is None else min(end, top + MOST_BEYOND)
    end = max(end, (lip or 0.0) + LEAST_THREAD, (thread or 0.0) + LEAST_THREAD)
    return ShaftLevels(lip, thread, end, shortened, tuple(notes))


def profile(radius: float, at: ShaftLevels) -> list[Point]:
    """(radius, height) of the shaft's outline from the shoulder's rim upward."""
    chamfer = min(2.5, radius * 0.15)
    points: list[Point] = [(radius * SHOULDER, 0.0), (radius, 0.0)]
    if at.lip is not None:
        start = at.lip if at.thread is None else at.thread
        run_out = min((1 - RELIEF) * radius, (start - at.lip) / 2)
        points += [(radius, at.lip), (radius * RELIEF, at.lip), (radius * RELIEF, start - run_out), (radius, start)]
    return [*points, (radius, at.end - chamfer), (radius - chamfer, at.end)]


def shaft_shapes(axis: float, radius: float, at: ShaftLevels) -> list[Shape]:
    """The shaft about x = `axis`, its shoulder at y = 0, drawn before the parts that hide it."""
    right = [(radius * SHOULDER, -STUB), *profile(radius, at)]
    outline = [(axis + r, -h) for r, h in right] + [(axis - r, -h) for r, h in reversed(right)]
    shapes: list[Shape] = [area("shaft", *outline), _break(axis, radius * SHOULDER, STUB)]
    shapes.append(line("outline", (axis - radius * SHOULDER, 0.0), (axis + radius * SHOULDER, 0.0)))
    if at.thread is not None:
        for side in (-1, 1):
            minor = axis + side * radius * MINOR
            shapes.append(line("thin", (minor, -at.thread), (minor, -at.end)))
        shapes.append(line("outline", (axis - radius, -at.thread), (axis + radius, -at.thread)))
    if at.lip is not None:
        shapes.append(line("outline", (axis - radius, -at.lip), (axis + radius, -at.lip)))
    if at.shortened:
        shapes.append(_break(axis, radius, -(at.end - LEAST_THREAD)))
    return shapes


def _break(axis: float, half: float, y: float) -> Shape:
    """A thin zigzag across: the part goes on (ISO 128-2)."""
    return line(
        "break",
        (axis - half - 4, y),
        (axis - 5, y),
        (axis - 2, y - 5),
        (axis + 2, y + 5),
        (axis + 5, y),
        (axis + half + 4, y),
    )
