"""Readings over HTTP: listed with their ids, withdrawn by a command that happens once."""

from __future__ import annotations

import pytest

from tests import factories
from tests.api.conftest import Caller, fields, ok, problem
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def lot(clock: HeldClock) -> None:
    factories.stocked(factories.shim(34, 0.15), 9, lot="L/1", readings_um=[149, 180])


def test_a_reading_is_withdrawn_once_and_says_by_whom(clerk: Caller, tuner: Caller) -> None:
    (lot,) = ok(clerk.get("/lots"))["results"]
    assert [(one["mm"], one["withdrawn"]) for one in lot["readings"]] == [(0.149, None), (0.18, None)]
    path = f"/lots/L/1/readings/{lot['readings'][1]['id']}/withdraw"
    first = ok(clerk.post(path, {"reason": "another bag's"}, once="k"))
    assert first["thickness"] == {"readings": 1, "mean_mm": 0.149, "min_mm": 0.149, "max_mm": 0.149}
    gone = first["readings"][1]["withdrawn"]
    assert (gone["reason"], gone["at"]) == ("another bag's", "2030-03-04T09:00:00.000Z")
    assert ok(clerk.post(path, {"reason": "another bag's"}, once="k")) == first
    refused = problem(clerk.post(path, {"reason": "again"}), 409, "reading_withdrawn")
    assert refused["data"]["lot"] == "L/1"
    assert ok(tuner.get("/lots"))["results"] == [first]


def test_what_is_wrong_with_it_is_said(clerk: Caller) -> None:
    reading = ok(clerk.get("/lots"))["results"][0]["readings"][0]["id"]
    for body in ({}, {"reason": ""}, {"reason": "x" * 201}):
        assert fields(problem(clerk.post(f"/lots/L/1/readings/{reading}/withdraw", body), 400, "invalid")) == {"reason"}
    for path, said in (
        ("/lots/L/1/readings/999999/withdraw", "There is no reading 999999 of lot L/1."),
        ("/lots/L/1/readings/x/withdraw", "There is no reading x of lot L/1."),
        ("/lots/L-9/readings/1/withdraw", "There is no lot L-9."),
    ):
        body = problem(clerk.post(path, {"reason": "another bag's"}), 404, "not_found")
        assert body["detail"] == said
