"""What was read of a part, with how far each reading may be off.

Measures carry their unit: od_mm, id_mm (of a nut the bore over the crests), bore_mm (what a band is for), section_mm,
thickness_mm, height_mm, across_flats_mm, pitch_mm, thread_mm (nominal diameter of a nut's thread).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

MEASURES = (
    *("od_mm", "id_mm", "bore_mm", "section_mm", "thickness_mm", "height_mm"),
    *("across_flats_mm", "pitch_mm", "thread_mm"),
)
# Plus or minus of what a part is read with, mm. Common practice, no published source.
TOOLS = {"caliper": 0.05, "micrometer": 0.01, "ruler": 0.5}
MICROMETER_MOST = 25.0  # mm; the usual one reaches no further, and what is larger was read by caliper
BY_LABEL = 0.001  # what is written on a part or bag is no reading


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading, mm, and its plus or minus, mm."""

    mm: float
    error: float = TOOLS["caliper"]


Way = Mapping[str, Reading]  # what each number is taken for
