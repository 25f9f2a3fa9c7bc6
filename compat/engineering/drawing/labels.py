"""Item references at the end of leader lines (ISO 6433), spread so that none lies over another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from compat.engineering.drawing.shapes import Circle, Shape, Text, area, box, line

PITCH = 20.0
RADIUS = 9.0


@dataclass(frozen=True, slots=True)
class Label:
    """What a reference points at: (x, y) is the end of its leader; `mark` none, stand_in or missing."""

    ref: str
    x: float
    y: float
    count: int = 1
    mark: str = "none"


def spread(wanted: Sequence[float], pitch: float) -> list[float]:
    """Places in the order of `wanted`, each at least `pitch` from the next, as near to what is wanted as can be.

    Nearest means the least sum of squared moves: with i * pitch taken off, it is a monotone regression. `wanted` must
    not fall. Raises ValueError where it does.
    """
    if any(after < before for before, after in pairwise(wanted)):
        raise ValueError("labels are given in the order in which they stand")
    blocks: list[tuple[float, int]] = []  # (mean, how many)
    for index, place in enumerate(wanted):
        mean, count = place - index * pitch, 1
        while blocks and blocks[-1][0] >= mean:
            other, many = blocks.pop()
            mean, count = (mean * count + other * many) / (count + many), count + many
        blocks.append((mean, count))
    flat = [mean for mean, count in blocks for _ in range(count)]
    return [mean + index * pitch for index, mean in enumerate(flat)]


def balloons(labels: Sequence[Label], elbow: float, column: float) -> list[Shape]:
    """Leaders and balloons of labels, given from top to bottom.

    A leader runs level to x = `elbow`, then slants to a column of balloons about x = `column`: level parts keep the
    order of the balloons, so leaders never cross. A stand-in has a square balloon, a missing part a dashed one.
    """
    shapes: list[Shape] = []
    for label, y in zip(labels, spread([label.y for label in labels], PITCH), strict=True):
        edge = column - RADIUS
        points = [(label.x, label.y), (elbow, label.y), (edge - 3, y), (edge, y)]
        shapes.append(line("leader", *points))
        if label.mark == "stand_in":
            corners = box(edge, y - RADIUS, column + RADIUS, y + RADIUS)
            shapes.append(area("balloon-stand_in", *corners))
        else:
            shapes.append(Circle(f"balloon-{label.mark}", column, y, RADIUS))
        size = 10.5 if len(label.ref) < 3 else 8.0
        shapes.append(Text("ref", column, y, label.ref, size))
        if label.count > 1:
            shapes.append(Text("count", column + RADIUS + 2, y, f"×{label.count}", 9.5, "start"))
    return shapes
