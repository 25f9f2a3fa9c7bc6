"""Curves in a browser: they follow the rows, for everybody, on the bench and for a plan."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page, expect

from inventory.people.roles import Role
from tests.browser import desk
from tests.browser.conftest import Opens

Axe = Callable[[Page], None]
LONG_TRAIL = "/bench?damper=QU-46-A&stack=Long trail"


def last_difference(page: Page) -> str:
    """What the table behind the compression side's plot says at the largest lift."""
    row = page.locator("figure.curve").first.locator("tbody tr").last
    return str(row.locator("td").last.text_content())


def test_the_curves_follow_the_rows(bench: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    page.goto(LONG_TRAIL)
    page.get_by_role("button", name="Show the curves").click()
    expect(page.locator("figure.curve")).to_have_count(2)
    before = last_difference(page)
    count = page.locator("[name=main-compression-0-count]")
    count.fill("6")
    count.blur()
    expect(page.locator("figure.curve").first.locator("tbody tr").last.locator("td").last).not_to_have_text(before)
    assert float(last_difference(page)) > float(before)
    expect(count).to_have_value("6")
    page.evaluate("document.querySelectorAll('#curves details').forEach(one => one.open = true)")
    for size in (desk.BENCH, desk.PHONE):
        page.set_viewport_size(size["viewport"])
        axe(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["viewport"]["width"]


def test_a_plan_brings_its_curves_when_asked(bench: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    page.goto(LONG_TRAIL)
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")
    page.get_by_role("link", name="Force against lift").click()
    expect(page.locator("#curves figure.curve")).to_have_count(2)
    assert page.url.rstrip("/").split("/")[-1].isdigit(), "the plan stays open"
    page.goto(f"{page.url}/curves")
    axe(page)


def test_from_what_can_be_built_a_stack_goes_to_the_bench(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A")
    page.get_by_role("link", name="What can be built today").click()
    page.get_by_role("link", name="Long trail").first.click()
    page.wait_for_url("**/bench?*stack=Long*")
    expect(page.locator(".verdict-word")).to_be_visible()
