"""What is tried on `bore`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from tests.compat.questions.readings import Json, read_round
from tests.compat.questions.reasons import SPOTS
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {}
ENGINE = "compat.engineering.bore.bore"  # where the question calls it
CHOICES = {
    "readings[]": SPOTS,
    "max_diameter_mm": "alternative: the band in it gives a limit where the maker's is not told",
    "band": "alternative: the maker's limit",
}


def can_fit(draw: random.Random) -> Json:
    """A worn bore, read at up to eight depths in three to six directions."""
    return {**read_round(draw, worn=1), "max_diameter_mm": round(46 + draw.uniform(0.03, 0.15), 3)}
