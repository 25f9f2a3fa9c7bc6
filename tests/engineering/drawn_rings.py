"""O-rings in glands as a bench tells them, drawn at random near the edges of the rules.

Each is drawn as one that fits, and some aspects of it, none to four, are then drawn anew from a span that reaches past
the limits on that aspect. So all three verdicts come often, and most of what does not fit is one reading from it.
"""

from __future__ import annotations

import random
from typing import Any

from compat.engineering.oring import RingInGland
from compat.engineering.seals.gland import Gland
from compat.engineering.seals.ring import Ring
from compat.engineering.seals.sizes import ring_called
from compat.engineering.units import Range
from tests.engineering.cases_seals import met

SIZES = ("222", "112", "325", "018", "210")
FRESH, OLDER = "2029-Q2", ("2022-Q1", "2012-Q1")  # cure quarters, for a shelf in 2030
# An aspect of a case: what it is where the case fits, and where it is drawn anew.
SOUND: dict[str, Any] = {
    "squeeze": {"static": 18.0, "dynamic": 14.0},
    "stretch": 1.5,
    "width": 1.4,
    "off_wall": 1.0,
    "spread": 0.01,
    "by_size": False,
    "gap": 0.06,
    "gap_told": True,
    "pressure": 2.0,
    "hardness": 70.0,
    "compound": "NBR",
    "fluid": "mineral_oil",
    "hottest": 60.0,
    "coldest": 0.0,
    "reused": False,
    "cured": FRESH,
}
SIZED: dict[str, Any] = {
    "squeeze": lambda draw: draw.uniform(2, 36),
    "stretch": lambda draw: draw.uniform(-3, 10),
    "width": lambda draw: draw.uniform(0.9, 1.5),
    "off_wall": lambda draw: draw.uniform(-6, 6),
    "gap": lambda draw: draw.uniform(0, 0.6),
    "spread": lambda draw: draw.choice((0.03, 0.1, 0.2)),
    "by_size": lambda draw: True,
}
MET: dict[str, Any] = {
    "gap_told": lambda draw: False,
    "pressure": lambda draw: draw.choice((5.0, 8.0, 22.0)),
    "hardness": lambda draw: draw.uniform(62, 92),
    "compound": lambda draw: draw.choice(("NBR 70", "NBR 90", "FKM", "EPDM")),
    "fluid": lambda draw: "glycol_brake_fluid",
    "hottest": lambda draw: draw.choice((90.0, 98.0, 130.0)),
    "coldest": lambda draw: draw.choice((-20.0, -29.0, -40.0)),
    "reused": lambda draw: True,
    "cured": lambda draw: draw.choice(OLDER),
}


def sized(draw: random.Random, size: float, off: float, spread: float) -> Range:
    """Something near a size, mostly a little off and read with some spread."""
    middle = size + draw.choice((0.0, 0.0, 1.0, -1.0)) * draw.random() * off
    return Range.around(middle, draw.choice((0.0, draw.random() * spread)))


def an_oring(draw: random.Random) -> tuple[RingInGland, str | None]:
    """A ring in a gland, and its cure quarter."""
    kind = draw.choice(("piston", "rod", "face"))
    motion = "static" if kind == "face" else draw.choice(("static", "dynamic"))
    case = {**SOUND, "squeeze": SOUND["squeeze"][motion]}
    for aspects, most in ((SIZED, 3), (MET, 1)):
        for name in draw.sample(list(aspects), draw.randint(0, most)):
            case[name] = aspects[name](draw)

    def read(size: float) -> Range:
        return Range.around(size, draw.random() * case["spread"])

    ring = ring_called(draw.choice(SIZES))
    inner, section = ring.id_mm.nominal, ring.section_mm.nominal
    if not case["by_size"]:
        ring = Ring(read(inner), read(section))
    gland = _face(draw, case, inner, section) if kind == "face" else _round(draw, kind, case, inner, section)
    service = met(
        case["compound"],
        case["fluid"],
        case["hottest"],
        case["coldest"],
        pressure_mpa=sized(draw, case["pressure"], 0.9, 0.3),
        hardness_shore_a=Range.around(case["hardness"], draw.choice((0.0, 2.0))),
        backup_rings=draw.random() < 0.1,
    )
    return RingInGland(ring, gland, motion, service, case["reused"]), case["cured"]


def _round(draw: random.Random, kind: str, case: dict[str, Any], inner: float, section: float) -> Gland:
    """A piston's or a rod's gland; the gap told as read, or by the part beside the groove."""

    def read(size: float) -> Range:
        return Range.around(size, draw.random() * case["spread"])

    seat, height = inner * (1 + case["stretch"] / 100), section * (1 - case["squeeze"] / 100)
    wall = seat + 2 * height
    sizes: dict[str, Any] = {"width_mm": read(case["width"] * section)}
    if case["gap_told"] and draw.random() < 0.5:
        sizes["extrusion_gap_mm"] = read(case["gap"])
    elif case["gap_told"]:
        sizes["land_mm"] = read(wall - case["gap"] if kind == "piston" else seat + case["gap"])
    if kind == "piston":
        return Gland(kind, bore_mm=read(wall), groove_mm=read(seat), **sizes)
    return Gland(kind, rod_mm=read(seat), groove_mm=read(wall), **sizes)


def _face(draw: random.Random, case: dict[str, Any], inner: float, section: float) -> Gland:
    """A face's gland, whose ring lies at the wall that the pressure drives it to, or off it."""

    def read(size: float) -> Range:
        return Range.around(size, draw.random() * case["spread"])

    side, room = draw.choice(("inside", "outside")), 2 * case["width"] * section
    at_wall = (inner + 2 * section) * (1 - case["off_wall"] / 100)
    inside = at_wall - room if side == "inside" else inner * (1 + case["off_wall"] / 100)
    return Gland(
        "face",
        depth_mm=read(section * (1 - case["squeeze"] / 100)),
        inner_mm=read(inside),
        outer_mm=read(inside + room),
        width_mm=draw.choice((None, read(room / 2))),
        extrusion_gap_mm=read(case["gap"]) if case["gap_told"] else None,
        pressure_from=side,
    )
