"""Measured points as people type or paste them: a lift and a force on each line."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import pairwise
from typing import TypedDict

from compat.engineering.bending.calibration import LEAST_POINTS
from compat.questions.curve_calibration import MOST_POINTS
from inventory.common.sizes.numbers import NUMBER

POINT = re.compile(rf"(?P<lift>{NUMBER})(?:\s*+mm)?(?:\s*+[;:]|\s)\s*+(?P<force>{NUMBER})\s*+N?", re.ASCII)


class SentPoint(TypedDict):
    """A measured point in the form of the API: millimetres and newtons."""

    lift_mm: float
    force_n: float


def read_points(text: str) -> list[SentPoint]:
    """Points in the form of the API, millimetres and newtons; what stands behind a # and empty lines are passed over.

    Raises ValueError with the line and what to type instead.
    """
    points: list[SentPoint] = []
    for number, row in enumerate(text.splitlines(), start=1):
        typed = row.split("#", 1)[0].strip()
        if not typed:
            continue
        found = POINT.fullmatch(typed)
        if found is None:
            raise ValueError(
                f"Line {number} \u201c{typed[:40]}\u201d: type the lift in mm and the force in N, as in 0.05 42.5."
            )
        points.append({"lift_mm": _number(found["lift"]), "force_n": _number(found["force"])})
    if not LEAST_POINTS <= len(points) <= MOST_POINTS:
        raise ValueError(f"A curve has {LEAST_POINTS} to {MOST_POINTS} points; these are {len(points)}.")
    for number, (before, after) in enumerate(pairwise(points), start=2):
        if after["lift_mm"] <= before["lift_mm"]:
            raise ValueError(f"Lifts must rise: point {number} at {after['lift_mm']:g} mm does not.")
    return points


def write_points(points: Iterable[SentPoint]) -> str:
    """Points in the form of the API as they would be typed."""
    return "\n".join(f"{_text(point['lift_mm'])} {_text(point['force_n'])}" for point in points)


def _text(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")


def _number(text: str) -> float:
    return float(text.replace(",", "."))
