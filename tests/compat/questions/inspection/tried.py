"""What is tried on `inspection`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from tests.api.test_fit_inspection import BORE, OIL, ON_IT, SEAL, SHAFT
from tests.api.test_fit_nut import PAIR
from tests.compat.questions.band import tried as band
from tests.compat.questions.bore import tried as bore
from tests.compat.questions.nut_on_shaft import tried as nut_on_shaft
from tests.compat.questions.readings import Json
from tests.compat.questions.reasons import LABEL, OD, PART, SPOTS, THREAD
from tests.compat.questions.rooms import STAFF
from tests.compat.questions.shaft import tried as shaft

MAY = STAFF
BARE: Json = {}
CHOICES = {
    "bore.readings[]": SPOTS,
    "shaft.readings[]": SPOTS,
    "band.measured_od_mm": OD,
    "band.energiser_section_mm": OD,
    "band.band_wear_radial_mm": "alternative: the diameter over the band, once read, holds the wear",
    "joint.shaft.tolerance_class": LABEL,
    "joint.nut.tolerance_class": LABEL,
    "joint.shaft.hand": LABEL,
    "joint.nut.hand": LABEL,
    "joint.nut.unthreaded_mm": THREAD,
    "joint.nut.part": PART,
}


def can_fit(draw: random.Random) -> Json:
    """A sound stripped damper, all of it read."""
    bore = {**BORE, "max_diameter_mm": round(46.08 + draw.uniform(0, 0.05), 3)}
    return {"bore": bore, "band": ON_IT, "shaft": SHAFT, "seal": SEAL, "joint": PAIR, "oil": OIL}


def heavy(draw: random.Random) -> Json:
    """A whole stripped damper: bore, band, shaft, nut on shaft."""
    on_it = {name: value for name, value in band.can_fit(draw).items() if not name.startswith(("bore", "coldest"))}
    joint = {part: told for part, told in nut_on_shaft.can_fit(draw).items() if part in ("shaft", "nut")}
    oil = {"fluid": "mineral_oil", "temperature_c": 80, "coldest_c": -10, "pressure_mpa": 2.0}
    return {"bore": bore.can_fit(draw), "band": on_it, "shaft": shaft.can_fit(draw), "joint": joint, "oil": oil}
