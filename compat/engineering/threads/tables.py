"""Tolerances of ISO general-purpose metric threads and the unified series, as far as damper shafts need them.

Source of every micrometre here: ISO 965-1 (tolerances and fundamental deviations). The tables are used and not the
standard's formulas, because rounding to preferred numbers moves some values by more than 5 %.
"""

from __future__ import annotations

from typing import TypeVar

Key = TypeVar("Key", int, str)

# ISO 261: nominal diameter, mm -> coarse pitch, mm. The standard's text was not at hand: both tables are from memory,
# all choices of diameter, M35x1.5 (bearing locknuts), M14x1.25 (spark plugs) and the bracketed 3 mm of M30 and M33 too.
COARSE_PITCH: dict[float, float] = {
    3: 0.5, 3.5: 0.6, 4: 0.7, 4.5: 0.75, 5: 0.8, 6: 1, 7: 1, 8: 1.25, 9: 1.25, 10: 1.5, 11: 1.5, 12: 1.75, 14: 2, 16: 2,
    18: 2.5, 20: 2.5, 22: 2.5, 24: 3, 27: 3, 30: 3.5, 33: 3.5, 36: 4,
}  # fmt: skip

# ISO 261: nominal diameter, mm -> fine pitches, mm. 5.5, 15, 17, 25, 26, 28, 32 and 35 mm have fine pitches only.
FINE_PITCHES: dict[float, tuple[float, ...]] = {
    3: (0.35,), 3.5: (0.35,), 4: (0.5,), 4.5: (0.5,), 5: (0.5,), 5.5: (0.5,), 6: (0.75,), 7: (0.75,), 8: (1, 0.75),
    9: (1, 0.75), 10: (1.25, 1, 0.75), 11: (1, 0.75), 12: (1.5, 1.25, 1), 14: (1.5, 1.25, 1), 15: (1.5, 1),
    16: (1.5, 1), 17: (1.5, 1), 18: (2, 1.5, 1), 20: (2, 1.5, 1), 22: (2, 1.5, 1), 24: (2, 1.5, 1), 25: (2, 1.5, 1),
    26: (1.5,), 27: (2, 1.5, 1), 28: (2, 1.5, 1), 30: (3, 2, 1.5, 1), 32: (2, 1.5), 33: (3, 2, 1.5), 35: (1.5,),
    36: (3, 2, 1.5),
}  # fmt: skip

# Fundamental deviations, micrometres: pitch, mm -> es of e, f, g (h is 0) and EI of G (H is 0); 0 where the standard
# tabulates none.
DEVIATION_UM: dict[float, tuple[int, int, int, int]] = {
    0.35: (0, -34, -19, 19),
    0.5: (-50, -36, -20, 20),
    0.6: (-53, -36, -21, 21),
    0.7: (-56, -38, -22, 22),
    0.75: (-56, -38, -22, 22),
    0.8: (-60, -38, -24, 24),
    1: (-60, -40, -26, 26),
    1.25: (-63, -42, -28, 28),
    1.5: (-67, -45, -32, 32),
    1.75: (-71, -48, -34, 34),
    2: (-71, -52, -38, 38),
    2.5: (-80, -58, -42, 42),
    3: (-85, -63, -48, 48),
    3.5: (-90, -70, -53, 53),
    4: (-95, -75, -60, 60),
}

# A tolerance of 0 means that the standard tabulates none.
# Crest tolerances, micrometres: pitch, mm -> TD1 of the nut in grades 4 to 8 and Td of the bolt in grades 4, 6, 8.
CREST_UM: dict[float, tuple[tuple[int, int, int, int, int], tuple[int, int, int]]] = {
    0.35: ((63, 80, 100, 0, 0), (53, 85, 0)),
    0.5: ((90, 112, 140, 180, 0), (67, 106, 0)),
    0.6: ((100, 125, 160, 200, 0), (80, 125, 0)),
    0.7: ((112, 140, 180, 224, 0), (90, 140, 0)),
    0.75: ((118, 150, 190, 236, 0), (90, 140, 0)),
    0.8: ((125, 160, 200, 250, 315), (95, 150, 236)),
    1: ((150, 190, 236, 300, 375), (112, 180, 280)),
    1.25: ((170, 212, 265, 335, 425), (132, 212, 335)),
    1.5: ((190, 236, 300, 375, 475), (150, 236, 375)),
    1.75: ((212, 265, 335, 425, 530), (170, 265, 425)),
    2: ((236, 300, 375, 475, 600), (180, 280, 450)),
    2.5: ((280, 355, 450, 560, 710), (212, 335, 530)),
    3: ((315, 400, 500, 630, 800), (236, 375, 600)),
    3.5: ((355, 450, 560, 710, 900), (265, 425, 670)),
    4: ((375, 475, 600, 750, 950), (300, 475, 750)),
}

