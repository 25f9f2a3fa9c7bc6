"""The sizes of the thread-reading question: a shaft's thread and a nut's, each with its crests."""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, along, letter
from compat.engineering.drawing.hatching import COARSE, RISING, hatch
from compat.engineering.drawing.shapes import Point, Shape, area, line

TOOTH, TEETH = 24.0, 4
DEEP = TOOTH * 0.65
SHAFT_LEFT, NUT_LEFT, CREST = 34.0, 208.0, 40.0  # CREST: from the axis
WALL = 34.0
STUB = 22.0  # of the shaft before its thread


def thread_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """A shaft seen from the side and a nut cut, on one axis: the diameter over the crests and the pitch of each."""
    size, pitch = letters["diameter_mm"], letters["pitch_mm"]
    right = SHAFT_LEFT + STUB + TEETH * TOOTH
    upper = _ridge(SHAFT_LEFT + STUB, -CREST, DEEP)
    lower = _ridge(SHAFT_LEFT + STUB, CREST, -DEEP)
    stub = CREST - DEEP
    shapes: list[Shape] = [
        area("shaft", (SHAFT_LEFT, -stub), *upper, *reversed(lower), (SHAFT_LEFT, stub)),
        line("axis", (SHAFT_LEFT - 10, 0), (NUT_LEFT + TEETH * TOOTH + 10, 0)),
    ]
    shapes += along(-CREST, CREST, right + 16, letter(size), right - TOOTH / 2)
    first = SHAFT_LEFT + STUB + TOOTH / 2
    shapes += across(first, first + TOOTH, -CREST - 20, letter(pitch), -CREST)
    for side in (-1, 1):
        ridge = _ridge(NUT_LEFT, side * CREST, side * DEEP)
        ring = [*ridge, (ridge[-1][0], side * (CREST + WALL)), (NUT_LEFT, side * (CREST + WALL))]
        shapes += [area("cut", *ring), hatch([ring], RISING, COARSE)]
    end = NUT_LEFT + TEETH * TOOTH
    shapes += along(-CREST, CREST, end + 16, letter(size), end - TOOTH / 2)
    first = NUT_LEFT + TOOTH / 2
    shapes += across(first, first + TOOTH, -CREST + 20, letter(pitch), -CREST)
    return shapes


def _ridge(left: float, crest: float, deep: float) -> list[Point]:
    """A thread's outline from root to root, its crests at `crest`."""
    points: list[Point] = []
    for n in range(TEETH):
        x = left + n * TOOTH
        points += [(x, crest + deep), (x + TOOTH / 2 - 2, crest), (x + TOOTH / 2 + 2, crest)]
    return [*points, (left + TEETH * TOOTH, crest + deep)]
