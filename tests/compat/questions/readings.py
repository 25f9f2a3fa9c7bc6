"""What a bench would read: sizes of real parts, with readings that spread. Random, for requests that can fit."""

from __future__ import annotations

import random
from typing import Any

from compat.engineering.seals.ring import Ring
from compat.engineering.threads.designation import Thread
from compat.engineering.units import Range

Json = dict[str, Any]
COMPOUNDS = ("NBR", "HNBR", "FKM", "EPDM", "VMQ", "PU")


def threaded(thread: Thread) -> Json:
    return {"thread": thread.name, "hand": "right", "gauged_pitch_mm": round(thread.pitch_mm, 3)}


def relief(draw: random.Random, thread: Thread) -> Json:
    """No relief groove, or one about as deep as DIN 76-1 has it (from memory)."""
    if draw.random() < 0.5:
        return {"thread_relief": False}
    return {"thread_relief": True, "relief_diameter_mm": about(draw, thread.nominal_mm - 1.6 * thread.pitch_mm, 0.05)}


def lines(draw: random.Random, face: int) -> list[Json]:
    diameters = sorted(draw.sample(range(22, face), draw.randint(6, 12)), reverse=True)
    return [
        {"od_mm": od, "thickness_mm": draw.choice((0.1, 0.15, 0.2, 0.25, 0.3)), "quantity": draw.randint(1, 3)}
        for od in (face, *diameters, 20)
    ]


def read_round(draw: random.Random, *, worn: int) -> Json:
    depths, angles = draw.randint(3, 8), draw.choice((3, 4, 6))
    readings = [
        {
            "depth_mm": 20 + 15 * depth,
            "angle_deg": round(180 * angle / angles),
            "diameter_mm": about(draw, 46 + worn * draw.uniform(0, 0.06), 0.005),
        }
        for depth in range(depths)
        for angle in range(angles)
    ]
    return {"nominal_mm": 46, "readings": readings, "travel_from_mm": 15, "travel_to_mm": 25 + 15 * (depths - 1)}


def read(draw: random.Random, limits: Range) -> Json:
    """Somewhere inside limits, to a hundredth either way."""
    return about(draw, draw.uniform(limits.low, limits.high), 0.01)


def about(draw: random.Random, size: float, spread: float) -> Json:
    """A reading with up to so much spread, in whole micrometres."""
    by = draw.uniform(0, spread)
    return {"min": round(size - by, 3), "max": round(size + by, 3)}


def gland_of(draw: random.Random, ring: Ring) -> tuple[Json, str]:
    """(gland, motion): a gland cut for a ring, with machining tolerances."""
    kind, motion = draw.choice(("piston", "rod", "face")), draw.choice(("static", "dynamic"))
    inner, section = ring.id_mm.nominal, ring.section_mm.nominal
    squeeze = draw.uniform(12, 18) if motion == "dynamic" else draw.uniform(14, 24)
    height = section * (1 - squeeze / 100)
    width = about(draw, 1.4 * section, 0.1)
    beside: Json = {"width_mm": width, "extrusion_gap_mm": about(draw, draw.uniform(0.05, 0.3), 0.02)}
    if kind == "piston":
        groove = inner * (1 + draw.uniform(0.5, 4) / 100)
        sizes = {"bore_mm": about(draw, groove + 2 * height, 0.03), "groove_mm": about(draw, groove, 0.04)}
        return {"kind": kind, **sizes, **beside}, motion
    if kind == "rod":
        rod = inner * (1 + draw.uniform(0, 1) / 100)
        sizes = {"rod_mm": about(draw, rod, 0.02), "groove_mm": about(draw, rod + 2 * height, 0.04)}
        return {"kind": kind, **sizes, **beside}, motion
    outer = (inner + 2 * section) * (1 - draw.uniform(0, 2) / 100)
    sizes = {"depth_mm": about(draw, height, 0.03), "outer_mm": about(draw, outer, 0.05)}
    of_face: Json = {"pressure_from": "inside", "extrusion_gap_mm": about(draw, 0.05, 0.02)}
    return {"kind": kind, **sizes, **of_face, "inner_mm": about(draw, outer - 2.8 * section, 0.05)}, "static"


def service(draw: random.Random) -> Json:
    """A compound and what it meets."""
    return {
        "compound": draw.choice(COMPOUNDS),
        "fluid": draw.choice(("mineral_oil", "mineral_oil", "glycol_brake_fluid")),
        "temperature_c": round(draw.uniform(60, 130)),
        "coldest_c": round(draw.uniform(-30, 10)),
        "pressure_mpa": round(draw.uniform(0.5, 4), 2),
    }
