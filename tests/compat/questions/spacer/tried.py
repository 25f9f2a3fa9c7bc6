"""What is tried on `spacer`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from tests.compat.questions.readings import Json
from tests.compat.questions.rooms import STAFF

MAY = STAFF
BARE: Json = {"clamp_od_mm": 20, "spacer_max_od_mm": 28, "shaft_mm": 12}
CHOICES = {
    "take_offs": "a choice: of which stock spacers may be",
}


def can_fit(draw: random.Random) -> Json:
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
