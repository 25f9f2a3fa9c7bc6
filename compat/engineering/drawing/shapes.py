"""What a drawing is made of: paths, circles and texts, each of a kind that the edge gives its looks."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

Point = tuple[float, float]

CHARACTER = 0.62  # of the text size: the widest mean advance of digits and lower-case letters in common fonts
MARGIN = 6.0


@dataclass(frozen=True, slots=True)
class Path:
    """One or more lines of points. `closed` lines bound an area by the even-odd rule, so holes are lines too."""

    kind: str
    lines: tuple[tuple[Point, ...], ...]
    closed: bool = False

    def points(self) -> Iterable[Point]:
        return (point for line in self.lines for point in line)

    def moved(self, dx: float, dy: float) -> Path:
        return replace(self, lines=tuple(tuple((x + dx, y + dy) for x, y in line) for line in self.lines))


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle about (x, y)."""

    kind: str
    x: float
    y: float
    radius: float

    def points(self) -> Iterable[Point]:
        return ((self.x - self.radius, self.y - self.radius), (self.x + self.radius, self.y + self.radius))

    def moved(self, dx: float, dy: float) -> Circle:
        return replace(self, x=self.x + dx, y=self.y + dy)


@dataclass(frozen=True, slots=True)
class Text:
    """A value, letter or reference that the caller gave. `anchor` is start, middle or end; y is the middle of the line.

    A `turned` text reads from below to above, as on a vertical dimension line.
    """

    kind: str
    x: float
    y: float
    value: str
    size: float = 10.0
    anchor: str = "middle"
    turned: bool = False

    @property
    def length(self) -> float:
        return len(self.value) * self.size * CHARACTER

    def points(self) -> Iterable[Point]:
        before = {"start": 0.0, "middle": self.length / 2, "end": self.length}[self.anchor]
        ends = (-before, self.length - before)
        half = self.size / 2
        if self.turned:
            return tuple((self.x + across, self.y - along) for along in ends for across in (-half, half))
        return tuple((self.x + along, self.y + across) for along in ends for across in (-half, half))

    def moved(self, dx: float, dy: float) -> Text:
        return replace(self, x=self.x + dx, y=self.y + dy)


Shape = Path | Circle | Text


NOTES = frozenset(
    {
        "height_unknown",
        "outer_unknown",
        "height_not_to_scale",
        "pieces_in_a_block",
        "shaft_diameter_unknown",
        "shaft_not_placed",
        "stack_not_told",
        "lip_unknown",
        "thread_start_unknown",
        "shaft_end_unknown",
        "shaft_end_shortened",
        "thickness_exaggerated",
        "across_flats_unknown",
    }
)


@dataclass(frozen=True, slots=True)
class Note:
    """Something that the drawing does not show as it is: a code, and the part's reference where it is about one.

    Raises ValueError for a code that is not in NOTES.
    """

    code: str
    ref: str = ""

    def __post_init__(self) -> None:
        if self.code not in NOTES:
            raise ValueError(f"there is no note {self.code}")


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes inside a view box from (0, 0) to (width, height); later shapes lie over earlier ones."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    notes: tuple[Note, ...] = ()
    data: Mapping[str, Any] = field(default_factory=dict)


def bounds(shapes: Sequence[Shape]) -> tuple[float, float, float, float]:
    """(left, top, right, bottom) of everything drawn. Raises ValueError for a point that is no number, or for none."""
    points = [point for shape in shapes for point in shape.points()]
    if not points:
        raise ValueError("nothing to draw")
    if not all(math.isfinite(x) and math.isfinite(y) for x, y in points):
        raise ValueError("a point of the drawing is not a number")
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def finished(
    shapes: Sequence[Shape], *, width: float, notes: Iterable[Note] = (), data: Mapping[str, Any] | None = None
) -> Drawing:
    """The shapes moved into a view box `width` wide, or wider and centred where they need it."""
    left, top, right, bottom = bounds(shapes)
    fits = left >= 0 and right <= width
    box = width if fits else max(width, right - left + 2 * MARGIN)
    dx = 0.0 if fits else (box - left - right) / 2
    placed = tuple(shape.moved(dx, MARGIN - top) for shape in shapes)
    return Drawing(box, bottom - top + 2 * MARGIN, placed, tuple(dict.fromkeys(notes)), dict(data or {}))


def line(kind: str, *points: Point) -> Path:
    """One open line through points."""
    return Path(kind, (points,))


def area(kind: str, *points: Point) -> Path:
    """One closed line through points."""
    return Path(kind, (points,), closed=True)


def box(left: float, top: float, right: float, bottom: float) -> tuple[Point, ...]:
    """The corners of a rectangle."""
    return ((left, top), (right, top), (right, bottom), (left, bottom))


class NotDrawable(ValueError):
    """Sizes of which nothing can be drawn, since they contradict each other or are none: there is no picture then."""


def checked(name: str, value: float | None) -> float | None:
    """The length itself. Raises NotDrawable for one that is no number above zero."""
    if value is not None and not (math.isfinite(value) and value > 0):
        raise NotDrawable(f"{name} is a length above zero, not {value}")
    return value
