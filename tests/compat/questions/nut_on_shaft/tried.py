"""What is tried on `nut-on-shaft`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from compat.engineering.threads.designation import known_threads
from compat.engineering.threads.limits import USUAL_EXTERNAL, USUAL_INTERNAL, external_limits, internal_limits
from tests.compat.questions.readings import Json, read, relief, threaded
from tests.compat.questions.reasons import LABEL, PART, THREAD
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {"shaft": {}, "nut": {}}
ENGINE = "compat.questions.nut_on_shaft.joint_of"  # where the question calls it
CHOICES = {
    "preload_n": "a choice: without a load the thread must carry the shaft's own strength",
    "shaft.tolerance_class": LABEL,
    "nut.tolerance_class": LABEL,
    "shaft.hand": LABEL,
    "nut.hand": LABEL,
    "nut.unthreaded_mm": THREAD,
    "nut.part": PART,
}


def can_fit(draw: random.Random) -> Json:
    """A shaft's end and a nut, one time in four of another thread."""
    thread = draw.choice(known_threads())
    other = draw.choice(known_threads()) if draw.random() < 0.25 else thread
    start, height = draw.uniform(20, 30), other.nominal_mm * draw.uniform(0.6, 0.9)
    shaft = {
        **threaded(thread),
        "tolerance_class": USUAL_EXTERNAL[thread.form],
        "property_class": draw.choice(("8.8", "10.9")),
        "major_mm": read(draw, external_limits(thread, USUAL_EXTERNAL[thread.form]).major),
        "hole_mm": round(thread.nominal_mm * draw.uniform(0.2, 0.5), 2),
        "end_condition": draw.choice(("plain", "plain", "peened")),
        "full_thread_start_mm": round(start, 2),
        "shaft_end_mm": round(start + 2.2 * height, 2),
        **relief(draw, thread),
    }
    nut = {
        **threaded(other),
        "tolerance_class": USUAL_INTERNAL[other.form],
        "minor_mm": read(draw, internal_limits(other, USUAL_INTERNAL[other.form]).minor),
        "height_mm": round(height, 2),
        "chamfer_mm": round(0.06 * height, 2),
        "property_class": draw.choice(("8", "10")),
        "locking": draw.choice(("none", "prevailing", "compound")),
        "unthreaded_mm": 0,
        "condition": draw.choice(("new", "used")),
        "underside_mm": round(start + 1, 2),
    }
    return {"shaft": shaft, "nut": nut, "preload_n": round(40 * thread.nominal_mm**2 * draw.uniform(0.5, 3))}
