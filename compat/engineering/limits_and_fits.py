"""Limits and fits of ISO 286 to 80 mm: grades 5 to 11, holes H, shafts d to h."""

from __future__ import annotations

import re

from compat.engineering.refused import Refused
from compat.engineering.units import Range

# Upper end of each band of nominal sizes, mm: over the one before, up to and including this one.
BANDS = (3, 6, 10, 18, 30, 50, 80)
# ISO 286-1, standard tolerances: grade -> micrometres by band. From memory; compared in the tests with an open table.
GRADES_UM: dict[int, tuple[int, ...]] = {
    5: (4, 5, 6, 8, 9, 11, 13),
    6: (6, 8, 9, 11, 13, 16, 19),
    7: (10, 12, 15, 18, 21, 25, 30),
    8: (14, 18, 22, 27, 33, 39, 46),
    9: (25, 30, 36, 43, 52, 62, 74),
    10: (40, 48, 58, 70, 84, 100, 120),
    11: (60, 75, 90, 110, 130, 160, 190),
}
# ISO 286-1, fundamental deviations es of shafts: letter -> micrometres by band. From memory, compared as above.
DEVIATIONS_UM: dict[str, tuple[int, ...]] = {
    "d": (-20, -30, -40, -50, -65, -80, -100),
    "e": (-14, -20, -25, -32, -40, -50, -60),
    "f": (-6, -10, -13, -16, -20, -25, -30),
    "g": (-2, -4, -5, -6, -7, -9, -10),
    "h": (0, 0, 0, 0, 0, 0, 0),
}
LARGEST_MM = float(BANDS[-1])


class ClassError(Refused):
    """A tolerance class that is not tabulated here; `text` is what was written."""

    def __init__(self, text: str, part: str) -> None:
        known = "H" if part == "hole" else ", ".join(DEVIATIONS_UM)
        field = "bore_class" if part == "hole" else "shaft_class"
        super().__init__("class_not_tabulated", field, written=text, part=part, known=known, largest_mm=LARGEST_MM)
        self.text = text
        self.part = part


def hole_limits(nominal_mm: float, tolerance_class: str) -> Range:
    """Limits of a hole, mm; class `H5` to `H11`, nominal above 0 to 80 mm. Raises ClassError. Source: ISO 286-1."""
    _, grade = _split(nominal_mm, tolerance_class, "H", "hole")
    tolerance = GRADES_UM[grade][_band(nominal_mm)] / 1000
    return Range(nominal_mm, nominal_mm + tolerance, nominal_mm + tolerance / 2)


def shaft_limits(nominal_mm: float, tolerance_class: str) -> Range:
    """Limits of a shaft, mm; class d, e, f, g or h with a grade 5 to 11, nominal above 0 to 80 mm. Raises ClassError.
    Source: ISO 286-1."""
    letter, grade = _split(nominal_mm, tolerance_class, "defgh", "shaft")
    band = _band(nominal_mm)
    top = nominal_mm + DEVIATIONS_UM[letter][band] / 1000
    tolerance = GRADES_UM[grade][band] / 1000
    return Range(top - tolerance, top, top - tolerance / 2)


def _split(nominal_mm: float, text: str, letters: str, part: str) -> tuple[str, int]:
    found = re.fullmatch(r"\s*+([A-Za-z])\s*+(\d{1,2})\s*+", text)
    if found is None or found[1] not in letters or int(found[2]) not in GRADES_UM or not 0 < nominal_mm <= LARGEST_MM:
        raise ClassError(text[:20], part)
    return found[1], int(found[2])


def _band(nominal_mm: float) -> int:
    return next(n for n, upper in enumerate(BANDS) if nominal_mm <= upper)
