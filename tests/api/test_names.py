"""What people and programs may call things, and dates that decide what is given out first."""

from __future__ import annotations

import pytest

from tests.api.conftest import Caller, fields, ok, problem

pytestmark = pytest.mark.django_db

SIZES = {"od_mm": 30, "thickness_mm": 0.2, "bore_mm": 12}


@pytest.mark.parametrize("name", ["=1+1", "+A", "-2", "@SUM(A1)"])
def test_a_name_that_a_spreadsheet_would_run_is_refused(lead: Caller, name: str) -> None:
    part = {"number": name, "kind": "shim", "name": name, "sizes": SIZES}
    body = problem(lead.post("/parts", part), 400, "invalid")
    assert fields(body) == {"number", "name"}


def test_a_part_with_a_slash_in_its_number_can_be_read(lead: Caller) -> None:
    ok(lead.post("/parts", {"number": "NU-1/2-20 ?", "kind": "shim", "name": "Odd", "sizes": SIZES}), 201)
    assert ok(lead.get("/parts/NU-1/2-20%20%3F"))["number"] == "NU-1/2-20 ?"


def test_what_stands_inside_an_address_has_no_slash(lead: Caller) -> None:
    assert fields(problem(lead.post("/jobs", {"number": "J/1", "title": "x"}), 400, "invalid")) == {"number"}
    damper = {"code": "D/1", "name": "x", "valves": [{"code": "main"}]}
    assert fields(problem(lead.post("/dampers", damper), 400, "invalid")) == {"code"}


@pytest.mark.parametrize("day", ["0026-03-31", "1949-12-31", "2030-03-05", "9999-12-31"])
def test_a_delivery_comes_in_on_a_day_that_can_be(lead: Caller, clock: object, day: str) -> None:
    """The clock stands at 2030-03-04."""
    body = problem(lead.post("/deliveries", {"number": "D-9", "received_on": day}), 400, "invalid")
    assert fields(body) == {"received_on"}


def test_a_lot_is_as_old_as_its_delivery(lead: Caller, clock: object) -> None:
    ok(lead.post("/parts", {"number": "P", "kind": "shim", "name": "Shim", "sizes": SIZES}), 201)
    made = ok(lead.post("/deliveries", {"number": "D-9", "received_on": "2029-11-30"}), 201)
    line = {"part": "P", "lot": "L", "drawer": "A", "quantity": 3}
    ok(lead.post(f"/deliveries/{made['id']}/lines", line), 201)
    assert ok(lead.get("/lots?number=L"))["results"][0]["received_on"] == "2029-11-30"


@pytest.mark.parametrize("shaft", [0, 0.001, 0.1, 0.999])
def test_a_shaft_of_nearly_nothing_is_refused(lead: Caller, shaft: float) -> None:
    stacks = {"compression": [{"od_mm": 40, "thickness_mm": 0.3, "quantity": 1}]}
    body = problem(lead.ask("/fit/stack", {"stacks": stacks, "shaft_mm": shaft}), 400, "invalid")
    assert fields(body) == {"shaft_mm"}


def test_a_storefront_does_not_look_into_lots(storefront: Caller) -> None:
    line = {"od_mm": 40, "thickness_mm": 0.3, "quantity": 1, "bore_mm": 12, "lot": "L"}
    body = problem(storefront.ask("/fit/stack", {"stacks": {"compression": [line]}}), 400, "invalid")
    assert fields(body) == {"stacks"}


@pytest.mark.parametrize("path", ["/holds?job=%00", "/parts/%00", "/jobs/a%0Ab", "/dampers/%1F"])
def test_control_characters_in_an_address_are_refused(lead: Caller, path: str) -> None:
    assert lead.get(path).status_code in {400, 404}


def test_a_command_at_an_address_with_a_control_character_is_a_404(storefront: Caller) -> None:
    problem(storefront.post("/holds/%00/confirm", {}), 404, "not_found")
