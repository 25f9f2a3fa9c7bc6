"""A command sent twice happens once."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from inventory.idempotency.models import RememberedAnswer
from inventory.jobs.models import Job
from inventory.stock.models import Balance
from tests import factories, people
from tests.api.conftest import STACKS, Caller, caller, damper_document, job, measured, ok, problem, saved_damper
from tests.api.routes import Route, routes, views
from tests.compat.questions.rooms import tried
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db
QUESTIONS = {*(f"/fit/{slug}" for slug in tried()), "/plans"}
WRITES = [route for route in routes() if route.method != "GET" and route.path not in QUESTIONS]
NEW_JOB = {"number": "J-9", "title": "Halvik, rear left"}


@pytest.fixture
def balance(db: None) -> Balance:
    return factories.stocked(factories.shim(number="A"), 10, lot="LOT-A")


def held(balance: Balance) -> int:
    return Balance.objects.get(pk=balance.pk).held


def good(route: Route) -> tuple[str, Any]:
    """A body that would be carried out, and its address."""
    bodies: dict[str, Any] = {
        "/parts": {"number": "N", "kind": "nut", "name": "n", "sizes": {"thread": "M12x1.25", "height_mm": 10}},
        "/deliveries": {"number": "D-1"},
        "/deliveries/{}/lines": {"part": "A", "lot": "L", "drawer": "A-01", "quantity": 1},
        "/counts": {"lot": "LOT-A", "drawer": "A-01", "counted": 5},
        "/dampers": damper_document(),
        "/dampers/{}": damper_document(),
        "/dampers/{}/stacks": {"name": "s", "stacks": STACKS},
        "/dampers/{}/calibrations": measured(),
        "/holds": {"lines": [{"part": "A", "quantity": 1}]},
        "/jobs": NEW_JOB,
        "/lots/{}/readings/{}/withdraw": {"reason": "taken with the wrong gauge"},
    }
    return route.path.replace("{}", "HA-46" if "dampers" in route.path else "1"), bodies.get(route.path, {})


@pytest.mark.parametrize("route", WRITES, ids=str)
def test_every_command_needs_a_key(lead: Caller, balance: Balance, route: Route) -> None:
    import json

    if route.path.startswith("/dampers/"):
        saved_damper()
    path, body = good(route)
    if route.path == "/plans/{}/hold":
        number = ok(lead.ask("/plans", {"damper": saved_damper(), "stacks": STACKS}))["plan"]
        path = f"/plans/{number}/hold"
    content = json.dumps(body)
    for headers in ({}, {"Idempotency_Key": ""}, {"Idempotency_Key": "k" * 201}):
        reply = lead.send(route.method, path, content, "application/json", If_Match='"1"', **headers)
        problem(reply, 400, "idempotency_key_missing")


def test_questions_need_none() -> None:
    marked = {path for path, view in views().items() if "POST" in getattr(view, "questions", ())}
    assert marked == QUESTIONS


def test_the_same_command_again_gets_the_first_answer_and_says_so(storefront: Caller, balance: Balance) -> None:
    body = {"lines": [{"part": "A", "quantity": 3}]}
    first = storefront.post("/holds", body, once="order-1")
    again = storefront.post("/holds", body, once="order-1")
    assert "Idempotency-Replayed" not in first
    assert again["Idempotency-Replayed"] == "true"
    assert ok(again, 201) == ok(first, 201)
    assert held(balance) == 3


def test_the_order_of_fields_and_spaces_make_no_other_command(storefront: Caller, balance: Balance) -> None:
    one = '{"lines":[{"part":"A","quantity":3}],"minutes":5}'
    other = '{ "minutes": 5, "lines": [ {"quantity": 3, "part": "A"} ] }'
    first = storefront.send("POST", "/holds", one, "application/json", Idempotency_Key="order-1")
    again = storefront.send("POST", "/holds", other, "application/json", Idempotency_Key="order-1")
    assert ok(again, 201) == ok(first, 201)
    assert held(balance) == 3


def test_another_body_under_the_same_key_is_a_422(storefront: Caller, balance: Balance) -> None:
    ok(storefront.post("/holds", {"lines": [{"part": "A", "quantity": 3}]}, once="order-1"), 201)
    other = storefront.post("/holds", {"lines": [{"part": "A", "quantity": 4}]}, once="order-1")
    problem(other, 422, "idempotency_key_reused")
    assert held(balance) == 3


def test_the_same_key_of_another_client_is_another_command(
    storefront: Caller, outsider: Caller, balance: Balance
) -> None:
    body = {"lines": [{"part": "A", "quantity": 3}]}
    mine = ok(storefront.post("/holds", body, once="order-1"), 201)
    theirs = outsider.post("/holds", body, once="order-1")
    assert "Idempotency-Replayed" not in theirs
    assert ok(theirs, 201)["id"] != mine["id"]
    assert held(balance) == 6


def test_the_key_belongs_to_the_client_whichever_of_its_api_keys_it_uses(balance: Balance) -> None:
    body = {"lines": [{"part": "A", "quantity": 3}]}
    first = caller(people.storefront()).post("/holds", body, once="order-1")
    again = caller(people.storefront()).post("/holds", body, once="order-1")
    assert ok(again, 201) == ok(first, 201)
    assert held(balance) == 3


def test_the_same_key_at_another_address_is_another_command(lead: Caller) -> None:
    ok(lead.post("/jobs", NEW_JOB, once="k"), 201)
    ok(lead.post("/deliveries", {"number": "D-1"}, once="k"), 201)


@pytest.mark.django_db(transaction=True)
def test_a_refusal_is_final_even_when_the_shelf_has_more_meanwhile(
    storefront: Caller, clerk: Caller, balance: Balance
) -> None:
    """The shop was told "no, do not retry"; a first try that comes late must hold nothing."""
    body = {"lines": [{"part": "A", "quantity": 12}]}
    refused = problem(storefront.post("/holds", body, once="order-1"), 409, "out_of_stock")
    ok(clerk.post("/counts", {"lot": "LOT-A", "drawer": "A-01", "counted": 20}), 201)
    late = storefront.post("/holds", body, once="order-1")
    assert late["Idempotency-Replayed"] == "true"
    assert problem(late, 409, "out_of_stock") == refused
    assert held(balance) == 0
    # The buyer who tries again does so under a new key.
    ok(storefront.post("/holds", body, once="order-1 second try"), 201)
    assert held(balance) == 12


@pytest.mark.django_db(transaction=True)
def test_the_status_of_a_key_can_be_asked_for(storefront: Caller, outsider: Caller, balance: Balance) -> None:
    def status(key: str) -> list[dict[str, Any]]:
        return list(ok(storefront.get(f"/commands?key={key}"))["results"])

    assert status("order-1") == []
    held = ok(storefront.post("/holds", {"lines": [{"part": "A", "quantity": 3}]}, once="order-1"), 201)
    refused = problem(
        storefront.post("/holds", {"lines": [{"part": "A", "quantity": 12}]}, once="order-2"), 409, "out_of_stock"
    )
    assert [(one["outcome"], one["status"], one["body"]) for one in status("order-1")] == [("done", 201, held)]
    assert [(one["outcome"], one["status"], one["body"]) for one in status("order-2")] == [("refused", 409, refused)]
    assert ok(outsider.get("/commands?key=order-1"))["results"] == [], "another client's"
    problem(storefront.get("/commands"), 400, "invalid")


@pytest.mark.django_db(transaction=True)
def test_an_error_that_nobody_foresaw_is_not_remembered(lead: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    from inventory.api import jobs

    with monkeypatch.context() as patch:
        patch.setattr(jobs, "show", lambda _: 1 / 0)
        problem(lead.post("/jobs", NEW_JOB, once="k"), 500, "server_error")
    assert not RememberedAnswer.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_work_done_before_an_error_is_undone_with_the_key(lead: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    from inventory.api import jobs

    with monkeypatch.context() as patch:
        patch.setattr(jobs, "show", lambda _: 1 / 0)
        problem(lead.post("/jobs", NEW_JOB, once="k"), 500, "server_error")
    assert not Job.objects.exists()
    assert "Idempotency-Replayed" not in lead.post("/jobs", NEW_JOB, once="k")
    assert Job.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_an_answer_is_remembered_for_24_hours_and_no_longer(lead: Caller, clock: HeldClock) -> None:
    first = ok(lead.post("/jobs", NEW_JOB, once="k"), 201)
    clock.advance(hours=24)
    assert ok(lead.post("/jobs", NEW_JOB, once="k"), 201) == first
    clock.set(clock.time + timedelta(seconds=1))
    problem(lead.post("/jobs", NEW_JOB, once="k"), 409, "conflict")
    # Now the refusal is what the key stands for, again for a day.
    other = {"number": "J-10", "title": "another body"}
    problem(lead.post("/jobs", other, once="k"), 422, "idempotency_key_reused")
    clock.advance(hours=25)
    ok(lead.post("/jobs", other, once="k"), 201)


def test_what_the_first_answer_said_stays_even_when_the_world_moves_on(storefront: Caller, balance: Balance) -> None:
    body = {"lines": [{"part": "A", "quantity": 3}]}
    first = ok(storefront.post("/holds", body, once="order-1"), 201)
    ok(storefront.post(f"/holds/{first['id']}/release", {}))
    assert ok(storefront.post("/holds", body, once="order-1"), 201)["state"] == "open"
    assert held(balance) == 0


def test_a_key_of_200_characters_is_taken_and_any_characters_in_it(lead: Caller) -> None:
    ok(lead.post("/jobs", NEW_JOB, once="k" * 200), 201)
    ok(lead.post("/jobs", {"number": job("J-1") + "b", "title": "t"}, once="a/b c:1?#"), 201)


def test_a_long_address_does_not_break_the_memory(lead: Caller) -> None:
    """The path is kept with a limit; a longer one must be refused, not fail."""
    reply = lead.post(f"/dampers/{'x' * 400}/stacks", {"name": "s", "stacks": STACKS})
    assert reply.status_code in (400, 404)
