"""What is measured of a part of each kind, how far a reading may be off, and in which order the trade says sizes.

Kinds are the catalogue's; a base plate and a sleeve are measured like a washer. Measures carry their unit:

od_mm, id_mm: outer and inner diameter, of a nut the bore over the crests. bore_mm: what a part is for or has as bore;
of all but bands the same as id_mm. section_mm: of a ring. thickness_mm, height_mm (also length, or width along the
axis). across_flats_mm, pitch_mm, thread_mm (nominal diameter of the thread): of nuts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

KINDS = ("shim", "nut", "washer", "base_plate", "sleeve", "piston", "oring", "band", "seal_head", "bush")
MEASURES = (
    *("od_mm", "id_mm", "bore_mm", "section_mm", "thickness_mm", "height_mm"),
    *("across_flats_mm", "pitch_mm", "thread_mm"),
)
# Plus or minus of what a part was read with, mm. Common practice, no published source.
TOOLS = {"caliper": 0.05, "micrometer": 0.01, "ruler": 0.5}
MICROMETER_MOST = 25.0  # mm; the usual one reaches no further, and what is larger was read by caliper
LEAF_GAUGE = 0.03  # of a pitch, as the engine has it
ABOUT_LEAST, ABOUT_PART, ABOUT_THIN = 0.2, 0.01, 0.2  # mm; of a length; at most this part of a thin one
ABOUT_PITCH = 0.05  # of a pitch that was counted along a rule
BY_LABEL = 0.001  # what is written on a part or bag is no reading
ANY_PITCH_MM = 0.3  # off a nominal diameter written without its pitch
LEAST_BORE_MM = 6.0  # a whole number below it behind a shim's sizes is how many (common sizes, no published source)

_FLAT = {"od_mm": "od_mm", "id_mm": "id_mm", "bore_mm": "id_mm", "height_mm": "height_mm", "thickness_mm": "height_mm"}
# For each kind what a measure is called there; a measure that is not named cannot be read of that kind.
CALLED: dict[str, dict[str, str]] = {
    "shim": {**_FLAT, "height_mm": "thickness_mm", "thickness_mm": "thickness_mm"},
    "nut": {
        **{name: name for name in ("id_mm", "height_mm", "across_flats_mm", "pitch_mm", "thread_mm")},
        "bore_mm": "id_mm",
        "thickness_mm": "height_mm",
    },
    "washer": _FLAT,
    "piston": _FLAT,
    "oring": {
        "od_mm": "od_mm",
        "id_mm": "id_mm",
        "bore_mm": "id_mm",
        **dict.fromkeys(("section_mm", "thickness_mm", "height_mm"), "section_mm"),
    },
    "band": {
        "od_mm": "bore_mm",
        "bore_mm": "bore_mm",
        "id_mm": "id_mm",
        "height_mm": "height_mm",
        "thickness_mm": "thickness_mm",
    },
    "seal_head": _FLAT,
    "bush": {**_FLAT, "thickness_mm": "thickness_mm"},
}
# What numbers without a name may be, in the order in which the trade says them.
_SOLID = (
    *(("od_mm", "id_mm", "height_mm"), ("id_mm", "od_mm", "height_mm"), ("od_mm", "id_mm"), ("id_mm", "od_mm")),
    *(("od_mm", "height_mm"), ("id_mm", "height_mm"), ("od_mm",), ("id_mm",), ("height_mm",)),
)
ORDERS: dict[str, tuple[tuple[str, ...], ...]] = {
    "shim": (
        ("od_mm", "thickness_mm", "id_mm"), ("od_mm", "id_mm", "thickness_mm"), ("id_mm", "od_mm", "thickness_mm"),
        ("od_mm", "thickness_mm"), ("od_mm", "id_mm"), ("id_mm", "od_mm"), ("thickness_mm", "od_mm"),
        ("id_mm", "thickness_mm"), ("od_mm",), ("id_mm",), ("thickness_mm",),
    ),
    "nut": (
        ("across_flats_mm", "height_mm", "pitch_mm"), ("across_flats_mm", "pitch_mm", "height_mm"),
        ("across_flats_mm", "id_mm", "pitch_mm"), ("across_flats_mm", "pitch_mm", "id_mm"),
        ("thread_mm", "pitch_mm", "across_flats_mm"), ("thread_mm", "pitch_mm", "height_mm"),
        ("thread_mm", "pitch_mm", "across_flats_mm", "height_mm"),
        ("across_flats_mm", "pitch_mm", "id_mm", "height_mm"),
        ("across_flats_mm", "pitch_mm"), ("thread_mm", "pitch_mm"), ("id_mm", "pitch_mm"),
        ("across_flats_mm", "height_mm"), ("across_flats_mm", "id_mm"), ("thread_mm", "across_flats_mm"),
        ("across_flats_mm",), ("thread_mm",), ("id_mm",), ("pitch_mm",), ("height_mm",),
    ),
    "washer": _SOLID,
    "piston": _SOLID,
    "oring": (
        ("id_mm", "od_mm", "section_mm"), ("od_mm", "id_mm", "section_mm"),
        ("id_mm", "section_mm"), ("od_mm", "section_mm"), ("section_mm", "id_mm"), ("section_mm", "od_mm"),
        ("od_mm", "id_mm"), ("id_mm", "od_mm"), ("od_mm",), ("id_mm",), ("section_mm",),
    ),
    "band": (
        ("bore_mm", "height_mm", "thickness_mm"), ("bore_mm", "height_mm"), ("bore_mm", "thickness_mm"),
        ("id_mm", "height_mm", "thickness_mm"), ("height_mm", "thickness_mm"), ("bore_mm",), ("id_mm",),
        ("height_mm",), ("thickness_mm",),
    ),
    "seal_head": _SOLID,
    "bush": (*_SOLID, ("id_mm", "od_mm", "height_mm", "thickness_mm"), ("id_mm", "thickness_mm"), ("thickness_mm",)),
}  # fmt: skip
# Outside these a number is another measure, or in another unit.
LIMITS: dict[str, dict[str, tuple[float, float]]] = {
    "shim": {"od_mm": (3, 200), "id_mm": (1, 100), "thickness_mm": (0.02, 5)},
    "nut": {
        "across_flats_mm": (4, 80), "height_mm": (1.5, 80), "id_mm": (2, 60), "thread_mm": (2.5, 60),
        "pitch_mm": (0.25, 4.5),
    },
    "washer": {"od_mm": (2, 400), "id_mm": (1, 390), "height_mm": (0.2, 200)},
    "piston": {"od_mm": (8, 400), "id_mm": (2, 200), "height_mm": (2, 200)},
    "oring": {"od_mm": (1.5, 800), "id_mm": (0.5, 790), "section_mm": (0.5, 12)},
    "band": {"bore_mm": (8, 400), "id_mm": (6, 400), "height_mm": (1, 100), "thickness_mm": (0.3, 12)},
    "seal_head": {"od_mm": (8, 400), "id_mm": (3, 200), "height_mm": (3, 200)},
    "bush": {"od_mm": (2, 250), "id_mm": (1, 240), "height_mm": (1, 200), "thickness_mm": (0.2, 30)},
}  # fmt: skip


def table_kind(kind: str) -> str:
    """The kind of the catalogue under which it is kept."""
    return "washer" if kind in ("base_plate", "sleeve") else kind


@dataclass(frozen=True, slots=True)
class Number:
    """One number, mm. `error`: plus or minus, where it was said; else by the tool, or wider where it is only about.
    `written`: as it stands in the text."""

    mm: float
    error: float | None = None
    about: bool = False
    tool: str = "caliper"
    written: str = ""

    @property
    def is_bare(self) -> bool:
        """Whether it is a whole number without a unit: how many, or a diameter."""
        return self.written.isdecimal() and self.error is None and not self.about

    @property
    def is_rough(self) -> bool:
        """Whether the words say that it is not exact."""
        return self.error is not None or self.about or self.tool == "ruler"

    def spread(self, measure: str) -> float:
        """Plus or minus, mm, when it is read as this measure. A pitch is read by leaf gauge: 3 % of it."""
        if self.error is not None:
            return self.error
        if measure == "pitch_mm":
            return self.mm * (ABOUT_PITCH if self.about else LEAF_GAUGE)
        tool = TOOLS["caliper" if self.tool == "micrometer" and self.mm > MICROMETER_MOST else self.tool]
        if self.about:
            return max(tool, min(ABOUT_LEAST, self.mm * ABOUT_THIN), self.mm * ABOUT_PART)
        return tool


Way = Mapping[str, Number]  # what each number is taken for
