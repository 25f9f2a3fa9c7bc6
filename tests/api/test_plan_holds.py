"""Holding a plan: exactly the pieces it shows, all or none, once, and a new plan when the shelf has changed."""

from __future__ import annotations

import pytest

from inventory.common import clock
from inventory.dampers.models import DamperModel
from inventory.holds.requests import Wanted
from inventory.jobs.models import Plan
from tests import factories
from tests.api.conftest import STACKS, Caller, Json, damper_document, fields, job, ok, problem, saved_damper, statements
from tests.api.test_plans import at, drawn, planned
from tests.conftest import HeldClock

# A refusal inside a command must undo what the command did, so its transaction must be a real one.
pytestmark = pytest.mark.django_db(transaction=True)


def held(hold: Json) -> dict[str, int]:
    found: dict[str, int] = {}
    for line in hold["lines"]:
        found[line["lot"]] = found.get(line["lot"], 0) + line["quantity"]
    return found


def test_a_hold_claims_exactly_the_lots_that_the_plan_shows(tuner: Caller, shelf: str) -> None:
    factories.stocked(factories.nut(number="NUT"), 5, lot="L-NUT")
    readings = {"shoulder_to_lip_mm": 22.4, "on_straight_mm": 1.8, "past_lip_mm": 1.8}
    plan = planned(tuner, readings=readings, also=[{"part": "NUT", "quantity": 1}])
    assert plan["spacer"]["lines"]
    hold = ok(tuner.post(f"/plans/{plan['plan']}/hold", {}), 201)
    assert held(hold) == drawn(plan)
    assert ok(tuner.get(f"/holds/{hold['id']}")) == hold
    total = sum(row["held"] for row in tuner.walk("/parts"))
    assert total == sum(drawn(plan).values())


def test_a_hold_for_the_plans_own_job_does_not_lapse(tuner: Caller, shelf: str, clock: HeldClock) -> None:
    plan = planned(tuner, job=job())
    hold = ok(tuner.post(f"/plans/{plan['plan']}/hold", {}), 201)
    assert (hold["purpose"], hold["job"], hold["expires_at"]) == ("job", "J-1", None)
    assert [one["id"] for one in tuner.walk("/holds?job=J-1")] == [hold["id"]]


def test_another_job_may_be_named_and_must_exist(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner, job=job())
    problem(tuner.post(f"/plans/{plan['plan']}/hold", {"job": "J-99"}), 404, "not_found")
    assert ok(tuner.post(f"/plans/{plan['plan']}/hold", {"job": job("J-2")}), 201)["job"] == "J-2"


def test_without_a_job_it_lapses_after_the_minutes(tuner: Caller, shelf: str, clock: HeldClock) -> None:
    plan = planned(tuner)
    hold = ok(tuner.post(f"/plans/{plan['plan']}/hold", {"minutes": 5}), 201)
    assert (hold["purpose"], hold["expires_at"]) == ("web", "2030-03-04T09:05:00.000Z")
    clock.advance(minutes=5)
    assert planned(tuner)["complete"] is True


def test_minutes_with_a_job_are_refused(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner, job=job())
    body = problem(tuner.post(f"/plans/{plan['plan']}/hold", {"minutes": 5}), 400, "invalid")
    assert fields(body) == {"minutes"}


def test_a_plan_is_held_once_until_its_hold_gives_back(tuner: Caller, lead: Caller, shelf: str) -> None:
    plan = planned(tuner)
    path = f"/plans/{plan['plan']}/hold"
    hold = ok(tuner.post(path, {}), 201)
    body = problem(lead.post(path, {}), 409, "plan_already_held")
    assert body["data"]["hold"] == hold["id"]
    ok(tuner.post(f"/holds/{hold['id']}/release", {}))
    again = ok(lead.post(path, {}), 201)
    assert held(again) == held(hold)


def test_the_same_hold_sent_twice_happens_once(tuner: Caller, shelf: str) -> None:
    path = f"/plans/{planned(tuner)['plan']}/hold"
    first, again = (tuner.post(path, {}, once="h-1") for _ in range(2))
    assert ok(first, 201) == ok(again, 201)
    assert again["Idempotency-Replayed"] == "true"


def test_a_changed_shelf_is_a_409_with_a_new_plan_that_can_be_held(
    tuner: Caller, storefront: Caller, shelf: str
) -> None:
    old = planned(tuner, job=job())
    lot = at(old, "main.compression.1")["lots"][0]
    # Nine of ten went to a web order a moment ago, and a new lot lies in another drawer.
    ok(storefront.post("/holds", {"lines": [{"lot": lot["lot"], "quantity": 9}]}), 201)
    other = factories.shim(36, 0.2)
    factories.stocked(other, 5, lot="OTHER", drawer="Z-9", readings_um=[200, 200, 200])
    body = problem(tuner.post(f"/plans/{old['plan']}/hold", {}), 409, "shelf_changed")
    new = body["data"]["plan"]
    assert new["plan"] != old["plan"]
    assert (new["job"], new["complete"], new["verdict"]) == ("J-1", True, "fits")
    assert drawn(new)["OTHER"] >= 1
    assert ok(tuner.get(f"/plans/{new['plan']}")) == new
    assert ok(tuner.get(f"/plans/{old['plan']}")) == old
    assert sum(row["held"] for row in tuner.walk("/parts")) == 9
    hold = ok(tuner.post(f"/plans/{new['plan']}/hold", {}), 201)
    assert held(hold) == drawn(new)
    assert hold["job"] == "J-1"


