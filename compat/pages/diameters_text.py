"""Diameters at several depths as people type them: a depth, then what was read there from direction to direction."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TypedDict

from compat.pages.measured import Length, read_length, write_length
from compat.questions.told_readings import MOST_READINGS
from inventory.common.sizes.numbers import NUMBER
from inventory.common.sizes.numbers import number as _number

AT = re.compile(rf"(?P<size>[^\s@]++)@(?P<angle>-?{NUMBER})")
ROW = re.compile(rf"(?P<depth>{NUMBER})(?>\s*+mm)?(?:\s*+:|\s)\s*+(?P<sizes>.++)")
SHAPES = "type a depth and the diameters read there, as in 20: 46.02 46.01"


class SentDiameter(TypedDict):
    """A diameter in the form of the API: at which depth and in which direction it was read; a number or its limits."""

    depth_mm: float
    angle_deg: float
    diameter_mm: Length


def read_diameters(text: str) -> list[SentDiameter]:
    """Readings in the form of the API; what stands behind a # and empty lines are passed over.

    Diameters without an angle lie in equal steps from 0 to under 180 degrees: two at 0 and 90. `46.02@45` says the
    angle. A diameter may have limits, as in 46.01..46.03. Raises ValueError with the line and what to type instead.
    """
    found: list[SentDiameter] = []
    for number, row in enumerate(text.splitlines(), start=1):
        typed = row.split("#", 1)[0].strip()
        if not typed:
            continue
        parts = ROW.fullmatch(typed)
        if parts is None:
            raise ValueError(f"Line {number} “{typed[:40]}”: {SHAPES}.")
        sizes = parts["sizes"].split()
        for n, word in enumerate(sizes):
            found.append(_reading(_number(parts["depth"]), word, 180 * n / len(sizes), number))
            if len(found) > MOST_READINGS:
                raise ValueError(f"At most {MOST_READINGS} readings fit; these are more.")
    return found


def write_diameters(readings: Iterable[SentDiameter]) -> str:
    """Readings in the form of the API as they would be typed, each with its angle."""
    rows: dict[float, list[str]] = {}
    for one in readings:
        size = write_length(one["diameter_mm"]).replace(" ±", "±")
        rows.setdefault(one["depth_mm"], []).append(f"{size}@{one['angle_deg']:g}")
    return "\n".join(f"{depth:g}: {' '.join(sizes)}" for depth, sizes in rows.items())


def _reading(depth_mm: float, word: str, angle: float, line: int) -> SentDiameter:
    if said := AT.fullmatch(word):
        word, angle = said["size"], _number(said["angle"])
    try:
        size: Length | None = read_length(word)
    except ValueError:
        size = None
    if size is None:
        raise ValueError(f"Line {line} “{word[:40]}”: {SHAPES}.")
    return {"depth_mm": depth_mm, "angle_deg": round(angle, 3), "diameter_mm": size}
