"""Force against lift as a plot: the stack as asked, as built with its band, where gaps close, and the difference.

Readable without colour: the band is an area with thin edges, the asked curve is broken, gaps are marked by shapes.
What was measured is drawn as points, since nothing is known between them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from compat.engineering.drawing.shapes import Circle, Drawing, Path, Point, Shape, Text, area, box, finished, line

WIDTH = 460.0
LEFT, RIGHT, TOP, HEIGHT, BETWEEN, STRIP = 58.0, 440.0, 8.0, 216.0, 40.0, 66.0
TICKS = 5
TEXT = 10.0
MARK = 4.0
POINT = 3.0
MOST_NUMBERED = 12

Values = Sequence[float | None]


@dataclass(frozen=True, slots=True)
class Curves:
    """Values at rising lifts, millimetres; None where there is none.

    asked, built, low, high: pressures. closings: lifts at which a gap closes, of the asked and of the built stack.
    difference: of built from asked, percent. as_points: `asked` was measured, so it is drawn as numbered points.
    """

    lifts_mm: Sequence[float]
    asked: Values
    built: Values
    low: Values
    high: Values
    closings: Mapping[str, float | None]
    difference: Values
    as_points: bool = False


def ticks(most: float, least: float = 0.0, count: int = TICKS) -> list[float]:
    """Round numbers over a range, about `count` of them, the ends inside. Raises ValueError for no range."""
    if not (math.isfinite(most) and math.isfinite(least) and most > least):
        raise ValueError(f"no range from {least} to {most}")
    rough = (most - least) / count
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * one for one in (1, 2, 5, 10) if power * one >= rough * 0.999)
    first = math.ceil(least / step - 1e-9)
    last = math.floor(most / step + 1e-9)
    return [round(step * place, 12) for place in range(first, last + 1)]


def curve_plot(curves: Curves, words: Mapping[str, str], number: Callable[[float], str]) -> Drawing:
    """The plot. words: `lift`, `pressure`, `difference` for the axes with their units, `asked` and `built` for the
    lines; number writes a tick. Raises ValueError where there is nothing to draw."""
    tops = [value for values in (curves.asked, curves.built, curves.high) for value in values if value is not None]
    if not tops or not curves.lifts_mm:
        raise ValueError("nothing to draw")
    across = _Scale(0.0, curves.lifts_mm[-1], LEFT, RIGHT)
    up = _Scale(0.0, max(tops) * 1.05, TOP + HEIGHT, TOP)
    shapes: list[Shape] = [*_grid(across, up, number), *_band(curves, across, up)]
    if not curves.as_points:
        shapes += [Path("curve_asked", (_line(curves.lifts_mm, curves.asked, across, up),))]
    shapes += [Path("curve_built", (_line(curves.lifts_mm, curves.built, across, up),))]
    if curves.as_points:
        shapes += _points(curves, across, up)
    shapes += _closings(curves, across, up)
    shapes += _names(curves, across, up, words)
    shapes += [
        Text("value", LEFT, TOP - 10, words["pressure"], TEXT, "start"),
        Text("value", RIGHT, TOP + HEIGHT + 28, words["lift"], TEXT, "end"),
    ]
    shapes += _strip(curves, across, words, number)
    return finished(shapes, width=WIDTH)


@dataclass(frozen=True, slots=True)
class _Scale:
    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def _grid(across: _Scale, up: _Scale, number: Callable[[float], str]) -> list[Shape]:
    bottom = up.start
    shapes: list[Shape] = []
    for tick in ticks(up.high):
        y = up.at(tick)
        shapes += [line("grid", (LEFT, y), (RIGHT, y)), Text("value", LEFT - 5, y, number(tick), TEXT, "end")]
    for tick in ticks(across.high):
        x = across.at(tick)
        shapes += [line("grid", (x, up.end), (x, bottom)), Text("value", x, bottom + 11, number(tick), TEXT)]
    return [*shapes, line("edge", (LEFT, up.end), (LEFT, bottom), (RIGHT, bottom))]


def _line(lifts: Sequence[float], values: Values, across: _Scale, up: _Scale) -> tuple[Point, ...]:
    """From rest through every value there is."""
    points = [(lift, value) for lift, value in zip(lifts, values, strict=True) if value is not None]
    return tuple((across.at(lift), up.at(value)) for lift, value in [(0.0, 0.0), *points])


def _band(curves: Curves, across: _Scale, up: _Scale) -> list[Shape]:
    inside = [
        (lift, low, high)
        for lift, low, high in zip(curves.lifts_mm, curves.low, curves.high, strict=True)
        if low is not None and high is not None
    ]
    if not inside:
        return []
    start = (across.at(0.0), up.at(0.0))
    below = [(across.at(lift), up.at(low)) for lift, low, _ in inside]
    above = [(across.at(lift), up.at(high)) for lift, _, high in inside]
    return [area("band", start, *below, *reversed(above))]


def _closings(curves: Curves, across: _Scale, up: _Scale) -> list[Shape]:
    """A ring where the built stack's gap closes, a square where the asked one's does."""
    shapes: list[Shape] = []
    for name, values in (("asked", curves.asked), ("built", curves.built)):
        lift = curves.closings.get(name)
        if lift is None or lift > curves.lifts_mm[-1]:
            continue
        x, y = across.at(lift), up.at(_between(curves.lifts_mm, values, lift))
        if name == "built":
            shapes.append(Circle("balloon-none", x, y, MARK))
        else:
            shapes.append(area("mark", *box(x - MARK, y - MARK, x + MARK, y + MARK)))
    return shapes


def _points(curves: Curves, across: _Scale, up: _Scale) -> list[Shape]:
    """What was measured, above the line: a mark a point, and its number in the table, as far as they have room."""
    shapes: list[Shape] = []
    step = -(-len(curves.lifts_mm) // MOST_NUMBERED)
    for number, (lift, value) in enumerate(zip(curves.lifts_mm, curves.asked, strict=True), start=1):
        if value is None:
            continue
        x, y = across.at(lift), up.at(value)
        shapes.append(Circle("point", x, y, POINT))
        if (number - 1) % step == 0:
            shapes.append(Text("value", x - POINT - 3, y - POINT - 4, str(number), TEXT, "end"))
    return shapes


def _between(lifts: Sequence[float], values: Values, lift: float) -> float:
    before = (0.0, 0.0)
    for at, value in zip(lifts, values, strict=True):
        if value is None:
            break
        if at >= lift:
            share = (lift - before[0]) / (at - before[0])
            return before[1] + share * (value - before[1])
        before = (at, value)
    return before[1]


def _names(curves: Curves, across: _Scale, up: _Scale, words: Mapping[str, str]) -> list[Shape]:
    """A sample of each line with its name, in the upper left, where a rising curve never is."""
    shapes: list[Shape] = []
    for place, name in enumerate(("built", "asked")):
        y = TOP + 12 + 16 * place
        if name == "asked" and curves.as_points:
            shapes.append(Circle("point", LEFT + 23, y, POINT))
        else:
            shapes.append(line(f"curve_{name}", (LEFT + 10, y), (LEFT + 36, y)))
        shapes.append(Text("value", LEFT + 42, y, words[name], TEXT, "start"))
    return shapes


def _strip(curves: Curves, across: _Scale, words: Mapping[str, str], number: Callable[[float], str]) -> list[Shape]:
    """The difference of the built curve from the asked one, percent, below the plot."""
    differences = curves.difference
    known = [one for one in differences if one is not None]
    if not known:
        return []
    top = TOP + HEIGHT + BETWEEN + 14
    most = max(1.0, *(abs(one) for one in known)) * 1.1
    up = _Scale(-most, most, top + STRIP, top)
    shapes: list[Shape] = [Text("value", LEFT, top - 10, words["difference"], TEXT, "start")]
    for tick in ticks(most, -most, 4):
        y = up.at(tick)
        kind = "edge" if tick == 0 else "grid"
        signed = number(tick) if tick <= 0 else f"+{number(tick)}"
        shapes += [line(kind, (LEFT, y), (RIGHT, y)), Text("value", LEFT - 5, y, signed, TEXT, "end")]
    points = [(lift, one) for lift, one in zip(curves.lifts_mm, differences, strict=True) if one is not None]
    shapes.append(line("edge", (LEFT, top), (LEFT, top + STRIP)))
    shapes.append(Path("curve_built", (tuple((across.at(lift), up.at(one)) for lift, one in points),)))
    return shapes
