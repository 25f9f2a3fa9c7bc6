"""Random requests of the fit questions, as a bench would type them: sizes of real parts, with readings that spread."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

from compat.engineering.seals.ring import Ring
from compat.engineering.seals.sizes import known
from compat.engineering.threads.designation import Thread, known_threads
from compat.engineering.threads.limits import USUAL_EXTERNAL, USUAL_INTERNAL, external_limits, internal_limits
from compat.engineering.units import Range
from tests.benchmarks.plan_service import damper

Json = dict[str, Any]
COMPOUNDS = ("NBR", "HNBR", "FKM", "EPDM", "VMQ", "PU")


def nut_on_shaft(draw: random.Random) -> Json:
    """A shaft's end and a nut, one time in four of another thread."""
    thread = draw.choice(known_threads())
    other = draw.choice(known_threads()) if draw.random() < 0.25 else thread
    start, height = draw.uniform(20, 30), other.nominal_mm * draw.uniform(0.6, 0.9)
    shaft = {
        **_threaded(thread),
        "tolerance_class": USUAL_EXTERNAL[thread.form],
        "property_class": draw.choice(("8.8", "10.9")),
        "major_mm": _read(draw, external_limits(thread, USUAL_EXTERNAL[thread.form]).major),
        "hole_mm": round(thread.nominal_mm * draw.uniform(0.2, 0.5), 2),
        "end_condition": draw.choice(("plain", "plain", "peened")),
        "full_thread_start_mm": round(start, 2),
        "shaft_end_mm": round(start + 2.2 * height, 2),
        **_relief(draw, thread),
    }
    nut = {
        **_threaded(other),
        "tolerance_class": USUAL_INTERNAL[other.form],
        "minor_mm": _read(draw, internal_limits(other, USUAL_INTERNAL[other.form]).minor),
        "height_mm": round(height, 2),
        "chamfer_mm": round(0.06 * height, 2),
        "property_class": draw.choice(("8", "10")),
        "locking": draw.choice(("none", "prevailing", "compound")),
        "unthreaded_mm": 0,
        "condition": draw.choice(("new", "used")),
        "underside_mm": round(start + 1, 2),
    }
    return {"shaft": shaft, "nut": nut, "preload_n": round(40 * thread.nominal_mm**2 * draw.uniform(0.5, 3))}


def thread_reading(draw: random.Random) -> Json:
    """What calliper and gauge say of a thread of the tables."""
    thread, part = draw.choice(known_threads()), draw.choice(("shaft", "nut"))
    if part == "shaft":
        limits = external_limits(thread, USUAL_EXTERNAL[thread.form]).major
    else:
        limits = internal_limits(thread, USUAL_INTERNAL[thread.form]).minor
    pitch = round(thread.pitch_mm * draw.uniform(0.985, 1.015), 4)
    return {"part": part, "diameter_mm": _read(draw, limits), "pitch_mm": pitch}


def torque(draw: random.Random) -> Json:
    """A joint from 6 mm, torqued to a preload that suits it."""
    thread = draw.choice([one for one in known_threads() if one.nominal_mm >= 6])
    low = draw.uniform(0.1, 0.16)
    return {
        "thread": thread.name,
        "torque_n_m": round(0.05 * thread.nominal_mm**2 * draw.uniform(0.5, 6) / 2, 1),
        "torque_source": "the maker's instructions",
        "nut_factor": {"min": round(low, 3), "max": round(low + 0.04, 3)},
        "property_class": draw.choice(("8.8", "10.9")),
        "nut_class": "10",
        "wrench_error_percent": 4,
        "hole_mm": round(thread.nominal_mm * draw.uniform(0, 0.5), 2),
        **_relief(draw, thread),
        "engagement_mm": _about(draw, thread.nominal_mm * draw.uniform(0.5, 0.9), 0.5),
        "prevailing_n_m": _about(draw, draw.uniform(0.5, 5), 0.5),
    }


