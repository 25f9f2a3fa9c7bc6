"""What is tried on `clearance`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from tests.compat.questions.readings import Json, about
from tests.compat.questions.reasons import CLASS
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {}
ENGINE = "compat.questions.clearance.clearance"  # where the question calls it
CHOICES = {
    "bore_class": CLASS,
    "shaft_class": CLASS,
    "nominal_mm": CLASS,
}


def can_fit(draw: random.Random) -> Json:
    """Bore and shaft by their classes, or the shaft as read."""
    nominal = round(draw.uniform(4, 80), 1)
    told: Json = {"nominal_mm": nominal, "bore_class": draw.choice(("H7", "H8", "H9")), "most_clearance_mm": 0.08}
    if draw.random() < 0.5:
        told["shaft_class"] = draw.choice(("f7", "g6", "h6", "d9"))
    bore, shaft = about(draw, nominal + 0.008, 0.004), about(draw, nominal - 0.02, 0.01)
    return {**told, "bore_mm": bore, "shaft_mm": shaft}
