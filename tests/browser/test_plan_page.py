"""A kept plan in a browser: what its button says, on paper, and on a phone."""

from __future__ import annotations

from itertools import pairwise

from playwright.sync_api import expect

from inventory.people.roles import Role
from tests.browser.conftest import Opens
from tests.browser.test_bench import fits_the_screen


def test_the_button_that_holds_follows_the_job_that_is_typed(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")
    button = page.get_by_role("button", name="Hold")
    usual = button.inner_text()
    assert usual.endswith(" for 15 minutes")
    page.keyboard.type("J-7")
    expect(button).to_have_text(usual.replace("15 minutes", "J-7"))
    page.locator("[name=job]").fill("")
    expect(button).to_have_text(usual)


def test_a_printed_plan_has_its_head_on_every_page_and_nothing_lies_over_anything(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")
    expect(page.locator(".running")).to_be_hidden()
    expect(page.locator(".confirm .write").first).to_be_hidden()
    page.set_viewport_size({"width": 703, "height": 1000})
    page.emulate_media(media="print")
    shown = "one => getComputedStyle(one).display"
    assert page.locator(".running").evaluate(shown) == "table-header-group", "browsers repeat the head of a table"
    assert page.locator(".plan-sheet").evaluate(shown) == "table"
    for selector in (".confirm .write", ".signing", ".build-order"):
        expect(page.locator(selector).first).to_be_visible()
    for selector in (".plan-hold", ".plan details", ".plan-head"):
        assert not any(one.is_visible() for one in page.locator(selector).all()), selector
    boxes = [
        page.locator(selector).first.bounding_box()
        for selector in (".verdict", ".build-order", ".picks", ".positions", ".findings", ".confirm", ".cautions")
    ]
    for above, below in pairwise(boxes):
        assert above is not None and below is not None
        assert above["y"] + above["height"] <= below["y"]
        assert below["x"] + below["width"] <= 703


def test_a_plan_for_a_long_job_fits_a_phone_and_is_picked_before_it_is_built(phone: Opens) -> None:
    page = phone(Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    page.locator("[name=job]").fill("J" * 40)
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")
    fits_the_screen(page)
    picks, order = (page.locator(one).bounding_box() for one in (".picks", ".build-order"))
    assert picks is not None and order is not None and picks["y"] + picks["height"] <= order["y"]
    page.locator("[name=title]").fill("Rear")
    page.get_by_role("button", name="Hold").click()
    expect(page.locator(".held-note")).to_be_visible()
    fits_the_screen(page)
    page.locator(".held-note a").click()
    fits_the_screen(page)
    codes = page.locator("td a[href^='/drawers/']").first
    assert codes.evaluate("one => one.getClientRects().length") == 1, "a code is never broken at its hyphens"


def test_the_codes_on_the_start_page_are_high_enough_for_a_finger(phone: Opens) -> None:
    page = phone(Role.LEAD)
    page.goto("/")
    heights = page.locator(".codes li a").evaluate_all("all => all.map(one => one.getBoundingClientRect().height)")
    assert heights and min(heights) >= 44
