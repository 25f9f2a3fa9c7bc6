"""What is tried on `face-shim`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from tests.compat.questions.readings import Json, about
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {}
ENGINE = "compat.engineering.face.face_shim"  # where the question calls it


def can_fit(draw: random.Random) -> Json:
    """A face shim over the ports of its side."""
    face, hub = draw.choice((34, 36, 38, 40, 44)), draw.choice((18, 20, 22))
    return {
        "shim_od_mm": about(draw, face, 0.05),
        "shim_bore_mm": 12,
        "shaft_mm": about(draw, 11.985, 0.015),
        "hub_mm": hub,
        "ports_inner_mm": about(draw, hub + 2, 0.1),
        "ports_outer_mm": about(draw, face - draw.uniform(1, 2.5), 0.1),
        "land_outer_mm": face + 0.8,
        "body_bore_mm": 50,
        "other_side_feed_inner_mm": face + 1.6,
        "overlap_mm": 0.5,
    }
