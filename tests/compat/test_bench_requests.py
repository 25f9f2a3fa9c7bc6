"""From the bench to a recorded request and back: nothing of it is lost, and a form is carried out once."""

from __future__ import annotations

import re
from typing import Any, cast

import pytest
from django.test import Client as Browser
from django.urls import reverse

from compat.plans import reserve
from compat.plans.checked import AllowIn, NutReadingsIn, PlanIn, PlanReadingsIn
from compat.plans.document import asked_plan
from compat.plans.sent import SentPlan
from inventory.common.transactions import use_case
from inventory.dampers.selectors import saved_stack
from inventory.dampers.services import edit_damper
from inventory.jobs.models import Plan
from tests import factories, people
from tests.api.conftest import STACKS, damper_document, job, line, saved_damper, stored
from tests.compat import saved
from tests.compat.form_fields import fields_of
from tests.compat.test_bench import ask, typed, values
from tests.compat.test_reserve import made
from tests.visiting import once_in, signed_in

pytestmark = pytest.mark.django_db

ALLOW = {
    "stand_ins": True,
    "take_offs": True,
    "face": True,
    "crossover": True,
    "clamp": False,
    "curve_percent": 7.25,
    "height_mm": 0.05,
    "reach_mm": 1.5,
    "search_ms": 400,
}
READINGS = {
    "diameter_mm": 11.98,
    "hole_mm": {"min": 4.9, "max": 5.1, "nominal": 5.02},
    "thread": "M12x1.25",
    "tolerance_class": "6g",
    "hand": "left",
    "shoulder_to_lip_mm": {"min": 21.98, "max": 22.02},
    "on_straight_mm": 1.7,
    "past_lip_mm": 1.65,
    "full_thread_start_mm": 24.1,
    "shaft_end_mm": 41.9,
    "base_plate_mm": 4.01,
    "piston_height_mm": {"min": 11.99, "max": 12.0, "nominal": 11.993},
    "property_class": "8.8",
    "thread_relief": True,
    "relief_diameter_mm": {"min": 9.9, "max": 10.0},
    "gauged_pitch_mm": 1.25,
    "gauged_threads_per_inch": None,
    "major_mm": 11.9,
    "end_condition": "peened_dressed",
    "full_length_gauged": True,
}
NUT_READINGS = {
    "part": "NU-A",
    "gauged_pitch_mm": None,
    "gauged_threads_per_inch": 20.0,
    "minor_mm": {"min": 10.7, "max": 10.8, "nominal": 10.75},
    "height_mm": 10.1,
    "chamfer_mm": 0.55,
    "unthreaded_mm": 0,
    "tolerance_class": "6H",
    "property_class": "8",
}


def told(readings: dict[str, Any]) -> dict[str, Any]:
    """What is told of them: a pitch has one of two units."""
    return {name: value for name, value in readings.items() if value is not None}


@pytest.fixture
def bench(client: Browser) -> Browser:
    return signed_in(client, people.tuner())


def checked(sent: dict[str, Any]) -> Any:
    """A request as it is understood."""
    found = PlanIn(data=sent)
    assert found.is_valid(), found.errors
    return found.validated_data


def kept_again(bench: Browser, plan: Plan) -> Plan:
    """The plan that follows from putting a plan on the bench and keeping it as it stands there."""
    page = bench.get("/bench", {"plan": plan.pk}).content.decode()
    reply = bench.post(reverse("bench"), {**fields_of(page, "bench-form"), "do": "plan"})
    assert reply.status_code == 303, reply.content.decode()
    return Plan.objects.latest("pk")


def test_the_readings_of_this_test_are_all_there_are() -> None:
    assert set(READINGS) == set(PlanReadingsIn().fields)
    assert set(NUT_READINGS) == set(NutReadingsIn().fields)
    assert set(ALLOW) == set(AllowIn().fields)


