"""Whatever is asked, a question answers or names a field: a 500 is an error of the program, and there is none."""

from __future__ import annotations

import json
import random
import re
from typing import Any

import pytest

from compat import texts
from compat.plans.checked import PlanIn
from compat.questions import asks
from compat.questions.asks import QUESTIONS
from inventory.common.errors import DomainError
from tests.api.conftest import COMPRESSION, REBOUND, Caller, lay_in, measured, saved_damper
from tests.api.rubbish import rubbish
from tests.api.test_fit_seals import RING
from tests.api.test_fit_spacer import SPACER
from tests.compat.questions.rooms import can_fit

pytestmark = pytest.mark.django_db

CASES = can_fit()
BODIES = 250
SLOW = {"stack-curve": 60, "curve-calibration": 40}  # a bending model each
MOUNT = {"damper": "HA-46", "hub_radius_mm": 10, "pressure": {"inner_radius_mm": 11, "outer_radius_mm": 16}}
SENSIBLE: dict[str, Any] = {
    "stack-curve": {**MOUNT, "side": "rebound", "stack": REBOUND, "lifts_mm": [0.05, 0.1]},
    "curve-calibration": {**MOUNT, **measured()},
    "spacer": SPACER,
    "rings-for-gland": {
        "gland": RING["gland"],
        "motion": "static",
        "fluid": "mineral_oil",
        "pressure_mpa": 2,
        "coldest_c": -10,
    },
}
FORMAL = {"invalid", "not_found"}


def spoiled(body: Any, draw: random.Random) -> Any:
    """A sensible body with one or two of its fields replaced, by another's value or by rubbish."""
    body = json.loads(json.dumps(body))
    for _ in range(draw.randint(1, 2)):
        spots = list(_spots(body))
        holder, key = draw.choice(spots)
        other, name = draw.choice(spots)
        value = json.loads(json.dumps(other[name]))
        told = holder[key]
        near = round(told * draw.uniform(0.7, 1.4), 3) if isinstance(told, float) else told
        holder[key] = draw.choice((near, near, value, 0, 0.001, 1000, None, {"min": 0, "max": 1000}))
    return body


def _spots(value: Any) -> Any:
    if isinstance(value, dict | list):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield value, key
            yield from _spots(inner)


def refused_or_answered(question: str, body: Any) -> set[str]:
    """The codes of the fields refused; a lookup that finds nothing and an answer give none."""
    refusal = None
    try:
        asks.ask(question, body)
    except DomainError as error:
        refusal = error
    if refusal is None:
        return set()
    assert refusal.code in FORMAL
    assert refusal.code == "not_found" or refusal.errors
    return {one.code for one in refusal.errors}


@pytest.mark.parametrize("question", sorted(QUESTIONS))
def test_rubbish_is_answered_or_refused_by_field(question: str) -> None:
    saved_damper()
    lay_in(*REBOUND, *COMPRESSION)
    serializer, draw = QUESTIONS[question][0], random.Random(question)
    codes: set[str] = set()
    answered = 0
    for number in range(SLOW.get(question, BODIES)):
        body = rubbish(serializer(), draw)
        if number % 2 and (question in CASES or question in SENSIBLE):
            body = spoiled(SENSIBLE[question] if question in SENSIBLE else CASES[question](draw), draw)
        if not isinstance(body, dict):
            continue
        found = refused_or_answered(question, body)
        codes |= found
        answered += not found
    assert answered, "no body came through: the rubbish is too wild"


def test_rubbish_is_answered_or_refused_over_http(lead: Caller) -> None:
    saved_damper()
    lay_in(*REBOUND)
    draw = random.Random(12)
    for question, (serializer, _) in sorted(QUESTIONS.items()):
        for _ in range(8):
            reply = lead.ask(f"/fit/{question}", rubbish(serializer(), draw))
            assert reply.status_code in (200, 400, 404), (question, reply.content[:500])


def test_rubbish_plans_are_answered_or_refused(lead: Caller) -> None:
    saved_damper()
    lay_in(*REBOUND, *COMPRESSION)
    draw = random.Random(13)
    for _ in range(40):
        body = rubbish(PlanIn(), draw)
        if isinstance(body, dict):
            body |= {"damper": "HA-46", "also": []}
            body["stacks"] = (
                {"rebound": REBOUND, "compression": COMPRESSION} if draw.random() < 0.7 else body.get("stacks")
            )
            body = {name: value for name, value in body.items() if name not in ("valves", "job") and value is not None}
        reply = lead.post("/plans", body)
        assert reply.status_code in (200, 201, 400, 404), reply.content[:500]


def test_every_refusal_has_a_sentence_that_tells_what_is_wrong() -> None:
    for code, text in texts.REFUSALS.items():
        assert text.endswith((".", "?")), code
        assert "_" not in re.sub(r"{.*?}", "", text), code