def test_a_shelf_that_changed_elsewhere_does_not_matter(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner)
    factories.stocked(factories.shim(36, 0.2), 5, drawer="Z-9")
    factories.held(Wanted(quantity=1, lot=at(plan, "main.compression.1")["lots"][0]["lot"]))
    assert held(ok(tuner.post(f"/plans/{plan['plan']}/hold", {}), 201)) == drawn(plan)


def test_a_hold_that_was_refused_may_be_sent_again_under_a_new_key(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner)
    lot = at(plan, "main.compression.1")["lots"][0]["lot"]
    other = factories.held(Wanted(quantity=9, lot=lot))
    path = f"/plans/{plan['plan']}/hold"
    problem(tuner.post(path, {}, once="h-1"), 409, "shelf_changed")
    ok(tuner.post(f"/holds/{other.hold.pk}/release", {}))
    problem(tuner.post(path, {}, once="h-1"), 409, "shelf_changed")
    ok(tuner.post(path, {}, once="h-2"), 201)


def test_what_is_told_of_a_changed_shelf_is_what_stands_under_the_key(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner)
    lot = at(plan, "main.compression.1")["lots"][0]["lot"]
    factories.held(Wanted(quantity=9, lot=lot))
    path = f"/plans/{plan['plan']}/hold"
    told = problem(tuner.post(path, {}, once="h-1"), 409, "shelf_changed")
    again = problem(tuner.post(path, {}, once="h-1"), 409, "shelf_changed")
    assert again == told, "the same new plan, made once"
    (kept,) = ok(tuner.get("/commands?key=h-1"))["results"]
    assert (kept["outcome"], kept["status"], kept["body"]) == ("refused", 409, told)
    assert Plan.objects.count() == 2


def test_a_new_plan_that_cannot_be_made_is_the_one_answer_too(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner)
    factories.held(Wanted(quantity=9, lot=at(plan, "main.compression.1")["lots"][0]["lot"]))
    DamperModel.objects.update(retired_at=clock.now())
    path = f"/plans/{plan['plan']}/hold"
    told = problem(tuner.post(path, {}, once="h-1"), 404, "not_found")
    assert problem(tuner.post(path, {}, once="h-1"), 404, "not_found") == told
    assert ok(tuner.get("/commands?key=h-1"))["results"][0]["body"] == told


def test_a_plan_reads_what_lapsed_holds_keep_once(tuner: Caller, shelf: str) -> None:
    factories.stocked(factories.nut(number="NUT"), 5, lot="L-NUT")
    factories.stocked(factories.washer(number="WASHER"), 5)
    short = {**STACKS, "rebound": [{**line, "quantity": 9} for line in STACKS["rebound"]]}
    for stacks, also in ((STACKS, []), (short, [{"part": "WASHER", "quantity": 1}])):
        with statements() as sent:
            planned(tuner, stacks=stacks, also=also)
        assert len([sql for sql in sent if 'FROM "inventory_holdline"' in sql]) == 1, "\n".join(sent)


def test_an_incomplete_plan_and_one_that_cannot_tell_may_be_held(tuner: Caller, shelf: str) -> None:
    """The readings are still to be taken, and nobody should lose the parts meanwhile."""
    saved_damper(damper_document("OPEN", shoulder_to_lip_mm=None))
    plan = planned(tuner, damper="OPEN")
    assert plan["verdict"] == "cannot_tell"
    assert held(ok(tuner.post(f"/plans/{plan['plan']}/hold", {}), 201)) == drawn(plan)
    lines = [{**line, "quantity": 8} if index == 0 else line for index, line in enumerate(STACKS["compression"])]
    short = planned(tuner, damper="OPEN", stacks={**STACKS, "compression": [*lines[:1], *lines[:1], *lines[1:]]})
    assert short["complete"] is False
    assert held(ok(tuner.post(f"/plans/{short['plan']}/hold", {}), 201)) == drawn(short)


def test_an_unknown_plan_is_a_404(tuner: Caller) -> None:
    for path in ("/plans/999999", "/plans/abc"):
        problem(tuner.get(path), 404, "not_found")
        problem(tuner.post(f"{path}/hold", {}), 404, "not_found")


def test_holding_takes_as_many_statements_for_a_small_plan_as_for_a_large_one(tuner: Caller, shelf: str) -> None:
    counts: list[int] = []
    small = {"compression": STACKS["compression"][-1:], "rebound": STACKS["rebound"][-1:]}
    ok(tuner.get("/parts"))
    for stacks in (small, STACKS):
        saved = ok(tuner.ask("/plans", {"damper": _open_damper(len(counts)), "stacks": stacks}))
        with statements() as sent:
            ok(tuner.post(f"/plans/{saved['plan']}/hold", {}), 201)
        counts.append(len(sent))
    assert counts[0] == counts[1]
    assert counts[0] <= 12


def _open_damper(number: int) -> str:
    """A damper whose ports are unknown, so that no stack is stopped on it."""
    document = damper_document(f"OPEN-{number}", shoulder_to_lip_mm=None)
    document["valves"][0]["sides"] = {"compression": {}, "rebound": {}}
    return saved_damper(document)