# Pitch-diameter tolerances, micrometres: (over, up to and including) mm -> pitch, mm -> TD2 of the nut and Td2 of the
# bolt, each in grades 4 to 8.
Five = tuple[int, int, int, int, int]
PITCH_DIAMETER_UM: dict[tuple[float, float], dict[float, tuple[Five, Five]]] = {
    (2.8, 5.6): {
        0.35: ((56, 71, 90, 0, 0), (42, 53, 67, 85, 0)),
        0.5: ((63, 80, 100, 125, 0), (48, 60, 75, 95, 0)),
        0.6: ((71, 90, 112, 140, 0), (53, 67, 85, 106, 0)),
        0.7: ((75, 95, 118, 150, 0), (56, 71, 90, 112, 0)),
        0.75: ((75, 95, 118, 150, 0), (56, 71, 90, 112, 0)),
        0.8: ((80, 100, 125, 160, 200), (60, 75, 95, 118, 150)),
    },
    (5.6, 11.2): {
        0.75: ((85, 106, 132, 170, 0), (63, 80, 100, 125, 0)),
        1: ((95, 118, 150, 190, 236), (71, 90, 112, 140, 180)),
        1.25: ((100, 125, 160, 200, 250), (75, 95, 118, 150, 190)),
        1.5: ((112, 140, 180, 224, 280), (85, 106, 132, 170, 212)),
    },
    (11.2, 22.4): {
        1: ((100, 125, 160, 200, 250), (75, 95, 118, 150, 190)),
        1.25: ((112, 140, 180, 224, 280), (85, 106, 132, 170, 212)),
        1.5: ((118, 150, 190, 236, 300), (90, 112, 140, 180, 224)),
        1.75: ((125, 160, 200, 250, 315), (95, 118, 150, 190, 236)),
        2: ((132, 170, 212, 265, 335), (100, 125, 160, 200, 250)),
        2.5: ((140, 180, 224, 280, 355), (106, 132, 170, 212, 265)),
    },
    (22.4, 45): {
        1: ((106, 132, 170, 212, 0), (80, 100, 125, 160, 200)),
        1.5: ((125, 160, 200, 250, 315), (95, 118, 150, 190, 236)),
        2: ((140, 180, 224, 280, 355), (106, 132, 170, 212, 265)),
        3: ((170, 212, 265, 335, 425), (125, 160, 200, 250, 315)),
        3.5: ((180, 224, 280, 355, 450), (132, 170, 212, 265, 335)),
        4: ((190, 236, 300, 375, 475), (140, 180, 224, 280, 355)),
    },
}

# ASME B1.1: basic diameter as written -> inch, then series -> threads per inch. UNEF from memory of the standard's
# table of series; Machinery's Handbook, table 4c of unified threads, has the same.
UNIFIED: dict[str, tuple[float, dict[str, int]]] = {
    "1/4": (0.25, {"UNC": 20, "UNF": 28, "UNEF": 32}),
    "5/16": (0.3125, {"UNC": 18, "UNF": 24, "UNEF": 32}),
    "3/8": (0.375, {"UNC": 16, "UNF": 24, "UNEF": 32}),
    "7/16": (0.4375, {"UNC": 14, "UNF": 20, "UNEF": 28}),
    "1/2": (0.5, {"UNC": 13, "UNF": 20, "UNEF": 28}),
    "9/16": (0.5625, {"UNC": 12, "UNF": 18, "UNEF": 24}),
    "5/8": (0.625, {"UNC": 11, "UNF": 18, "UNEF": 24}),
    "3/4": (0.75, {"UNC": 10, "UNF": 16, "UNEF": 20}),
    "7/8": (0.875, {"UNC": 9, "UNF": 14, "UNEF": 20}),
    "1": (1.0, {"UNC": 8, "UNF": 12, "UNEF": 20}),
}

# Sizes where a 55 degree Whitworth thread (BSW) has the same diameter and threads per inch as the unified coarse
# series, so that the figures alone do not say which is meant. From memory of BS 84.
WHITWORTH_TWINS: frozenset[tuple[str, int]] = frozenset(
    {("1/4", 20), ("5/16", 18), ("3/8", 16), ("7/16", 14), ("9/16", 12), ("5/8", 11), ("3/4", 10), ("7/8", 9), ("1", 8)}
)


def deviation_um(pitch: float, position: str) -> int:
    """Fundamental deviation, micrometres: es of `e f g h`, EI of `G H`. Raises KeyError where not tabulated."""
    return 0 if position in "hH" else _tabulated(dict(zip("efgG", DEVIATION_UM[pitch], strict=True)), position)


def crest_um(pitch: float, grade: int, *, internal: bool) -> int:
    """TD1 of a nut (grades 4-8) or Td of a bolt (4, 6, 8), micrometres. Raises KeyError where not tabulated."""
    nut, bolt = CREST_UM[pitch]
    by_grade = zip(range(4, 9), nut, strict=True) if internal else zip((4, 6, 8), bolt, strict=True)
    return _tabulated(dict(by_grade), grade)


def pitch_diameter_um(nominal: float, pitch: float, grade: int, *, internal: bool) -> int:
    """TD2 of a nut or Td2 of a bolt, grades 4-8, micrometres. Raises KeyError where not tabulated."""
    for (over, up_to), rows in PITCH_DIAMETER_UM.items():
        if over < nominal <= up_to:
            nut, bolt = rows[pitch]
            return _tabulated(dict(zip(range(4, 9), nut if internal else bolt, strict=True)), grade)
    raise KeyError(nominal)


def _tabulated(values: dict[Key, int], key: Key) -> int:
    if not (value := values[key]):
        raise KeyError(key)
    return value