def gland_of(draw: random.Random, ring: Ring) -> tuple[Json, str]:
    """(gland, motion): a gland cut for a ring, with machining tolerances."""
    kind, motion = draw.choice(("piston", "rod", "face")), draw.choice(("static", "dynamic"))
    inner, section = ring.id_mm.nominal, ring.section_mm.nominal
    squeeze = draw.uniform(12, 18) if motion == "dynamic" else draw.uniform(14, 24)
    height = section * (1 - squeeze / 100)
    width = _about(draw, 1.4 * section, 0.1)
    beside: Json = {"width_mm": width, "extrusion_gap_mm": _about(draw, draw.uniform(0.05, 0.3), 0.02)}
    if kind == "piston":
        groove = inner * (1 + draw.uniform(0.5, 4) / 100)
        sizes = {"bore_mm": _about(draw, groove + 2 * height, 0.03), "groove_mm": _about(draw, groove, 0.04)}
        return {"kind": kind, **sizes, **beside}, motion
    if kind == "rod":
        rod = inner * (1 + draw.uniform(0, 1) / 100)
        sizes = {"rod_mm": _about(draw, rod, 0.02), "groove_mm": _about(draw, rod + 2 * height, 0.04)}
        return {"kind": kind, **sizes, **beside}, motion
    outer = (inner + 2 * section) * (1 - draw.uniform(0, 2) / 100)
    sizes = {"depth_mm": _about(draw, height, 0.03), "outer_mm": _about(draw, outer, 0.05)}
    of_face: Json = {"pressure_from": "inside", "extrusion_gap_mm": _about(draw, 0.05, 0.02)}
    return {"kind": kind, **sizes, **of_face, "inner_mm": _about(draw, outer - 2.8 * section, 0.05)}, "static"


def oring(draw: random.Random) -> Json:
    """A ring of AS568 in a gland cut for it."""
    dash, ring = draw.choice([one for one in known().items() if one[1].id_mm.nominal > 4])
    gland, motion = gland_of(draw, ring)
    told = {"size": f"{dash:03}", "cure_date": f"{draw.randrange(2015, 2026)}-Q{draw.randrange(1, 5)}"}
    return {"ring": told, "gland": gland, "motion": motion, "reused": False, "hardness_shore_a": 70, **service(draw)}


def service(draw: random.Random) -> Json:
    """A compound and what it meets."""
    return {
        "compound": draw.choice(COMPOUNDS),
        "fluid": draw.choice(("mineral_oil", "mineral_oil", "glycol_brake_fluid")),
        "temperature_c": round(draw.uniform(60, 130)),
        "coldest_c": round(draw.uniform(-30, 10)),
        "pressure_mpa": round(draw.uniform(0.5, 4), 2),
    }


def band(draw: random.Random) -> Json:
    """A band on its energiser, worn a little."""
    dash, ring = draw.choice([one for one in known().items() if 210 <= one[0] <= 240])
    section, thickness = ring.section_mm.nominal, draw.choice((0.95, 1.2, 1.5))
    groove = ring.id_mm.nominal * (1 + draw.uniform(1, 4) / 100)
    return {
        "bore_mm": _about(draw, groove + 2 * (0.82 * section + thickness), 0.03),
        "groove_mm": _about(draw, groove, 0.04),
        "band_thickness_mm": _about(draw, thickness, 0.02),
        "energiser": {"size": f"{dash:03}"},
        "energiser_section_mm": _about(draw, section, 0.05),
        "band_wear_radial_mm": round(draw.uniform(0, 0.2), 3),
        "bore_wear_diametral_mm": round(draw.uniform(0, 0.1), 3),
        "coldest_c": round(draw.uniform(-30, 10)),
    }


def bore(draw: random.Random) -> Json:
    """A worn bore, read at up to eight depths in three to six directions."""
    return {**_read_round(draw, worn=1), "max_diameter_mm": round(46 + draw.uniform(0.03, 0.15), 3)}


def shaft(draw: random.Random) -> Json:
    """A worn shaft, with its runout."""
    return {
        **_read_round(draw, worn=-1),
        "min_diameter_mm": round(46 - draw.uniform(0.02, 0.1), 3),
        "runout_mm": round(draw.uniform(0, 0.06), 3),
        "max_runout_mm": 0.05,
        "surface": draw.choice(("ok", "ok", "worn")),
    }


