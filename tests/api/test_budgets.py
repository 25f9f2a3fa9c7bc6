"""Every address of the API keeps its budget, whoever sends it whatever the document allows, and a little that it does
not: no error of the program, no answer that swells."""

from __future__ import annotations

import json
import random
import re
import time
from typing import Any

import pytest

from inventory.people.roles import Role
from tests import factories, full_shop
from tests.api.conftest import STACKS, Caller, Json, caller, job, lay_in, line, measured, ok, saved_damper, sealing
from tests.api.conftest import damper_document as a_damper
from tests.api.routes import routes
from tests.api.rubbish import LENGTHS, WORDS, WRONG
from tests.api.shapes import resolved
from tests.api.test_fit_rubbish import SENSIBLE, spoiled
from tests.api.test_openapi import operations
from tests.budgets import API, LARGEST_KB, STALLED_S
from tests.compat.questions.rooms import can_fit
from tests.people import clerk, lead, storefront, tuner

CASES = can_fit()
ACTORS = {Role.CLERK: clerk, Role.TUNER: tuner, Role.LEAD: lead, Role.STOREFRONT: storefront}
TIMES = {Role.LEAD: 12}
LONG = ("x" * 5_000, "1\t" * 2_000, " " * 9_000, "((((" * 500, "M12" * 1_000, "ﷺ" * 3_000, "1" * 6_000, '"' * 20_000)
QUERY = {"page_size": ("200", "1", "0", "9" * 40), "cursor": ("", "WzFd", "x" * 900), "kind": ("shim", "oring", "z")}


# What most fields of these names hold, so that not all that is sent is about nothing.
KNOWN = {"damper": "HA-46", "part": full_shop.SHIM, "lot": "FS00001", "drawer": full_shop.SHIM_DRAWER, "job": "J-1"}
KNOWN |= {"thread": "M12x1.25", "code": "main", "valve": "main", "kind": "piston", "motion": "dynamic"}


# Whole commands, sent as they are and with some of it spoiled; of the questions there are such in other tests.
WHOLE: dict[str, Any] = {
    "POST /plans": {"damper": "HA-46", "stacks": {"rebound": [line(30, 0.15, 60), *STACKS["rebound"]]}},
    "POST /plans/{}/hold": {"job": "J-1"},
    "POST /parts": {"number": "P", "kind": "shim", "name": "p", "sizes": {"od_mm": 9, "thickness_mm": 1, "bore_mm": 6}},
    "POST /holds": {"lines": [{"part": full_shop.SHIM, "quantity": 5}, {"lot": "FS00001", "quantity": 1}]},
    "POST /deliveries/{}/lines": {"part": full_shop.SHIM, "lot": "N-1", "drawer": "A-01", "quantity": 5},
    "POST /dampers/{}/calibrations": measured(),
    "POST /dampers/{}/stacks": {"name": "t", "stacks": STACKS},
    "PUT /dampers/{}": a_damper(),
    "POST /fit/stack": {"damper": "HA-46", "stacks": STACKS},
    "POST /fit/parts-by-size": {"text": "30x0.15"},
}


def whole(route: str, draw: random.Random) -> Any:
    """A body that makes sense; None where none is at hand."""
    question = route.removeprefix("POST /fit/")
    if question in CASES:
        return CASES[question](draw)
    return WHOLE.get(route, SENSIBLE.get(question))


