"""What is tried on `rings-for-gland`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from compat.engineering.seals.sizes import known
from tests.compat.questions.readings import Json, gland_of, service
from tests.compat.questions.rooms import STAFF

MAY = STAFF
BARE: Json = {"gland": {"kind": "piston"}, "motion": "static"}
CHOICES = {
    "compound": "a choice: which rings are looked for",
    "most": "a choice: how many are shown",
    "over_age": "a choice: whether lots past their life are shown",
    "shelf_life_policy": "a choice: which standard's years count; the shop's setting without one",
    "gland.width_mm": "alternative: of a face groove its two diameters tell the width",
}


def can_fit(draw: random.Random) -> Json:
    """A gland cut for a ring that lies on the shelf of these tests."""
    gland, motion = gland_of(draw, known()[222])
    return {"gland": gland, "motion": motion, **service(draw), "compound": "NBR", "fluid": "mineral_oil"}
