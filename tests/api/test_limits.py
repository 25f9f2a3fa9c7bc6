"""No request swells a worker: what may be sent, how much is said of what is wrong with it, and what is too much."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.conf import settings

from inventory.api.parsing import DEEPEST, MOST_VALUES
from inventory.api.problems import MOST_ERRORS
from inventory.documents.faults import LONGEST_MESSAGE
from tests.api.conftest import REBOUND, STACKS, Caller, damper_document, fields, line, measured, problem, saved_damper

pytestmark = pytest.mark.django_db

QUESTIONS = ("stack-curve", "curve-calibration")


def test_of_many_errors_the_first_are_told_and_how_many_there_are(lead: Caller) -> None:
    reply = lead.ask("/fit/torque", {f"field_{number}": 1 for number in range(3_000)})
    body = problem(reply, 400, "invalid")
    assert len(body["errors"]) == MOST_ERRORS
    assert "first 50 of 3000" in body["detail"]
    assert body["data"] == {"errors_in_all": 3_000}
    assert len(reply.content) < 50_000


def test_few_errors_are_all_told_and_not_counted(lead: Caller) -> None:
    body = problem(lead.ask("/fit/torque", {"thraed": "M12", "torque": 3}), 400, "invalid")
    assert fields(body) == {"thraed", "torque"}
    assert body["data"] == {} and "first" not in body["detail"]


@pytest.mark.parametrize(
    ("path", "body", "field"),
    [
        ("/plans", {"damper": "HA-46", "stacks": {"rebound": [{}] * 4_000}}, "stacks.rebound"),
        ("/fit/bore", {"readings": [{}] * 4_000}, "readings"),
        ("/fit/stack-curve", {"stack": [{}] * 4_000}, "stack"),
        ("/holds", {"lines": [{}] * 4_000}, "lines"),
        ("/dampers", {"code": "X", "name": "x", "valves": [{}] * 4_000}, "valves"),
    ],
)
def test_a_list_that_is_far_too_long_is_refused_before_its_entries_are_looked_at(
    lead: Caller, path: str, body: Any, field: str
) -> None:
    found = problem(lead.post(path, body), 400, "invalid")
    own = [one for one in found["errors"] if one["field"].startswith(field)]
    assert [one["field"] for one in own] == [field]
    assert "may have at most" in own[0]["message"]


@pytest.mark.parametrize("where", ["limits", "valves", "washers"])
def test_nothing_in_a_list_is_refused_where_it_stands(lead: Caller, where: str) -> None:
    document = damper_document()
    (document["valves"][0] if where == "washers" else document)[where] = [None]
    found = problem(lead.post("/dampers", document), 400, "invalid")
    assert fields(found) == {"valves.0.washers.0" if where == "washers" else f"{where}.0"}


def test_what_was_sent_is_not_sent_back_in_full(lead: Caller) -> None:
    reply = lead.ask("/fit/thread-reading", {"part": "x" * 100_000, "diameter_mm": 12})
    found = problem(reply, 400, "invalid")
    assert all(len(one["message"]) <= LONGEST_MESSAGE for one in found["errors"])
    assert len(reply.content) < 5_000


@pytest.mark.parametrize("content", ["[" * 500 + "]" * 500, '{"a":' * 40 + "1" + "}" * 40])
def test_json_nested_deeper_than_anything_that_is_asked_is_refused(lead: Caller, content: str) -> None:
    reply = lead.send("POST", "/fit/torque", content, "application/json")
    assert f"{DEEPEST} deep" in problem(reply, 400, "not_json")["detail"]


def test_json_with_more_values_than_any_request_is_refused(lead: Caller) -> None:
    content = json.dumps({"readings": [0] * MOST_VALUES})
    assert len(content) < settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    body = problem(lead.send("POST", "/fit/bore", content, "application/json"), 413, "too_many_values")
    assert "several requests" in body["detail"]


def test_a_body_that_is_too_large_is_told_how_large_it_may_be(lead: Caller) -> None:
    content = json.dumps({"text": "x" * settings.DATA_UPLOAD_MAX_MEMORY_SIZE})
    body = problem(lead.send("POST", "/fit/parts-by-size", content, "application/json"), 413, "too_large")
    assert f"{settings.DATA_UPLOAD_MAX_MEMORY_SIZE}" in body["detail"] and "smaller" in body["detail"]


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize("thickness", [0.001, 0.002, 5])
def test_the_thinnest_and_the_thickest_shim_are_answered_or_refused(
    lead: Caller, question: str, thickness: float
) -> None:
    saved_damper()
    for stack in (
        [line(34, thickness)],
        [*REBOUND, line(20, thickness)],
        [line(34, thickness, 200)],
        [line(34, thickness), *REBOUND],
    ):
        body = {**(measured() if question == "curve-calibration" else {}), "damper": "HA-46", "side": "rebound"}
        reply = lead.ask(f"/fit/{question}", {**body, "stack": stack})
        assert reply.status_code in (200, 400), (stack, reply.content[:600])
        if reply.status_code == 400:
            assert fields(reply.json())


def test_the_longest_plan_is_far_below_every_limit() -> None:
    sides = {side: [line(34.123, 0.151, 3, bore_mm=12.123)] * 60 for side in STACKS}
    body = {"damper": "HA-46", "valves": [{"code": code, "stacks": sides} for code in ("main", "base", "mid")]}
    assert len(json.dumps(body)) < settings.DATA_UPLOAD_MAX_MEMORY_SIZE / 4
    assert MOST_VALUES / 4 > 3 * 2 * 60 * 5