def made(document: Json, schema: Json, draw: random.Random, depth: int = 0) -> Any:
    """A value that a schema allows, or nearly: now and then a wrong one, a long one, or far too many."""
    if draw.random() < 0.01:
        return draw.choice((*WRONG, *LONG))
    schema = resolved(document, schema)
    for several in ("oneOf", "anyOf"):
        if several in schema:
            return made(document, draw.choice(schema[several]), draw, depth)
    if "allOf" in schema:
        return made(document, schema["allOf"][0], draw, depth)
    if "enum" in schema:
        return draw.choice(schema["enum"])
    kind = schema.get("type", "object")
    kind = draw.choice(kind) if isinstance(kind, list) else kind
    if kind == "object":
        named = schema.get("properties", {})
        told = [name for name in named if name in schema.get("required", ()) or draw.random() < 0.6]
        found = {name: made(document, named[name], draw, depth + 1) for name in told}
        found |= {name: KNOWN[name] for name in told if name in KNOWN and draw.random() < 0.8}
        if draw.random() < 0.03:
            found |= {f"unknown_{number}": None for number in range(draw.choice((1, 3_000)))}
        return found
    if kind == "array":
        number = draw.choice((0, 1, 1, 2, 3, 5)) if draw.random() > 0.02 else 2_000
        items = [made(document, schema.get("items", {}), draw, depth + 1) for _ in range(min(number, 5))]
        return (items * (number // max(1, len(items)) + 1))[:number] if items else []
    if kind == "string":
        if schema.get("format") == "date":
            return draw.choice(("2025-03-04", "2031-01-01", "2025-13-40", "x"))
        return draw.choice(LONG) if draw.random() < 0.05 else draw.choice(WORDS)
    if kind in ("number", "integer"):
        return draw.choice(LENGTHS) if kind == "number" else draw.choice((0, 1, 1, 2, 3, 50, 200, 10**6))
    return {"boolean": draw.random() < 0.5, "null": None}.get(kind)


@pytest.fixture
def shop(db: None) -> dict[str, list[str]]:
    """A full shelf and one of everything; gives what stands in addresses, by the word before it."""
    by = caller(lead())
    saved_damper({**a_damper(), **sealing()})
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for side in STACKS.values() for one in side}.values())
    factories.stocked(factories.nut(number="OWN-NUT", locking="compound"), 5, lot="L-OWN-NUT", drawer="N-00")
    full_shop.fill(300)
    delivery = ok(by.post("/deliveries", {"number": "D-1", "supplier": "Ostrel Springs"}), 201)["id"]
    job()
    hold = ok(by.post("/holds", {"lines": [{"part": full_shop.SHIM, "quantity": 400}], "minutes": 9}), 201)["id"]
    plan = ok(by.ask("/plans", {"damper": "HA-46", "stacks": {"rebound": [line(30, 0.15, 60)]}}))["plan"]
    kept = ok(by.post("/dampers/HA-46/calibrations", measured()), 201)["id"]
    ok(by.post("/dampers/HA-46/stacks", {"name": "s", "stacks": STACKS}), 201)
    reading = next(by.walk("/lots?number=FS00001"))["readings"][0]["id"]
    return {
        "parts": [full_shop.SHIM, "OWN-NUT", "nothing"],
        "lots": ["FS00001", "none"],
        "readings": [str(reading), "0"],
        "deliveries": [delivery, "x" * 300],
        "dampers": ["HA-46", "none"],
        "calibrations": [str(kept), "9" * 60],
        "holds": [hold, "-1"],
        "jobs": ["J-1", "none"],
        "plans": [plan, "0"],
    }


@pytest.mark.django_db
def test_every_route_has_a_budget_and_no_other() -> None:
    assert {str(route) for route in routes()} == set(API)
    assert all(budget.kilobytes <= LARGEST_KB and budget.seconds < STALLED_S for budget in API.values())


@pytest.mark.parametrize("role", sorted(ACTORS))
def test_whatever_is_sent_is_answered_within_the_budget(role: Role, shop: dict[str, list[str]]) -> None:
    by, draw = caller(ACTORS[role]()), random.Random(role)
    document: Json = by.get("/schema", Accept="application/json").json()
    described = operations(document)
    slowest: list[tuple[float, str]] = []
    wrong: list[str] = []
    answered: set[str] = set()
    for route in routes():
        budget, operation = API[str(route)], described.get(str(route), {})
        body = operation.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema")
        names = [one["name"] for one in operation.get("parameters", ()) if one["in"] == "query"]
        for number in range(TIMES.get(role, 2)):
            path = _filled(route.path, shop, draw, known=number % 3 != 2)
            asked = {name: draw.choice(QUERY.get(name, WORDS)) for name in names if draw.random() < 0.2}
            if number == 0 and "page_size" in names:
                asked = {"page_size": "200"}
            query = "&".join(f"{name}={value}" for name, value in asked.items() if value.isascii() and " " not in value)
            sent = made(document, body, draw) if body else {}
            if number % 2 == 0 and (sensible := whole(str(route), draw)) is not None:
                sent = spoiled(sensible, draw) if number else sensible
            started = time.perf_counter()
            reply = _send(by, route.method, f"{path}?{query}" if query else path, sent)
            seconds = time.perf_counter() - started
            slowest.append((seconds, str(route)))
            if reply.status_code < 300:
                answered.add(str(route))
            if reply.status_code >= 500 or len(reply.content) > budget.kilobytes * 1000 or seconds > STALLED_S:
                said = f"{len(reply.content)} bytes, {seconds:.1f} s for {json.dumps(sent)[:600]}"
                wrong.append(f"{route} {path} {query}: {reply.status_code}, {said}")
    print(*(f"{seconds:.2f} s {name}" for seconds, name in sorted(slowest, reverse=True)[:5]), sep="\n")
    assert wrong == []
    print(len(answered), "of", len(API), "routes answered; not:", *sorted(set(API) - answered))
    assert len(answered) > (45 if role == Role.LEAD else 18), "hardly anything came through: the rubbish is too wild"


def _filled(path: str, shop: dict[str, list[str]], draw: random.Random, *, known: bool) -> str:
    """An address with what there is, or now and then with what there is not."""

    def one(found: re.Match[str]) -> str:
        choices = shop[found[1]]
        return f"{found[1]}/{choices[0] if known else draw.choice(choices)}"

    return re.sub(r"(\w+)/\{\}", one, path)


def _send(by: Caller, method: str, path: str, body: Any) -> Any:
    if method == "GET":
        return by.get(path)
    return by.put(path, body, If_Match='"1"') if method == "PUT" else by.post(path, body)