def test_a_recorded_request_comes_back_from_the_bench_whole(bench: Browser, shelf: str) -> None:
    factories.stocked(factories.nut(number="NU-A", hand="left"), 3)
    also = [{"part": "NU-A", "quantity": 2}]
    lines = [*STACKS["rebound"][:-1], line(20, 0.3, bore_mm=10.0), line(18, 0.3, form="notched")]
    valves = [{"code": "main", "stacks": {**STACKS, "rebound": lines}}]
    sent = {"damper": "HA-46", "valves": valves, "readings": READINGS, "spacer": False, "also": also, "allow": ALLOW}
    sent |= {"job": job("J-9"), "nut": False, "nut_readings": told(NUT_READINGS), "readings": told(READINGS)}
    first = reserve.plan_and_record(asked=asked_plan(checked(sent)), sent=cast(SentPlan, sent), actor=people.tuner())
    assert checked(kept_again(bench, first).request) == checked(sent)


def test_what_was_left_out_of_a_request_stays_out(bench: Browser, shelf: str) -> None:
    first = made(allow={"stand_ins": False, "take_offs": False})
    again = kept_again(bench, first).request
    assert again["allow"] == {"stand_ins": False, "take_offs": False}
    assert set(again) == {"damper", "valves", "spacer", "allow"}


def test_shims_on_a_side_that_the_model_no_longer_tells_stay_on_the_bench(bench: Browser) -> None:
    base = {"code": "base", "shaft_mm": 8.0, "piston_height_mm": 8.0, "sides": {"compression": {}, "rebound": {}}}
    saved_damper({"code": "BA-1", "name": "Fork", "valves": [base]})
    stacks = {"compression": [line(30, 0.2)], "rebound": [line(28, 0.2, 2)]}
    sent = {"damper": "BA-1", "valves": [{"code": "base", "stacks": stacks}]}
    first = reserve.plan_and_record(asked=asked_plan(checked(sent)), sent=cast(SentPlan, sent), actor=people.tuner())
    saved.saved_stack("BA-1", "Both", stacks, valve="base")
    edited = {"valves": [{**base, "sides": {"compression": {}}}]}
    use_case(lambda: edit_damper(code="BA-1", name="Fork", document=stored(edited), revision=1, actor=people.tuner()))
    assert "base-rebound" not in bench.get("/bench?damper=BA-1").content.decode()
    for named in ({"plan": first.pk}, {"damper": "BA-1", "stack": "Both"}):
        page = bench.get("/bench", named).content.decode()
        assert 'name="base-rebound-0-od" value="28"' in page
        refused = bench.post(reverse("bench"), {**fields_of(page, "bench-form"), "do": "plan"}).content.decode()
        assert 'name="base-rebound-0-od" value="28"' in refused and "data-verdict" not in refused


def test_limits_of_stand_ins_can_be_typed_and_are_checked(bench: Browser, shelf: str) -> None:
    sent = typed(STACKS, once="K", do="plan", curve_percent="7,5", height_mm="0,02")
    assert bench.post(reverse("bench"), sent).status_code == 303
    allow = {"stand_ins": True, "take_offs": False, "curve_percent": 7.5, "height_mm": 0.02}
    assert Plan.objects.get().request["allow"] == allow
    text = ask(bench, typed(STACKS, curve_percent="100.5"))
    assert "It must lie within 0 and 100" in text and "data-verdict" not in text


@pytest.mark.parametrize("also", ["NU-1 x²", "NU-1 x12345678", "NU-1 x0"])
def test_a_count_of_parts_that_is_none_is_said_beside_the_field(bench: Browser, shelf: str, also: str) -> None:
    factories.nut(number="NU-1")
    reply = bench.post(reverse("bench"), typed(STACKS, also=also, once="K", do="plan"))
    text = reply.content.decode()
    assert reply.status_code == 422 and f'value="{also}"' in text
    assert '<p class="error" id="id_also_error">' in text
    assert not Plan.objects.exists()


def test_a_damper_and_a_stack_are_told_apart_whatever_they_are_called(bench: Browser) -> None:
    saved_damper(damper_document("HA|46"))
    saved.saved_stack("HA|46", "Wet | dry/cold", STACKS)
    page = bench.get("/bench").content.decode()
    assert 'value="HA|46/Wet | dry/cold"' in page
    text = bench.get("/bench", {"on": "HA|46/Wet | dry/cold"}).content.decode()
    assert values(text, "od")[:2] == ["36", "22"]
    assert '<option value="HA|46/Wet | dry/cold" selected>' in text


