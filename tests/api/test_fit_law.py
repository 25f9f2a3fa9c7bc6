"""The corner law over what the API takes: leaving out or widening any field of face shim, stack and spacer, nested
ones too, alone and in pairs, makes no verdict `fits`.

CHOICES lists the fields that may be left out without an ask, each with its reason.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from copy import deepcopy
from itertools import combinations
from typing import Any

import pytest

from compat.questions import asks
from inventory.common.errors import DomainError
from inventory.dampers.document import DamperDocument
from inventory.documents.typed import read
from tests.api.conftest import STACKS, damper_document
from tests.api.test_fit_spacer import SPACER, put

pytestmark = pytest.mark.django_db

Json = dict[str, Any]
Path = tuple[Any, ...]
CHOICES = {
    "quantity": "what is built, not read",
    "od_mm of a line": "the size on the shim's bag: what is built",
    "thickness_mm of a line": "the nominal size; readings come with a lot",
    "bore_mm of a line": "left out the shim is the one made for this shaft",
    "form": "what is built",
    "lot": "left out the line is of any piece of the strip, with the strip's tolerance (ISO 9445-1)",
    "name": "a word",
    "place": "where a washer lies, which changes the drawing alone",
    "code": "a word",
    "washers": "what is built; a washer without a height asks",
    "contact_diameter_mm": "changes what clamps the stack, which is a warning either way",
    "open_fraction": "of the curve, not of the fit",
    "take_offs": "whether used shims may serve: a choice of stock",
    "clamp_od_mm": "a nominal size that chooses the stock; required",
    "spacer_max_od_mm": "the least contact diameter read, chooses the stock; required",
}
VALVE = {name: value for name, value in damper_document()["valves"][0].items() if name != "code"}
SHAFT_END = damper_document()["shaft_end"]
STACK: Json = {**VALVE, "stacks": STACKS, "valve": "main"}
FACE: Json = {
    **VALVE["sides"]["compression"],
    "shim_od_mm": 36,
    "shim_bore_mm": 12,
    "shaft_mm": {"min": 11.97, "max": 12.0},
    "body_bore_mm": 46,
    "overlap_mm": 0.5,
}


def ask_stack(body: Json) -> str:
    body = deepcopy(body)
    end: Json = {
        name: body.pop(name) for name in ("shoulder_to_lip_mm", "on_straight_mm", "past_lip_mm") if name in body
    }
    model = read(DamperDocument, {"valves": [{"code": "main"}], "shaft_end": end})
    return str(asks.ask_on("stack", body, model)["verdict"])


def ask(question: str) -> Callable[[Json], str]:
    return lambda body: str(asks.ask(question, body)["verdict"])


ENDS = {name: SHAFT_END[name] for name in ("shoulder_to_lip_mm", "on_straight_mm", "past_lip_mm")}
QUESTIONS: dict[str, tuple[Json, Callable[[Json], str], int]] = {
    "stack": ({**STACK, **ENDS}, ask_stack, 22),
    "face-shim": (FACE, ask("face-shim"), 60),
    "spacer": (SPACER, ask("spacer"), 45),
}


def readings(body: Any, path: Path = ()) -> Iterator[Path]:
    """The paths of the numbers and ranges that are readings."""
    for name, value in body.items() if isinstance(body, dict) else enumerate(body):
        here = (*path, name)
        if isinstance(value, bool) or name in CHOICES or (len(here) >= 3 and here[0] == "stacks"):
            continue
        if isinstance(value, int | float) or (isinstance(value, dict) and "min" in value):
            yield here
        elif isinstance(value, dict | list):
            yield from readings(value, here)


def holder_of(body: Any, path: Path) -> Any:
    for name in path[:-1]:
        body = body[name]
    return body


def ends_of(value: Any) -> tuple[float, float]:
    return (value["min"], value["max"]) if isinstance(value, dict) else (value, value)


def pushed(body: Json, draw: random.Random) -> Json:
    """The body with one or two of its readings off."""
    found = deepcopy(body)
    for path in draw.sample(list(readings(found)), draw.randint(1, 2)):
        holder, by = holder_of(found, path), draw.choice((0.2, 1.0, 16.0))
        low = max(0.01, round(ends_of(holder[path[-1]])[0] + draw.uniform(-by, by), 3))
        holder[path[-1]] = draw.choice((low, {"min": low, "max": round(low + draw.choice((0.05, 0.6)), 3)}))
        if path[-1] in ("on_straight_mm", "past_lip_mm", "overlap_mm"):
            holder[path[-1]] = low
    return found


def vaguer(body: Json, paths: tuple[Path, ...], draw: random.Random) -> Json:
    found = deepcopy(body)
    for path in paths:
        holder, by = holder_of(found, path), draw.choice((0.05, 0.5, 4.0, 20.0))
        low, high = ends_of(holder[path[-1]])
        exact = path[-1] in ("on_straight_mm", "past_lip_mm", "overlap_mm")
        if exact or draw.random() < 0.35:
            del holder[path[-1]]
        else:
            low, high = max(0.001, low - draw.choice((0, by))), high + draw.choice((0, by))
            holder[path[-1]] = {
                "min": round(low, 3),
                "max": round(high, 3),
                "nominal": round(draw.uniform(low, high), 3),
            }
            wide = holder[path[-1]]
            wide["nominal"] = min(max(wide["nominal"], wide["min"]), wide["max"])
    return found


def verdict(judge: Callable[[Json], str], body: Json) -> str:
    try:
        return judge(body)
    except DomainError as refused:
        return refused.code


@pytest.mark.parametrize("question", sorted(QUESTIONS))
def test_no_field_left_out_or_widened_makes_a_verdict_fit(question: str) -> None:
    put(24, 0.2, 10, "S20")
    put(24, 0.3, 5, "S30")
    body, judge, cases = QUESTIONS[question]
    assert judge(body) == "fits"
    draw = random.Random(question)
    tried, kinds = 0, set[str]()
    for _ in range(cases):
        known = pushed(body, draw)
        before = verdict(judge, known)
        kinds.add(before)
        if before == "fits":
            continue
        paths = list(readings(known))
        pairs = list(combinations(paths, 2))
        for chosen in [*((path,) for path in paths), *draw.sample(pairs, min(12, len(pairs)))]:
            tried += 1
            vague = vaguer(known, chosen, draw)
            assert verdict(judge, vague) != "fits", (chosen, known, vague)
    assert tried >= 200
    assert "does_not_fit" in kinds
