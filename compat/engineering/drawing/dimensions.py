"""Dimension lines (ISO 129-1): narrow lines, filled arrowheads, the value above the line; or a letter in a ring."""

from __future__ import annotations

from dataclasses import dataclass

from compat.engineering.drawing.shapes import Circle, Point, Shape, Text, area, line

ARROW, SPREAD = 7.0, 1.7
OVERSHOOT = 2.5  # of an extension line past its dimension line
GAP = 1.5  # between the part and its extension line
BADGE = 7.5
VALUE = 10.0


@dataclass(frozen=True, slots=True)
class Label:
    """A value above the line, or a letter in a ring on it."""

    text: str
    is_letter: bool = False

    @property
    def room(self) -> float:
        return 2 * BADGE if self.is_letter else Text("value", 0, 0, self.text, VALUE).length


def letter(text: str) -> Label:
    """A letter in a ring."""
    return Label(text, is_letter=True)


def across(x0: float, x1: float, at: float, label: Label, *reach: float) -> list[Shape]:
    """A dimension from x0 to x1 on y = `at`; its extension lines start at y = `reach` (one, or one an end)."""
    return _dimension(x0, x1, at, label, reach, upright=False)


def along(y0: float, y1: float, at: float, label: Label, *reach: float) -> list[Shape]:
    """A dimension from y0 to y1 on x = `at`; its extension lines start at x = `reach` (one, or one an end)."""
    return _dimension(y0, y1, at, label, reach, upright=True)


def badge(x: float, y: float, text: str) -> list[Shape]:
    """A letter in a ring about (x, y)."""
    return [Circle("badge", x, y, BADGE), Text("letter", x, y, text, VALUE)]


def pointer(points: tuple[Point, ...], text: str, *, is_diameter: bool = False) -> list[Shape]:
    """A leader whose arrow ends at the first point and whose letter stands at the last one."""
    (x0, y0), (x1, y1) = points[:2]
    x, y = points[-1]
    length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    base = (x0 + ux * ARROW, y0 + uy * ARROW)
    head = area(
        "arrow",
        (x0, y0),
        (base[0] - uy * SPREAD, base[1] + ux * SPREAD),
        (base[0] + uy * SPREAD, base[1] - ux * SPREAD),
    )
    shapes: list[Shape] = [line("dim", *points), head, *badge(x, y, text)]
    if is_diameter:
        shapes.append(Text("value", x + BADGE + 2, y, "Ø", VALUE, "start"))
    return shapes


def _dimension(s0: float, s1: float, t: float, label: Label, reach: tuple[float, ...], *, upright: bool) -> list[Shape]:
    """Drawn in (s, t): s along the measured length, t across it. Arrows that find no room point inward from outside."""
    low, high = min(s0, s1), max(s0, s1)
    if len(reach) == 2 and s0 > s1:
        reach = (reach[1], reach[0])

    def point(s: float, off: float) -> Point:
        return (off, s) if upright else (s, off)

    shapes: list[Shape] = []
    for s, start in zip((low, high), reach * (1 if len(reach) == 2 else 2), strict=False):
        sign = 1 if t > start else -1
        shapes.append(line("dim", point(s, start + sign * GAP), point(s, t + sign * OVERSHOOT)))
    span = high - low
    arrows_inside = span >= 2 * ARROW + 4
    label_inside = span >= label.room + (2 * ARROW + 2 if label.is_letter else 2 if arrows_inside else 4)
    ends = (low, high) if arrows_inside else (low - ARROW - 5, high + ARROW + 5)
    middle = (low + high) / 2
    beside = upright and label.is_letter and not label_inside and span >= label.room + 2
    if not label_inside and not beside:
        # Past the end that is written last: the right one, or the upper one of an upright dimension.
        edge = ends[0] if upright else ends[1]
        middle = edge - label.room / 2 - 1 if upright else edge + label.room / 2 + 1
        if not label.is_letter:
            ends = (edge - label.room - 2, ends[1]) if upright else (ends[0], edge + label.room + 2)
    shapes.append(line("dim", point(ends[0], t), point(ends[1], t)))
    inward = 1 if arrows_inside else -1
    for s, sign in ((low, inward), (high, -inward)):
        base = s + sign * ARROW
        shapes.append(area("arrow", point(s, t), point(base, t - SPREAD), point(base, t + SPREAD)))
    if label.is_letter:
        x, y = point(middle, t + BADGE + 3 if beside else t)
        return [*shapes, *badge(x, y, label.text)]
    x, y = point(middle, t - VALUE * 0.7)
    return [*shapes, Text("value", x, y, label.text, VALUE, turned=upright)]
