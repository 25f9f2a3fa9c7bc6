"""What is tried on `stack`: the least that is answered, a request that can fit, and what may be left out."""

from __future__ import annotations

import random

from tests.api.conftest import STACKS
from tests.benchmarks.plan_service import damper
from tests.compat.questions.readings import Json, lines
from tests.compat.questions.reasons import KIND, LINES, STRIP
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {"damper": "HA-46", "stacks": STACKS}
ENGINE = "compat.questions.stack.stack"  # where the question calls it
CHOICES = {
    "stacks.compression[]": LINES,
    "stacks.rebound[]": LINES,
    "stacks.compression[].lot": STRIP,
    "stacks.rebound[].lot": STRIP,
    "stacks.compression[].form": KIND,
    "stacks.rebound[].form": KIND,
}


def heavy(draw: random.Random) -> Json:
    """Two sides of eight to fourteen lines on a valve that is described."""
    valve = {name: value for name, value in damper()["valves"][0].items() if name != "code"}
    return {**valve, "stacks": {"compression": lines(draw, 44), "rebound": lines(draw, 40)}}


def can_fit(draw: random.Random) -> Json:
    """Two sides on a valve with a bolt of its own: no lip rule there."""
    return {**heavy(draw), "valve": "base"}
