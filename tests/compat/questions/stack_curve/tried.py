"""What is tried on `stack-curve`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from tests.api.conftest import STACKS
from tests.compat.questions.readings import Json
from tests.compat.questions.reasons import KIND, LINES, STEEL, STRIP
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {"damper": "HA-46", "side": "rebound", "stack": STACKS["rebound"]}
CHOICES = {
    "stack[]": LINES,
    "stack[].lot": STRIP,
    "stack[].form": KIND,
    "lifts_mm": "a choice: without lifts the curve ends where the shims still spring back",
    "lifts_mm[]": "a choice: at which lifts the curve is told",
    "youngs_gpa": STEEL,
    "poisson": STEEL,
    "yield_mpa": STEEL,
}


def can_fit(draw: random.Random) -> Json:
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
