"""What is tried on every question, a folder each, found by being there.

`tried.py` of a folder says who may ask (`MAY`) and the least that is answered (`BARE`); where the question can say
`fits`, a random request that can (`can_fit`); which fields may be left out without being missed (`CHOICES`); and, for
the benchmarks, where the question calls its engine (`ENGINE`) and a heavier request than `can_fit` gives (`heavy`).
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path

from tests.compat.questions.readings import Json

EVERYONE, STAFF = "clerk tuner lead storefront", "clerk tuner lead"
HERE = Path(__file__).parent
Draws = Callable[[random.Random], Json]


@dataclass(frozen=True, slots=True)
class Tried:
    """What is tried on one question. `choices`: {path: the reason, either `a choice: ...`, which is no reading but what
    somebody wants to know, or `alternative: ...`, other evidence of the same in the request}."""

    may: str
    bare: Json
    can_fit: Draws | None
    choices: Mapping[str, str]
    engine: str
    heavy: Draws | None


@cache
def tried() -> Mapping[str, Tried]:
    """{slug: what is tried on it}."""
    found = {}
    for file in sorted(HERE.glob("*/tried.py")):
        room = import_module(f"{__package__}.{file.parent.name}.tried")
        can_fit = getattr(room, "can_fit", None)
        heavy = getattr(room, "heavy", can_fit)
        found[file.parent.name.replace("_", "-")] = Tried(
            room.MAY, room.BARE, can_fit, getattr(room, "CHOICES", {}), getattr(room, "ENGINE", ""), heavy
        )
    return found


def can_fit() -> dict[str, Draws]:
    """{slug: a request that can fit}, of the questions that have one."""
    return {slug: one.can_fit for slug, one in tried().items() if one.can_fit}
