"""What is tried on `thread-reading`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from compat.engineering.threads.designation import known_threads
from compat.engineering.threads.limits import USUAL_EXTERNAL, USUAL_INTERNAL, external_limits, internal_limits
from tests.compat.questions.readings import Json, read
from tests.compat.questions.reasons import TOOL
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {"part": "nut", "diameter_mm": 10.8}
ENGINE = "compat.questions.thread_reading.thread_reading"  # where the question calls it
CHOICES = {
    "diameter_error_mm": TOOL,
    "pitch_error_mm": TOOL,
}


def can_fit(draw: random.Random) -> Json:
    """What calliper and gauge say of a thread of the tables."""
    thread, part = draw.choice(known_threads()), draw.choice(("shaft", "nut"))
    if part == "shaft":
        limits = external_limits(thread, USUAL_EXTERNAL[thread.form]).major
    else:
        limits = internal_limits(thread, USUAL_INTERNAL[thread.form]).minor
    pitch = round(thread.pitch_mm * draw.uniform(0.985, 1.015), 4)
    return {"part": part, "diameter_mm": read(draw, limits), "pitch_mm": pitch}
