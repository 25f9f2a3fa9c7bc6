"""Every refusal has one form, and malformed input is named rather than guessed at."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from django.conf import settings
from django.core.cache import cache

from inventory.common.errors import ERRORS
from inventory.stock.models import Balance
from tests import factories
from tests.api.conftest import Caller, damper_document, fields, ok, problem

pytestmark = pytest.mark.django_db


def part(**sizes: Any) -> dict[str, Any]:
    """A shim to make, with these sizes in place of good ones."""
    given = {"od_mm": 34, "thickness_mm": 0.15, "bore_mm": 12, **sizes}
    return {"number": "S-1", "kind": "shim", "name": "Shim", "sizes": given}


def spacer(**sizes: Any) -> dict[str, Any]:
    """A spacer question with these sizes in place of good ones."""
    good = {"clamp_od_mm": 20, "spacer_max_od_mm": 28, "shaft_mm": 12, "stack_height_mm": 20}
    return {**good, **sizes}


# --- where nothing answers


@pytest.mark.parametrize("path", ["/nothing", "/parts/", "/parts/none/such", "/fit/unknown", "/holds/1/steal", "/"])
def test_an_unknown_address_is_a_problem(lead: Caller, path: str) -> None:
    problem(lead.get(path), 404, "not_found")


@pytest.mark.parametrize("path", ["/parts/none", "/deliveries/99", "/dampers/none", "/holds/99", "/jobs/none"])
def test_an_unknown_name_or_number_is_a_problem(lead: Caller, path: str) -> None:
    assert path.rpartition("/")[2] in problem(lead.get(path), 404, "not_found")["detail"]


@pytest.mark.parametrize("number", ["abc", "-1", "1.0", "٣", "9" * 30, "%00", "1%20OR%201"])
def test_what_no_number_looks_like_is_not_found(lead: Caller, number: str) -> None:
    for path in ("deliveries", "holds", "plans"):
        problem(lead.get(f"/{path}/{number}"), 404, "not_found")


@pytest.mark.parametrize("method", ["DELETE", "PATCH", "PUT", "TRACE"])
def test_a_method_that_an_address_does_not_take_is_named_with_those_it_takes(lead: Caller, method: str) -> None:
    body = problem(lead.send(method, "/parts", "{}", "application/json"), 405, "method_not_allowed")
    assert "GET" in body["detail"] and "POST" in body["detail"]


# --- bodies that cannot be read


@pytest.mark.parametrize("content", ["", "{", "[1,", "{'a': 1}", '{"a": 01}', "\xff", "{} {}", '{"number": "A\ud800"}'])
def test_what_is_not_json_is_refused(lead: Caller, content: str) -> None:
    reply = lead.send("POST", "/jobs", content.encode("utf-8", "surrogatepass"), "application/json")
    assert reply.status_code == 400
    assert reply["Content-Type"] == "application/problem+json"


def test_an_escaped_lone_surrogate_is_refused_and_not_a_server_error(lead: Caller) -> None:
    reply = lead.send("POST", "/jobs", r'{"number": "A\ud800", "title": "t"}', "application/json", Idempotency_Key="1")
    assert reply.status_code == 400


def test_a_null_character_is_refused_and_not_a_server_error(lead: Caller) -> None:
    assert fields(problem(lead.post("/jobs", {"number": "A\x00", "title": "t"}), 400, "invalid")) == {"number"}
    problem(lead.get("/parts?number=%00"), 400, "invalid")


@pytest.mark.parametrize("media", ["text/plain", "application/xml", "application/x-www-form-urlencoded", "text/html"])
def test_only_json_is_taken(lead: Caller, media: str) -> None:
    problem(lead.send("POST", "/jobs", "{}", media, Idempotency_Key="1"), 415, "unsupported_media")


@pytest.mark.parametrize("accept", ["text/html", "application/xml", "image/png"])
def test_only_json_is_served(lead: Caller, accept: str) -> None:
    problem(lead.get("/parts", Accept=accept), 406, "not_acceptable")


def test_any_accept_header_that_allows_json_gets_it(lead: Caller) -> None:
    for accept in ("*/*", "application/*", "application/json", "text/html, application/json;q=0.5"):
        ok(lead.get("/parts", Accept=accept))


def test_a_body_over_the_limit_is_refused_with_the_limit(lead: Caller) -> None:
    content = json.dumps({"number": "x" * settings.DATA_UPLOAD_MAX_MEMORY_SIZE})
    body = problem(lead.send("POST", "/jobs", content, "application/json", Idempotency_Key="1"), 413, "too_large")
    assert body["data"]["most"] == settings.DATA_UPLOAD_MAX_MEMORY_SIZE


@pytest.mark.parametrize("content", ["[]", '"text"', "3", "null", "true", "[{}]"])
@pytest.mark.parametrize("path", ["/jobs", "/holds", "/parts", "/dampers", "/fit/nut-on-shaft", "/fit/stack", "/plans"])
def test_where_an_object_is_due_nothing_else_is_taken(lead: Caller, path: str, content: str) -> None:
    problem(lead.send("POST", path, content, "application/json", Idempotency_Key="1"), 400, "invalid")


@pytest.mark.parametrize("opening", ['{"stacks":', "["])
def test_deep_nesting_is_refused(lead: Caller, opening: str) -> None:
    closing = "}" if opening.startswith("{") else "]"
    content = opening * 20_000 + "1" + closing * 20_000
    assert lead.send("POST", "/fit/stack", content, "application/json").status_code == 400


# --- query parameters


@pytest.mark.parametrize(
    "path", ["/parts", "/parts/A", "/lots", "/drawers", "/movements", "/changes", "/deliveries", "/dampers", "/holds"]
)
def test_an_unknown_query_parameter_is_named_with_those_there_are(lead: Caller, path: str) -> None:
    body = problem(lead.get(f"{path}?colour=red"), 400, "unknown_parameter")
    assert "colour" in body["detail"]
    assert ("page_size" in body["detail"]) == (path != "/parts/A")


def test_a_command_takes_no_query_parameter(lead: Caller) -> None:
    problem(lead.post("/jobs?dry=1", {"number": "J", "title": "t"}), 400, "unknown_parameter")


@pytest.mark.parametrize("size", ["0", "201", "abc", "-1", "1.5", "", "٣", "1e2", "9" * 20, "+5"])
@pytest.mark.parametrize("path", ["/parts", "/changes", "/holds"])
def test_a_page_size_outside_1_to_200_is_refused(lead: Caller, path: str, size: str) -> None:
    from urllib.parse import quote

    body = problem(lead.get(f"{path}?page_size={quote(size)}"), 400, "invalid")
    assert fields(body) == {"page_size"}


def test_page_sizes_of_1_and_200_are_taken(lead: Caller) -> None:
    ok(lead.get("/parts?page_size=1"))
    ok(lead.get("/parts?page_size=200"))


@pytest.mark.parametrize(
    "cursor", ["x", "%00", "bm8", "W10", "WzEsMl0", "WyIxIl0", "Wy0xXQ", "WzEuNV0", "W3RydWVd", "e30", "%F0%9F%94%A9"]
)
def test_a_cursor_that_was_never_given_is_refused(lead: Caller, cursor: str) -> None:
    """Not base64, not JSON, no list, too many numbers, a text, below zero, a fraction, true, an object, no ASCII."""
    problem(lead.get(f"/parts?cursor={cursor}"), 400, "bad_cursor")


def test_a_cursor_of_deep_json_is_refused(lead: Caller) -> None:
    import base64

    deep = base64.urlsafe_b64encode(b"[" * 30_000).decode().rstrip("=")
    problem(lead.get(f"/parts?cursor={deep}"), 400, "bad_cursor")


@pytest.mark.parametrize("name", ["od_mm_min", "thickness_mm_max"])
@pytest.mark.parametrize("value", ["thin", "0.15 mm", "0.0001", "NaN", "Infinity", "1e400"])
def test_a_size_filter_that_is_no_length_is_refused(lead: Caller, name: str, value: str) -> None:
    assert fields(problem(lead.get(f"/parts?{name}={value}"), 400, "invalid")) == {name}


# --- fields


@pytest.mark.parametrize(
    ("path", "body", "field"),
    [
        ("/jobs", {"number": "J", "title": "t", "titel": "t"}, "titel"),
        ("/parts", {**part(), "colour": "red"}, "colour"),
        ("/parts", part(colour="red"), "sizes.colour"),
        ("/holds", {"lines": [{"part": "A", "quantity": 1, "qty": 1}]}, "lines.0.qty"),
        ("/fit/spacer", spacer(hight_mm=1), "hight_mm"),
        ("/fit/nut-on-shaft", {"shaft": {"pitch": 1}, "nut": {}}, "shaft.pitch"),
        ("/dampers", {**damper_document(), "shaft_end": {"lip": 1}}, "shaft_end.lip"),
    ],
)
def test_a_misspelt_field_is_refused_by_its_path(lead: Caller, path: str, body: Any, field: str) -> None:
    assert fields(problem(lead.post(path, body), 400, "invalid")) == {field}


@pytest.mark.parametrize("value", ["0.15", "0.15 mm", "0,15", True, False, None, [], {}, [0.15], {"min": 0.15}])
def test_a_length_is_a_number_and_nothing_else(lead: Caller, value: Any) -> None:
    assert fields(problem(lead.ask("/fit/spacer", spacer(clamp_od_mm=value)), 400, "invalid")) == {"clamp_od_mm"}


@pytest.mark.parametrize("value", ["0.15", "0.15 mm", "0,15", True, False, None, [], {}, [0.15]])
def test_a_size_of_a_part_is_a_number_and_nothing_else(lead: Caller, value: Any) -> None:
    assert problem(lead.post("/parts", part(thickness_mm=value)), 400, "invalid")["errors"]


@pytest.mark.parametrize("value", [0.1501, 1e-4, 20.00005, -0.15, 0, 1e9, 25_400, 1e308])
def test_more_than_three_decimals_and_absurd_lengths_are_refused(lead: Caller, value: float) -> None:
    assert fields(problem(lead.ask("/fit/spacer", spacer(clamp_od_mm=value)), 400, "invalid")) == {"clamp_od_mm"}
    assert problem(lead.post("/parts", part(od_mm=value)), 400, "invalid")["errors"]


@pytest.mark.parametrize("value", [0.15, 0.1, 0.125, 0.3, 4.35, 2])
def test_three_decimals_are_taken_exactly_as_written(lead: Caller, value: float) -> None:
    made = ok(lead.post("/parts", part(thickness_mm=value)), 201)
    assert made["sizes"]["thickness_mm"] == value


@pytest.mark.parametrize("literal", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_numbers_that_are_none_are_refused(lead: Caller, literal: str) -> None:
    content = json.dumps(spacer(clamp_od_mm=0)).replace('"clamp_od_mm": 0', f'"clamp_od_mm": {literal}')
    reply = lead.send("POST", "/fit/spacer", content, "application/json")
    assert reply.status_code == 400
    assert reply["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize("reading", [{"min": 2, "max": 1}, {"min": 1}, {"min": 1, "max": 2, "nominal": 3}, {"low": 1}])
def test_a_range_that_is_none_is_refused(lead: Caller, reading: Any) -> None:
    assert fields(problem(lead.ask("/fit/spacer", spacer(stack_height_mm=reading)), 400, "invalid")) == {
        "stack_height_mm"
    }


@pytest.mark.parametrize("quantity", [0, -1, 1.0, 1.5, "1", True, None, 1_000_001, 10**30])
def test_a_quantity_is_a_whole_number_within_reason(lead: Caller, quantity: Any) -> None:
    body = {"lines": [{"part": "A", "quantity": quantity}]}
    assert fields(problem(lead.post("/holds", body), 400, "invalid")) == {"lines.0.quantity"}


@pytest.mark.parametrize("number", ["", " ", "x" * 41, "a\nb", "a\tb", 7, None, ["a"], {"a": 1}])
def test_a_name_is_a_short_text_on_one_line(lead: Caller, number: Any) -> None:
    assert fields(problem(lead.post("/jobs", {"number": number, "title": "t"}), 400, "invalid")) == {"number"}


def test_a_flag_is_true_or_false_and_no_word(lead: Caller) -> None:
    for value in ("yes", "true", 1, 0, "off"):
        problem(lead.ask("/fit/spacer", spacer(take_offs=value)), 400, "invalid")


# --- stacks


def test_thousands_of_shims_are_refused(lead: Caller, damper: str) -> None:
    shim = {"od_mm": 30, "thickness_mm": 0.1, "quantity": 1}
    for lines in ([shim] * 4_000, [{**shim, "quantity": 10_000}], [{**shim, "quantity": 150}] * 2):
        stacks = {"compression": lines}
        problem(lead.ask("/fit/stack", {"damper": damper, "stacks": stacks}), 400, "invalid")
        problem(lead.ask("/plans", {"damper": damper, "stacks": stacks}), 400, "invalid")


@pytest.mark.parametrize("stacks", [{}, {"compression": []}, {"compression": [], "rebound": []}])
def test_an_empty_stack_is_refused(lead: Caller, damper: str, stacks: Any) -> None:
    assert fields(problem(lead.ask("/fit/stack", {"damper": damper, "stacks": stacks}), 400, "invalid")) == {"stacks"}
    assert fields(problem(lead.ask("/plans", {"damper": damper, "stacks": stacks}), 400, "invalid")) == {"stacks"}


def test_every_wrong_line_is_named_by_its_path(lead: Caller, damper: str) -> None:
    good = {"od_mm": 30, "thickness_mm": 0.1, "quantity": 1}
    stacks = {"compression": [good, {**good, "od_mm": "30"}], "rebound": [{**good, "bore_mm": 30}]}
    body = problem(lead.ask("/fit/stack", {"damper": damper, "stacks": stacks}), 400, "invalid")
    assert fields(body) == {"stacks.compression.1.od_mm", "stacks.rebound.0.bore_mm"}


# --- what comes back


def test_markup_in_names_comes_back_as_json_and_nothing_else(lead: Caller) -> None:
    title = "<script>alert('x')</script> & \"quoted\""
    reply = lead.post("/jobs", {"number": "<b>J", "title": title})
    assert ok(reply, 201)["title"] == title
    assert reply["X-Content-Type-Options"] == "nosniff"
    assert ok(lead.get("/jobs"))["results"][0]["number"] == "<b>J"


def test_markup_in_an_address_comes_back_as_json_and_nothing_else(lead: Caller) -> None:
    reply = lead.get("/parts/<script>alert(1)<script>")
    problem(reply, 404, "not_found")
    assert reply["X-Content-Type-Options"] == "nosniff"


def test_a_refusal_changes_nothing(lead: Caller) -> None:
    balance = factories.stocked(factories.shim(number="A"), 5)
    problem(lead.post("/holds", {"lines": [{"part": "A", "quantity": 6}]}), 409, "out_of_stock")
    assert Balance.objects.get(pk=balance.pk).held == 0
    assert ok(lead.get("/holds"))["results"] == []


def test_an_unforeseen_error_is_a_problem_without_its_innards(lead: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    from inventory.api import jobs

    def broken(**_: Any) -> None:
        raise RuntimeError("the secret of the house")

    monkeypatch.setattr(jobs, "open_job", broken)
    reply = lead.post("/jobs", {"number": "J", "title": "t"})
    problem(reply, 500, "server_error")
    assert b"secret" not in reply.content


def broken_rule(*_: Any, **__: Any) -> None:
    """A fault of the program, not of what was asked."""
    raise ValueError("the secret of the house")


def test_a_fault_inside_a_rule_is_a_500_with_a_request_id_and_blames_nobody(
    lead: Caller, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr("compat.engineering.face._land", broken_rule)
    reply = lead.ask("/fit/face-shim", {})
    found = problem(reply, 500, "server_error")
    assert found["errors"] == []
    assert len(found["request_id"]) == 32 and found["request_id"] == reply["X-Request-Id"]
    assert found["request_id"] in found["detail"]
    assert b"secret" not in reply.content
    with_trace = [one for one in caplog.records if one.exc_info and found["request_id"] in one.getMessage()]
    assert len(with_trace) == 1
    assert "the secret of the house" in caplog.text and "broken_rule" in caplog.text


def test_every_answer_has_a_request_id_of_its_own(lead: Caller) -> None:
    replies = [lead.get("/kinds"), lead.get("/nothing"), lead.ask("/fit/face-shim", {"shim_od_mm": -1})]
    ids = {reply["X-Request-Id"] for reply in replies}
    assert len(ids) == 3 and all(re.fullmatch("[0-9a-f]{32}", one) for one in ids)


def test_a_request_id_that_is_sent_is_not_taken_over(lead: Caller) -> None:
    """It stands in the log, where nobody outside writes."""
    assert lead.get("/kinds", X_Request_Id="mine")["X-Request-Id"] != "mine"


def test_a_database_that_stays_busy_is_a_503_with_retry_after(lead: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    from inventory.api import jobs
    from inventory.common.errors import DomainError

    def busy(**_: Any) -> None:
        raise DomainError("too_busy", seconds=10)

    monkeypatch.setattr(jobs, "open_job", busy)
    reply = lead.post("/jobs", {"number": "J", "title": "t"})
    problem(reply, 503, "too_busy")
    assert int(reply["Retry-After"]) > 0


def test_too_many_requests_are_a_429_with_retry_after_for_this_client_only(
    lead: Caller, tuner: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache.clear()
    monkeypatch.setattr(settings, "REQUESTS_PER_MINUTE", 2)
    assert [lead.get("/parts").status_code for _ in range(2)] == [200, 200]
    reply = lead.get("/parts")
    problem(reply, 429, "too_many_requests")
    assert 0 < int(reply["Retry-After"]) <= 60
    ok(tuner.get("/parts"))
    cache.clear()


def test_every_error_has_a_title_and_a_sentence_of_its_own() -> None:
    for kind in ERRORS.values():
        assert 400 <= kind.status < 600
        assert kind.title and kind.text.endswith((".", "}"))
    assert len({kind.title for kind in ERRORS.values()}) == len(ERRORS)
