"""What is tried on `oring`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from compat.engineering.seals.sizes import known
from tests.compat.questions.readings import Json, gland_of, service
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {"gland": {"kind": "piston"}}
ENGINE = "compat.questions.oring.oring"  # where the question calls it
CHOICES = {
    "shelf_life_policy": "a choice: which standard's years count; the shop's setting without one",
    "gland.width_mm": "alternative: of a face groove its two diameters tell the width",
    "hardness_shore_a": "alternative: the hardness may stand behind the compound, as in NBR 70",
}


def can_fit(draw: random.Random) -> Json:
    """A ring of AS568 in a gland cut for it."""
    dash, ring = draw.choice([one for one in known().items() if one[1].id_mm.nominal > 4])
    gland, motion = gland_of(draw, ring)
    told = {"size": f"{dash:03}", "cure_date": f"{draw.randrange(2015, 2026)}-Q{draw.randrange(1, 5)}"}
    return {"ring": told, "gland": gland, "motion": motion, "reused": False, "hardness_shore_a": 70, **service(draw)}
