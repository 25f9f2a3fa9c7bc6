"""Calibrating a piston on pages: try the points, keep the fit, see it count, withdraw it."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from compat.pages.calibration.points_text import read_points, write_points
from inventory.dampers.models import Calibration
from tests import people
from tests.api.conftest import REBOUND, STACKS, measured
from tests.compat.saved import saved_stack
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db
AT = "/dampers/HA-46/calibrate"
STACK = "\n".join(f"{one['od_mm']}x{one['thickness_mm']} x{one['quantity']}" for one in REBOUND)
POINTS = "\n".join(f"{point['lift_mm']} {point['force_n']:.2f}" for point in measured()["points"])


@pytest.fixture
def tuner(client: Browser, damper: str) -> Browser:
    return signed_in(client, people.tuner())


def said(reply: Any) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", reply.content.decode())).split())


def once(reply: Any, at: str = "") -> str:
    """The one-use key of the first form behind a place on the page."""
    text = reply.content.decode()
    found = re.search(r'name="once" value="([^"]+)"', text[text.index(at) if at else 0 :])
    assert found is not None
    return found[1]


def typed(browser: Browser, **changes: str) -> dict[str, str]:
    usual = {"valve": "main", "side": "rebound", "stack": STACK, "points": POINTS, "note": "lab"}
    return {**usual, "once": once(browser.get(AT)), **changes}


def test_points_are_tried_kept_seen_and_withdrawn(tuner: Browser) -> None:
    tried = tuner.post(AT, typed(tuner, do="try"))
    assert tried.status_code == 200
    assert 'data-verdict="fits"' in tried.content.decode()
    assert "GPa" in said(tried) and "Keep it for this piston" in said(tried)
    assert tried.content.decode().count('<svg class="drawing"') == 1
    assert not Calibration.objects.exists()
    kept = tuner.post(AT, {**typed(tuner), "once": once(tried), "do": "keep"})
    assert (kept.status_code, kept["Location"]) == (303, "/dampers/HA-46#calibrations")
    page = tuner.get("/dampers/HA-46")
    assert "Kept: curves of the main valve use this fit from now on." in said(page)
    assert "main valve, rebound side lab in use" in said(page)
    row = Calibration.objects.get()
    gone = tuner.post(
        reverse("withdraw-calibration", kwargs={"code": "HA-46", "calibration": row.pk}),
        {"once": once(page, "withdraw")},
    )
    assert gone.status_code == 303
    assert "no: withdrawn" in said(tuner.get("/dampers/HA-46"))


def test_kept_twice_with_one_key_is_kept_once(tuner: Browser) -> None:
    sent = typed(tuner, do="keep")
    assert [tuner.post(AT, sent).status_code for _ in range(2)] == [303, 303]
    assert Calibration.objects.count() == 1


def test_what_is_not_explained_stays_typed_and_is_not_kept(tuner: Browser) -> None:
    square = "0.04 4.8\n0.08 19,2\n0.12; 43.2"
    reply = tuner.post(AT, typed(tuner, points=square, do="keep"))
    assert reply.status_code == 422
    assert "Nothing was kept." in said(reply)
    assert "19,2" in reply.content.decode()
    assert "Keep it for this piston" not in said(reply)
    assert not Calibration.objects.exists()


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"points": "0.05 40\n0.04 50\n0.1 80"}, "Lifts must rise: point 2 at 0.04 mm does not."),
        ({"points": "0.05 40\nabc\n0.1 80"}, "Line 2 \u201cabc\u201d: type the lift in mm and the force in N"),
        ({"points": "0.05 40\n0.1 80"}, "A curve has 3 to 100 points; these are 2."),
        ({"points": ""}, "This field is required"),
        ({"stack": "34"}, "type diameter, thickness and count"),
        ({"stack": ""}, "face first"),
        ({"valve": "base"}, "base is not one of the available choices"),
    ],
)
def test_an_error_stands_beside_its_field(tuner: Browser, changes: dict[str, str], why: str) -> None:
    reply = tuner.post(AT, typed(tuner, **changes))
    assert reply.status_code == 422
    assert why in said(reply)


def test_it_begins_from_a_saved_stack_or_from_a_calibration_on_file(tuner: Browser) -> None:
    saved_stack("HA-46", "Measured", STACKS)
    assert "36x0.20 x2" in tuner.get(f"{AT}?stack=Measured").content.decode()
    tuner.post(AT, typed(tuner, do="keep"))
    again = tuner.get(f"{AT}?again={Calibration.objects.get().pk}").content.decode()
    assert "34x0.20 x2" in again and "0.03 20.34" in again and "lab" in again
    assert tuner.get(f"{AT}?stack=None").status_code == 404
    assert tuner.get(f"{AT}?again=x").status_code == 200


def test_curves_of_a_plan_say_that_the_piston_was_calibrated(tuner: Browser, shelf: str) -> None:
    from tests.compat.test_reserve import made

    plan = made()
    address = reverse("plan-curves", kwargs={"plan": plan.pk})
    assert "was calibrated on" not in said(tuner.get(address))
    tuner.post(AT, typed(tuner, do="keep"))
    # the plan was made before: its curves stay those of its day
    assert "was calibrated on" not in said(tuner.get(address))
    later = reverse("plan-curves", kwargs={"plan": made().pk})
    assert said(tuner.get(later)).count("was calibrated on") == 2


def test_a_clerk_sees_what_was_measured_and_changes_nothing(client: Browser, damper: str) -> None:
    clerk = signed_in(client, people.clerk())
    assert clerk.get(AT).status_code == 403
    page = said(clerk.get("/dampers/HA-46"))
    assert "Measured pistons" in page and "Calibrate a piston" not in page


def test_points_as_people_paste_them() -> None:
    pasted = "# lift\tforce\n0,05\t42,5\n0.1;85 N\n0.15 mm 127.5\n\n"
    points = read_points(pasted)
    assert points == [
        {"lift_mm": 0.05, "force_n": 42.5},
        {"lift_mm": 0.1, "force_n": 85.0},
        {"lift_mm": 0.15, "force_n": 127.5},
    ]
    assert read_points(write_points(points)) == points


def test_a_fit_that_is_not_what_was_shown_is_shown_first_and_not_kept(tuner: Browser) -> None:
    """Once calibrated with one set of points, another set is sent from under the answer of the first."""
    tried = tuner.post(AT, typed(tuner, do="try"))
    mark = re.search(r'name="shown" value="(\w{32})"', tried.content.decode())
    assert mark is not None
    other = typed(tuner, do="keep", thickness_error_mm="0.001", shown=mark[1])
    refused = tuner.post(AT, other)
    assert "Not kept: what is typed, or the model, has changed since." in said(refused)
    assert not Calibration.objects.exists()
    new = re.search(r'name="shown" value="(\w{32})"', refused.content.decode())
    assert new is not None and new[1] != mark[1]
    assert tuner.post(AT, {**other, "shown": new[1], "once": "K2"}).status_code == 303
