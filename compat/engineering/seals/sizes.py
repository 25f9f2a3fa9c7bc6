"""O-ring sizes of AS568, which ISO 3601-1 repeats in millimetres.

Inner diameters follow runs of equal steps in inches; typed from memory of AS568, and compared in the tests with the
millimetres of an open table of ISO 3601-1. Metric rings of other standards are other sizes: nothing here is rounded
to the nearest.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from functools import cache

from compat.engineering.refused import Refused
from compat.engineering.seals.ring import Ring
from compat.engineering.units import Range

# Section of a series, mm, and its tolerance; -001 to -003 have sections of their own.
SECTIONS: dict[int, tuple[float, float]] = {
    0: (1.78, 0.08), 1: (2.62, 0.08), 2: (3.53, 0.10), 3: (5.33, 0.13), 4: (6.99, 0.15),
}  # fmt: skip
SMALLEST: dict[int, tuple[float, float]] = {1: (1.02, 0.08), 2: (1.27, 0.08), 3: (1.52, 0.08)}

# First and last dash number, inner diameter of the first in inches, step in inches. From -135 to -150 the standard
# rounds down where the others round up, hence the fourth decimal.
RUNS: tuple[tuple[int, int, str, str], ...] = (
    (1, 1, "0.029", "0"), (2, 2, "0.042", "0"), (3, 3, "0.056", "0"), (4, 4, "0.070", "0"), (5, 5, "0.101", "0"),
    (6, 8, "0.114", "0.031"), (9, 10, "0.208", "0.031"), (11, 28, "0.3010", "0.0625"), (29, 41, "1.489", "0.125"),
    (42, 50, "3.239", "0.25"),
    (102, 102, "0.049", "0"), (103, 106, "0.081", "0.031"), (107, 108, "0.206", "0.031"),
    (109, 134, "0.2990", "0.0625"), (135, 150, "1.9249", "0.0625"), (151, 178, "2.987", "0.25"),
    (201, 222, "0.1710", "0.0625"), (223, 258, "1.609", "0.125"), (259, 274, "6.234", "0.25"),
    (275, 278, "10.484", "0.5"), (279, 281, "12.984", "1"), (282, 284, "15.955", "1"),
    (309, 324, "0.4120", "0.0625"), (325, 361, "1.475", "0.125"), (362, 377, "6.225", "0.25"),
    (378, 381, "10.475", "0.5"), (382, 384, "12.975", "1"), (385, 391, "15.955", "1"), (392, 395, "22.940", "1"),
    (425, 437, "4.475", "0.125"), (438, 445, "6.225", "0.25"), (446, 460, "8.475", "0.5"), (461, 469, "15.955", "0.5"),
    (470, 471, "20.955", "1"), (472, 475, "22.940", "1"),
)  # fmt: skip

# Last dash number of a run, and the tolerance of its inner diameters in thousandths of an inch.
TOLERANCES: tuple[tuple[int, int], ...] = (
    (3, 4), (14, 5), (15, 7), (21, 9), (24, 10), (27, 11), (30, 13), (32, 15), (37, 18), (40, 20), (43, 24), (45, 27),
    (48, 30), (50, 37),
    (112, 5), (113, 7), (116, 9), (122, 10), (128, 12), (134, 15), (140, 17), (146, 20), (150, 22), (153, 24),
    (155, 28), (158, 30), (163, 35), (167, 40), (171, 45), (175, 50), (178, 55),
    (206, 5), (207, 7), (209, 9), (215, 10), (221, 12), (224, 15), (227, 18), (231, 20), (238, 24), (243, 28),
    (248, 30), (258, 35), (262, 40), (266, 45), (270, 50), (275, 55), (281, 65), (282, 75), (283, 80), (284, 85),
    (310, 5), (311, 7), (313, 9), (319, 10), (324, 12), (328, 15), (332, 18), (336, 20), (341, 24), (346, 28),
    (352, 30), (361, 37), (365, 40), (369, 45), (373, 50), (377, 55), (379, 60), (382, 65), (384, 70), (385, 75),
    (386, 80), (387, 85), (388, 90), (390, 95), (391, 100), (392, 105), (393, 110), (394, 115), (395, 120),
    (428, 33), (437, 37), (441, 40), (445, 45), (449, 55), (455, 60), (460, 70), (462, 75), (463, 80), (466, 85),
    (468, 90), (470, 95), (471, 100), (472, 105), (473, 110), (474, 115), (475, 120),
)  # fmt: skip
_INCH = Decimal("25.4")


class SizeError(Refused):
    """A size that is not one of AS568; `text` is what was written."""

    def __init__(self, text: str) -> None:
        super().__init__("no_such_ring_size", size=text)
        self.text = text

    def __str__(self) -> str:
        return f"there is no O-ring size {self.text} in AS568"


def ring_called(size: str) -> Ring:
    """The ring of a dash number, `222`, `-222` or `AS568-222`: inner diameter and section with tolerances, mm.

    Raises SizeError for what is no size of AS568, such as a metric ring's designation.
    """
    found = re.fullmatch(r"\s*+(?:AS\s*+568\s*+[A-C]?)?\s*+-?\s*+(\d{1,3})\s*+", size, re.IGNORECASE)
    ring = known().get(int(found[1])) if found else None
    if ring is None:
        raise SizeError(size[:40])
    return ring


@cache
def known() -> dict[int, Ring]:
    """{dash number: ring} of all 349 sizes."""
    rings = {}
    tolerances = iter(TOLERANCES)
    last, thousandths = next(tolerances)
    for first, end, start, step in RUNS:
        for dash in range(first, end + 1):
            if dash > last:
                last, thousandths = next(tolerances)
            inch = (Decimal(start) + (dash - first) * Decimal(step)).quantize(Decimal("0.001"), ROUND_HALF_UP)
            section, spread = SMALLEST.get(dash) or SECTIONS[dash // 100]
            inner, about = _mm(inch), _mm(Decimal(thousandths) / 1000)
            rings[dash] = Ring(Range.around(inner, about), Range.around(section, spread), f"{dash:03}")
    return rings


def _mm(inch: Decimal) -> float:
    return float((inch * _INCH).quantize(Decimal("0.01"), ROUND_HALF_UP))
