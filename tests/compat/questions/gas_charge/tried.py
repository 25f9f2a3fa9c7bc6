"""What is tried on `gas-charge`: the least that is answered, a request that can fit."""

from __future__ import annotations

import random

from tests.compat.questions.readings import Json, about
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {}
ENGINE = "compat.questions.gas_charge.charge.gas_charge"  # where the question calls it


def can_fit(draw: random.Random) -> Json:
    """A reservoir with room for rod and warm oil, most often inside its limits."""
    bar = round(draw.uniform(8, 14), 1)
    return {
        "charge_bar": bar,
        "charge_c": 20,
        "fill_c": {"min": 18, "max": round(draw.uniform(18, 24), 1)},
        "air_bar": round(draw.uniform(0.9, 1.03), 3),
        "bore_mm": about(draw, 46, 0.02),
        "depth_mm": about(draw, draw.uniform(50, 70), 0.2),
        "rod_mm": about(draw, draw.choice((12, 14, 16)), 0.01),
        "stroke_mm": about(draw, draw.uniform(60, 120), 0.5),
        "oil_ml": {"min": 190, "max": round(draw.uniform(190, 220))},
        "coldest_c": round(draw.uniform(-20, 5)),
        "hottest_c": round(draw.uniform(60, 90)),
        "least_bar": round(bar * 0.6, 1),
        "most_bar": round(bar * draw.uniform(2.2, 3.5), 1),
        "limits_source": "Halvik sheet 9",
    }
