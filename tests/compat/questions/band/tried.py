"""What is tried on `band`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from compat.engineering.seals.sizes import known
from tests.compat.questions.readings import Json, about
from tests.compat.questions.reasons import OD
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {}
ENGINE = "compat.engineering.band.band"  # where the question calls it
CHOICES = {
    "measured_od_mm": OD,
    "energiser_section_mm": OD,
    "band_wear_radial_mm": "alternative: the diameter over the band, once it is read, holds the wear",
}


def can_fit(draw: random.Random) -> Json:
    """A band on its energiser, worn a little."""
    dash, ring = draw.choice([one for one in known().items() if 210 <= one[0] <= 240])
    section, thickness = ring.section_mm.nominal, draw.choice((0.95, 1.2, 1.5))
    groove = ring.id_mm.nominal * (1 + draw.uniform(1, 4) / 100)
    return {
        "bore_mm": about(draw, groove + 2 * (0.82 * section + thickness), 0.03),
        "groove_mm": about(draw, groove, 0.04),
        "band_thickness_mm": about(draw, thickness, 0.02),
        "energiser": {"size": f"{dash:03}"},
        "energiser_section_mm": about(draw, section, 0.05),
        "band_wear_radial_mm": round(draw.uniform(0, 0.2), 3),
        "bore_wear_diametral_mm": round(draw.uniform(0, 0.1), 3),
        "coldest_c": round(draw.uniform(-30, 10)),
    }
