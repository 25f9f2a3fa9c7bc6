"""What is tried on `curve-calibration`: the least that is answered."""

from __future__ import annotations

from tests.api.conftest import STACKS
from tests.compat.questions.readings import Json
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {
    "damper": "HA-46",
    "side": "rebound",
    "stack": STACKS["rebound"],
    "points": [{"lift_mm": lift, "force_n": 100 * lift} for lift in (0.05, 0.1, 0.15)],
}
