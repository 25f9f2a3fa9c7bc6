"""Requests that can fit, of every question: those that the benchmarks send, and those that need more."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

from compat.engineering.seals.sizes import known
from tests.api.test_fit_inspection import BORE, OIL, ON_IT, SEAL, SHAFT
from tests.api.test_fit_nut import PAIR
from tests.benchmarks.fit_cases import CASES as READINGS
from tests.benchmarks.fit_cases import gland_of, service

Json = dict[str, Any]


def stack_curve(draw: random.Random) -> Json:
    """A tapered stack on a mount that is told, lifted little."""
    face = draw.choice((34, 36, 40))
    diameters = [face, *sorted(draw.sample(range(22, face - 2, 2), 3), reverse=True), 20]
    lines = [
        {"od_mm": od, "thickness_mm": draw.choice((0.15, 0.2)), "quantity": draw.randint(1, 3), "bore_mm": 12}
        for od in diameters
    ]
    return {
        "stack": lines,
        "hub_radius_mm": 10,
        "base_radius_mm": 10,
        "pressure": {"inner_radius_mm": 12, "outer_radius_mm": face / 2 - 1.5, "open_fraction": 0.6},
        "lifts_mm": [0.02, 0.05],
        "youngs_gpa": 206,
        "poisson": 0.3,
        "edge_slip": 0.1,
        "preload": None,
    }


def stack(draw: random.Random) -> Json:
    """Two sides on a valve with a bolt of its own: no lip rule there."""
    return {**READINGS["stack"](draw), "valve": "base"}


def spacer(draw: random.Random) -> Json:
    """A lip that needs shims, which the shelf of these tests has."""
    height, plate = draw.uniform(20, 22), draw.uniform(3, 4)
    return {
        "stack_height_mm": round(height, 2),
        "shoulder_to_lip_mm": round(height + draw.uniform(2.0, 2.4), 2),
        "base_plate_mm": round(plate, 2),
        "on_straight_mm": 1,
        "past_lip_mm": round(plate - 1.7, 2),
        "clamp_od_mm": 20,
        "spacer_max_od_mm": 26,
        "shaft_mm": 11.99,
    }


def rings_for_gland(draw: random.Random) -> Json:
    """A gland cut for a ring that lies on the shelf of these tests."""
    gland, motion = gland_of(draw, known()[222])
    return {"gland": gland, "motion": motion, **service(draw), "compound": "NBR", "fluid": "mineral_oil"}


def inspection(draw: random.Random) -> Json:
    """A sound stripped damper, all of it read."""
    bore = {**BORE, "max_diameter_mm": round(46.08 + draw.uniform(0, 0.05), 3)}
    return {"bore": bore, "band": ON_IT, "shaft": SHAFT, "seal": SEAL, "joint": PAIR, "oil": OIL}


CASES: dict[str, Callable[[random.Random], Json]] = {
    **READINGS,
    "inspection": inspection,
    "stack": stack,
    "stack-curve": stack_curve,
    "spacer": spacer,
    "rings-for-gland": rings_for_gland,
}