def clearance(draw: random.Random) -> Json:
    """Bore and shaft by their classes, or the shaft as read."""
    nominal = round(draw.uniform(4, 80), 1)
    told: Json = {"nominal_mm": nominal, "bore_class": draw.choice(("H7", "H8", "H9")), "most_clearance_mm": 0.08}
    if draw.random() < 0.5:
        told["shaft_class"] = draw.choice(("f7", "g6", "h6", "d9"))
    bore, shaft = _about(draw, nominal + 0.008, 0.004), _about(draw, nominal - 0.02, 0.01)
    return {**told, "bore_mm": bore, "shaft_mm": shaft}


def face_shim(draw: random.Random) -> Json:
    """A face shim over the ports of its side."""
    face, hub = draw.choice((34, 36, 38, 40, 44)), draw.choice((18, 20, 22))
    return {
        "shim_od_mm": _about(draw, face, 0.05),
        "shim_bore_mm": 12,
        "shaft_mm": _about(draw, 11.985, 0.015),
        "hub_mm": hub,
        "ports_inner_mm": _about(draw, hub + 2, 0.1),
        "ports_outer_mm": _about(draw, face - draw.uniform(1, 2.5), 0.1),
        "land_outer_mm": face + 0.8,
        "body_bore_mm": 50,
        "other_side_feed_inner_mm": face + 1.6,
        "overlap_mm": 0.5,
    }


def stack(draw: random.Random) -> Json:
    """Two sides of eight to fourteen lines on a valve that is described."""
    valve = {name: value for name, value in damper()["valves"][0].items() if name != "code"}
    return {**valve, "stacks": {"compression": _lines(draw, 44), "rebound": _lines(draw, 40)}}


def inspection(draw: random.Random) -> Json:
    """A whole stripped damper: bore, band, shaft, nut on shaft."""
    on_it = {name: value for name, value in band(draw).items() if not name.startswith(("bore", "coldest"))}
    joint = {part: told for part, told in nut_on_shaft(draw).items() if part in ("shaft", "nut")}
    oil = {"fluid": "mineral_oil", "temperature_c": 80, "coldest_c": -10, "pressure_mpa": 2.0}
    return {"bore": bore(draw), "band": on_it, "shaft": shaft(draw), "joint": joint, "oil": oil}


CASES: dict[str, Callable[[random.Random], Json]] = {
    "nut-on-shaft": nut_on_shaft,
    "thread-reading": thread_reading,
    "torque": torque,
    "oring": oring,
    "band": band,
    "bore": bore,
    "shaft": shaft,
    "clearance": clearance,
    "face-shim": face_shim,
    "stack": stack,
}


def _threaded(thread: Thread) -> Json:
    return {"thread": thread.name, "hand": "right", "gauged_pitch_mm": round(thread.pitch_mm, 3)}


def _relief(draw: random.Random, thread: Thread) -> Json:
    """No relief groove, or one about as deep as DIN 76-1 has it (from memory)."""
    if draw.random() < 0.5:
        return {"thread_relief": False}
    return {"thread_relief": True, "relief_diameter_mm": _about(draw, thread.nominal_mm - 1.6 * thread.pitch_mm, 0.05)}


def _lines(draw: random.Random, face: int) -> list[Json]:
    diameters = sorted(draw.sample(range(22, face), draw.randint(6, 12)), reverse=True)
    return [
        {"od_mm": od, "thickness_mm": draw.choice((0.1, 0.15, 0.2, 0.25, 0.3)), "quantity": draw.randint(1, 3)}
        for od in (face, *diameters, 20)
    ]


def _read_round(draw: random.Random, *, worn: int) -> Json:
    depths, angles = draw.randint(3, 8), draw.choice((3, 4, 6))
    readings = [
        {
            "depth_mm": 20 + 15 * depth,
            "angle_deg": round(180 * angle / angles),
            "diameter_mm": _about(draw, 46 + worn * draw.uniform(0, 0.06), 0.005),
        }
        for depth in range(depths)
        for angle in range(angles)
    ]
    return {"nominal_mm": 46, "readings": readings, "travel_from_mm": 15, "travel_to_mm": 25 + 15 * (depths - 1)}


def _read(draw: random.Random, limits: Range) -> Json:
    """Somewhere inside limits, to a hundredth either way."""
    return _about(draw, draw.uniform(limits.low, limits.high), 0.01)


def _about(draw: random.Random, size: float, spread: float) -> Json:
    """A reading with up to so much spread, in whole micrometres."""
    by = draw.uniform(0, spread)
    return {"min": round(size - by, 3), "max": round(size + by, 3)}