def test_choosing_another_damper_waits_for_the_button(bench: Browser, shelf: str) -> None:
    page = bench.get("/bench?damper=HA-46").content.decode()
    chooser = page[page.index('<form method="get" action="/bench"') :]
    chooser = chooser[: chooser.index("</form>")]
    assert "hx-" not in chooser
    assert "Put it on the bench</button>" in chooser and "data-enter-presses" in chooser


def test_the_same_form_keeps_one_plan(bench: Browser, shelf: str) -> None:
    page = bench.get("/bench?damper=HA-46").content.decode()
    sent = typed(STACKS, once=once_in(page), do="plan")
    first, second = (bench.post(reverse("bench"), sent) for _ in range(2))
    plan = Plan.objects.get()
    assert (first.status_code, second.status_code) == (303, 303)
    assert first["Location"] == second["Location"] == f"/plans/{plan.pk}"


def test_a_changed_form_goes_on_with_a_new_key(bench: Browser, shelf: str) -> None:
    sent = typed(STACKS, once="K", do="plan")
    assert bench.post(reverse("bench"), sent).status_code == 303
    changed = sent | {"main-rebound-0-count": "1"}
    refused = bench.post(reverse("bench"), changed)
    text = refused.content.decode()
    assert refused.status_code == 422 and Plan.objects.count() == 1
    assert "This was sent already, and changed since." in text and "Idempotency" not in text
    assert 'data-verdict="' in text, "nothing is wrong with what is typed"
    assert once_in(text) != "K"
    assert bench.post(reverse("bench"), changed | {"once": once_in(text)}).status_code == 303
    assert Plan.objects.count() == 2


def test_saving_and_then_keeping_with_one_key_is_said_and_goes_on(bench: Browser, shelf: str) -> None:
    sent = typed(STACKS, once="K", name="Trail")
    assert bench.post(reverse("bench"), sent | {"do": "save"}).status_code == 303
    refused = bench.post(reverse("bench"), sent | {"do": "plan"})
    assert refused.status_code == 422
    once = once_in(refused.content.decode())
    assert bench.post(reverse("bench"), sent | {"do": "plan", "once": once}).status_code == 303
    assert saved_stack("HA-46", "Trail").number == Plan.objects.count() == 1


def test_a_form_without_a_key_keeps_nothing_and_says_so(bench: Browser, shelf: str) -> None:
    reply = bench.post(reverse("bench"), typed(STACKS, do="plan"))
    assert reply.status_code == 422 and "key is missing" in reply.content.decode()
    assert not Plan.objects.exists()


def test_a_plan_that_is_not_what_the_bench_showed_is_kept_and_says_so(bench: Browser, shelf: str) -> None:
    shown = re.findall(r'form="bench-form" name="shown" value="(\w{32})"', ask(bench, typed(STACKS)))
    assert len(shown) == 1
    same = bench.post(reverse("bench"), typed(STACKS, once="A", do="plan", shown=shown[0]))
    assert "The bench showed another answer" not in bench.get(same["Location"]).content.decode()
    other = typed(STACKS, once="B", do="plan", shown=shown[0]) | {"main-rebound-0-count": "1"}
    kept = bench.post(reverse("bench"), other)
    assert kept.status_code == 303 and Plan.objects.count() == 2
    assert "The bench showed another answer" in bench.get(kept["Location"]).content.decode()


def test_the_browser_is_told_which_form_was_carried_out(bench: Browser, shelf: str) -> None:
    kept = bench.post(reverse("bench"), typed(STACKS, once="A", do="plan"))
    saved_ = bench.post(reverse("bench"), typed(STACKS, once="B", do="save", name="Trail"))
    refused = bench.post(reverse("bench"), typed(STACKS, once="C", do="plan", also="NU-404"))
    told = [reply.cookies["carried-out"].value for reply in (kept, saved_)]
    assert told == ["A", "B"] and refused.status_code == 422 and "carried-out" not in refused.cookies
