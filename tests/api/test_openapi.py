"""The OpenAPI document is valid, complete, and true: real answers have the shapes that it declares."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from typing import Any

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]  # the library has no types

from tests import factories
from tests.api.conftest import STACKS, Caller, Json, damper_document, line, measured, ok
from tests.api.rewrite_openapi import GOLDEN, text
from tests.api.routes import plain, routes, views
from tests.api.shapes import faults, resolved
from tests.compat.questions.rooms import tried

pytestmark = pytest.mark.django_db
REWRITE = ".venv/bin/python -m tests.api.rewrite_openapi"


@pytest.fixture
def document(lead: Caller) -> Json:
    """The document as a client gets it."""
    reply = lead.get("/schema", Accept="application/json")
    assert reply.status_code == 200
    found: Json = reply.json()
    return found


def test_the_document_is_the_one_on_file(document: Json) -> None:
    """A change of the API shows in the diff of this file, and is looked at."""
    same = GOLDEN.exists() and GOLDEN.read_text(encoding="utf-8") == text(document)
    assert same, f"the OpenAPI document differs from {GOLDEN.name}; when that is meant: {REWRITE}"


def test_the_document_is_served_as_json_to_whoever_does_not_ask_for_another_form(lead: Caller) -> None:
    reply = lead.get("/schema")
    assert reply["Content-Type"].endswith("json")
    assert json.loads(reply.content)["openapi"].startswith("3.1.")


def test_the_document_is_valid_openapi_3_1(document: Json) -> None:
    from drf_spectacular.validation import validate_schema

    assert document["openapi"].startswith("3.1.")
    validate_schema(document)  # type: ignore[no-untyped-call]  # the library has no types
    used = json.dumps(document)
    for name in document["components"]["schemas"]:
        assert f"#/components/schemas/{name}" in used, f"{name} is described and not used"
    for reference in _references(document):
        resolved(document, {"$ref": reference})


def _references(value: Any) -> set[str]:
    if isinstance(value, dict):
        own = {value["$ref"]} if isinstance(value.get("$ref"), str) else set()
        return own.union(*(_references(inner) for inner in value.values()))
    if isinstance(value, list):
        return set[str]().union(*(_references(inner) for inner in value))
    return set()


def operations(document: Json) -> dict[str, Json]:
    """{"GET /parts": operation}."""
    return {
        f"{method.upper()} {plain(path.removeprefix('/api/v1'))}": operation
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    }


def test_every_route_is_in_the_document_and_nothing_else(document: Json) -> None:
    # The document does not describe itself.
    assert set(operations(document)) == {str(route) for route in routes()} - {"GET /schema"}


def test_every_operation_has_a_name_of_its_own_a_key_and_a_described_answer(document: Json) -> None:
    found = operations(document)
    assert len({operation["operationId"] for operation in found.values()}) == len(found)
    schemes = set(document["components"]["securitySchemes"])
    for name, operation in found.items():
        assert operation["security"] and all(set(one) <= schemes for one in operation["security"]), name
        good = [status for status in operation["responses"] if status.startswith("2")]
        assert len(good) == 1, name
        assert operation["responses"][good[0]]["content"]["application/json"]["schema"], name
        assert operation["description"], name


def test_commands_ask_for_an_idempotency_key_and_questions_do_not(document: Json) -> None:
    for name, operation in operations(document).items():
        headers = {one["name"] for one in operation.get("parameters", ()) if one["in"] == "header"}
        question = "/fit/" in name or name.startswith("GET") or name == "POST /plans"
        assert ("Idempotency-Key" in headers) != question, name


def test_an_edit_that_needs_if_match_says_so(document: Json) -> None:
    headers = {one["name"] for one in operations(document)["PUT /dampers/{}"]["parameters"] if one["in"] == "header"}
    assert "If-Match" in headers


def test_every_query_parameter_that_a_list_takes_is_described(document: Json) -> None:
    for path, view in views().items():
        if path == "/schema":
            continue
        described = {
            one["name"]
            for one in operations(document).get(f"GET {path}", {}).get("parameters", ())
            if one["in"] == "query"
        }
        assert described == set(view.parameters) or "get" not in vars(view), path


def test_refusals_are_described_as_problems(document: Json) -> None:
    for name, operation in operations(document).items():
        refusals = [code for code in operation["responses"] if not code.startswith("2")]
        assert refusals, f"{name} describes no refusal"
        for code in refusals:
            assert "application/problem+json" in operation["responses"][code]["content"], name


def test_the_generator_has_nothing_to_complain_about(lead: Caller) -> None:
    from drf_spectacular.drainage import GENERATOR_STATS, reset_generator_stats
    from drf_spectacular.generators import SchemaGenerator

    reset_generator_stats()
    SchemaGenerator().get_schema(request=None, public=True)  # type: ignore[no-untyped-call]  # the library has no types
    said = [str(message) for cache in (GENERATOR_STATS._warn_cache, GENERATOR_STATS._error_cache) for message in cache]
    reset_generator_stats()
    assert said == []


# --- real answers


def answers(lead: Caller, storefront: Caller) -> dict[str, Any]:
    """{"GET /parts": answer} for every route, from real calls."""
    found: dict[str, Any] = {}
    part = {"number": "A", "kind": "shim", "name": "Shim"}
    sizes = {"od_mm": 34, "thickness_mm": 0.15, "bore_mm": 12}
    found["POST /parts"] = ok(lead.post("/parts", {**part, "sizes": sizes}), 201)
    factories.nut(number="N", across_flats_mm=19)
    delivery = {"number": "D-1", "supplier": "Ostrel Springs", "received_on": "2025-03-04"}
    found["POST /deliveries"] = ok(lead.post("/deliveries", delivery), 201)
    at = f"/deliveries/{found['POST /deliveries']['id']}"
    lot = {"part": "A", "lot": "L-1", "drawer": "A-01", "quantity": 50, "readings_mm": [0.15, 0.152, 0.149]}
    lot |= {"unit_cost": {"minor": 120, "currency": "EUR"}, "source": "bag 7"}
    found["POST /deliveries/{}/lines"] = ok(lead.post(f"{at}/lines", lot), 201)
    ok(
        lead.post(f"{at}/lines", {"part": "N", "lot": "L-2", "drawer": "B-01", "quantity": 9, "cure_date": "2026-Q3"}),
        201,
    )
    reading = next(lead.walk("/lots?number=L-1"))["readings"][0]["id"]
    withdraw = f"/lots/L-1/readings/{reading}/withdraw"
    found["POST /lots/{}/readings/{}/withdraw"] = ok(lead.post(withdraw, {"reason": "dirt between the jaws"}))
    found["GET /deliveries/{}"] = ok(lead.get(at))
    found["GET /deliveries/{}/lines"] = ok(lead.get(f"{at}/lines"))
    found["POST /dampers"] = ok(lead.post("/dampers", damper_document()), 201)
    found["PUT /dampers/{}"] = ok(lead.put("/dampers/HA-46", damper_document(), If_Match='"1"'))
    bare = {"code": "BARE", "name": "only a name", "valves": [{"code": "base", "sides": {"compression": {}}}]}
    ok(lead.post("/dampers", bare), 201)
    found["POST /dampers/{}/stacks"] = ok(lead.post("/dampers/HA-46/stacks", {"name": "s", "stacks": STACKS}), 201)
    found["POST /jobs"] = ok(lead.post("/jobs", {"number": "J-1", "title": "t"}, once="of the job"), 201)
    found["GET /commands"] = ok(lead.get("/commands?key=of the job"))
    assert found["GET /commands"]["results"]
    found["POST /holds"] = ok(storefront.post("/holds", {"lines": [{"part": "A", "quantity": 5}]}), 201)
    ok(lead.post("/holds", {"lines": [{"part": "A", "quantity": 5}], "job": "J-1"}), 201)
    hold = f"/holds/{found['POST /holds']['id']}"
    found["GET /holds/{}"] = ok(storefront.get(hold))
    found["POST /holds/{}/extend"] = ok(storefront.post(f"{hold}/extend", {}))
    found["POST /holds/{}/confirm"] = ok(storefront.post(f"{hold}/confirm", {}))
    found["POST /counts"] = ok(lead.post("/counts", {"lot": "L-1", "drawer": "A-01", "counted": 8}), 201)
    found["POST /holds/{}/release"] = ok(storefront.post(f"{hold}/release", {}))
    for path in ("/parts", "/lots", "/drawers", "/movements", "/changes", "/deliveries", "/dampers", "/holds", "/jobs"):
        found[f"GET {path}"] = ok(lead.get(path))
    found["GET /parts/{}"] = ok(lead.get("/parts/A"))
    found["GET /dampers/{}"] = ok(lead.get("/dampers/BARE"))
    found["GET /dampers/{}/stacks"] = ok(lead.get("/dampers/HA-46/stacks"))
    found["GET /dampers/{}/parts"] = ok(lead.get("/dampers/HA-46/parts"))
    found["GET /jobs/{}"] = ok(lead.get("/jobs/J-1"))
    draw = random.Random(1)
    for slug, one in tried().items():
        found[f"POST /fit/{slug}"] = ok(lead.ask(f"/fit/{slug}", one.can_fit(draw) if one.can_fit else one.bare))
    found["GET /buildable"] = ok(lead.get("/buildable"))
    found["POST /dampers/{}/calibrations"] = ok(lead.post("/dampers/HA-46/calibrations", measured()), 201)
    found["GET /dampers/{}/calibrations"] = ok(lead.get("/dampers/HA-46/calibrations"))
    kept = found["POST /dampers/{}/calibrations"]["id"]
    found["POST /dampers/{}/calibrations/{}/withdraw"] = ok(
        lead.post(f"/dampers/HA-46/calibrations/{kept}/withdraw", {})
    )
    found["POST /plans"] = ok(
        lead.ask("/plans", {"damper": "HA-46", "job": "J-1", "stacks": {"rebound": [line(34, 0.15)]}})
    )
    plan = f"/plans/{found['POST /plans']['plan']}"
    found["GET /plans/{}"] = ok(lead.get(plan))
    free = {"damper": "BARE", "valves": [{"code": "base", "stacks": {"compression": [line(34, 0.15, bore_mm=12)]}}]}
    free = ok(lead.ask("/plans", free))
    found["POST /plans/{}/hold"] = ok(lead.post(f"/plans/{free['plan']}/hold", {}), 201)
    return found


def test_real_answers_have_the_shapes_that_the_document_declares(
    lead: Caller, storefront: Caller, document: Json
) -> None:
    described = operations(document)
    found = answers(lead, storefront)
    assert set(found) == set(described)
    wrong = []
    for name, answer in found.items():
        responses = described[name]["responses"]
        good = next(status for status in responses if status.startswith("2"))
        schema = responses[good]["content"]["application/json"]["schema"]
        wrong += [f"{name}: {fault}" for fault in faults(document, schema, answer)]
    assert wrong == []


def test_the_checker_of_shapes_finds_what_is_wrong(document: Json) -> None:
    """A check that cannot fail proves nothing."""
    schema = {"$ref": "#/components/schemas/Part"}
    good = {"number": "A", "kind": "shim", "name": "n", "unit": "piece", "sizes": {}, "on_hand": 1, "held": 0}
    none = {"on_hand": 0, "held": 0, "available": 0, "over_age": 0, "age_to_check": 0}
    good |= {"available": 1, "over_age": 0, "age_to_check": 0, "take_offs": none, "retired": False}
    assert faults(document, schema, good) == []
    for name, value in (("on_hand", "1"), ("on_hand", 1.5), ("on_hand", True), ("retired", 0), ("sizes", [])):
        assert faults(document, schema, {**good, name: value})
    assert faults(document, schema, {**good, "more": 1})
    assert faults(document, schema, {name: value for name, value in good.items() if name != "held"})
    assert faults(document, schema, None)


def _stated(value: Any, path: str = "") -> Iterator[tuple[str, Json]]:
    """(where, schema) of every schema that states a default."""
    if isinstance(value, dict):
        if "default" in value and set(value) & {"type", "$ref", "oneOf", "allOf", "enum"}:
            yield path, value
        for name, inner in value.items():
            yield from _stated(inner, f"{path}/{name}")
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from _stated(inner, f"{path}/{number}")


def refused_defaults(document: Json) -> list[str]:
    """The defaults that their own schema refuses."""
    return [
        f"{where}: {error.message}"
        for where, schema in _stated(document)
        for error in Draft202012Validator({**schema, "components": document["components"]}).iter_errors(
            schema["default"]
        )
    ]


def test_every_schema_is_one_and_takes_its_own_default(document: Json) -> None:
    """Clients that are generated from the document send what it states as a default."""
    for schema in document["components"]["schemas"].values():
        Draft202012Validator.check_schema(schema)
    assert len(list(_stated(document))) > 10
    assert refused_defaults(document) == []
    wrong = {"type": "string", "minLength": 1, "default": ""}
    assert len(refused_defaults({**document, "also": wrong})) == 1


def test_what_the_document_states_as_a_default_is_taken_when_it_is_sent(lead: Caller, document: Json) -> None:
    schemas = document["components"]["schemas"]

    def with_defaults(name: str, **told: Any) -> Json:
        stated = {field: one["default"] for field, one in schemas[name]["properties"].items() if "default" in one}
        return {**stated, **told}

    factories.stocked(factories.shim(34, 0.15, number="A"), 9, lot="L-0")
    delivery = ok(lead.post("/deliveries", with_defaults("NewDeliveryRequest", number="D-1")), 201)
    row = with_defaults("NewLineRequest", part="A", lot="L-1", drawer="A-01", quantity=5)
    ok(lead.post(f"/deliveries/{delivery['id']}/lines", row), 201)
    by_part = with_defaults("WantedLineRequest", part="A", quantity=1)
    by_lot = with_defaults("WantedLineRequest", lot="L-1", quantity=1)
    ok(lead.post("/holds", {"lines": [by_part, by_lot]}), 201)
