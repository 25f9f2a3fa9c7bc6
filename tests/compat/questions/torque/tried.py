"""What is tried on `torque`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from compat.engineering.threads.designation import known_threads
from tests.compat.questions.readings import Json, about, relief
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {"thread": "M12x1.25", "torque_n_m": 34}
ENGINE = "compat.questions.torque.torque"  # where the question calls it
CHOICES = {
    "adapter_offset_mm": "a choice: the tool, which changes what it is set to and not the joint",
}


def can_fit(draw: random.Random) -> Json:
    """A joint from 6 mm, torqued to a preload that suits it."""
    thread = draw.choice([one for one in known_threads() if one.nominal_mm >= 6])
    low = draw.uniform(0.1, 0.16)
    return {
        "thread": thread.name,
        "torque_n_m": round(0.05 * thread.nominal_mm**2 * draw.uniform(0.5, 6) / 2, 1),
        "torque_source": "the maker's instructions",
        "nut_factor": {"min": round(low, 3), "max": round(low + 0.04, 3)},
        "property_class": draw.choice(("8.8", "10.9")),
        "nut_class": "10",
        "wrench_error_percent": 4,
        "hole_mm": round(thread.nominal_mm * draw.uniform(0, 0.5), 2),
        **relief(draw, thread),
        "engagement_mm": about(draw, thread.nominal_mm * draw.uniform(0.5, 0.9), 0.5),
        "prevailing_n_m": about(draw, draw.uniform(0.5, 5), 0.5),
    }
