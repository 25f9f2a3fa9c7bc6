"""What is tried on `shaft`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from tests.compat.questions.readings import Json, read_round
from tests.compat.questions.reasons import SPOTS
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {}
ENGINE = "compat.engineering.shaft_wear.shaft"  # where the question calls it
CHOICES = {
    "readings[]": SPOTS,
}


def can_fit(draw: random.Random) -> Json:
    """A worn shaft, with its runout."""
    return {
        **read_round(draw, worn=-1),
        "min_diameter_mm": round(46 - draw.uniform(0.02, 0.1), 3),
        "runout_mm": round(draw.uniform(0, 0.06), 3),
        "max_runout_mm": 0.05,
        "surface": draw.choice(("ok", "ok", "worn")),
    }
