"""The bench in a browser: a plan to a hold by the keyboard alone, and what the eye and the focus meet on the way."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from inventory.holds.models import Hold
from inventory.holds.selectors import held_faults
from inventory.jobs.models import Plan
from inventory.people.roles import Role
from inventory.stock import replay
from tests.browser.conftest import Opens
from tests.browser.watch import Watch

Axe = Callable[[Page], None]
TYPED = {
    "compression": [
        ("40", "0,15", "4"),
        ("24", "0.1", "1"),
        ("38", ".15", "1"),
        ("34", "0.15", "2"),
        ("22", "0.3", "1"),
    ],
    "rebound": [("36", "0.2", "3"), ("22", "0.10", "1"), ("32", "0.15", "2"), ("20", "0.30", "1")],
}


def focused(page: Page) -> str:
    """The name of what the next key goes to."""
    return str(
        page.evaluate("document.activeElement.name || document.activeElement.id || document.activeElement.innerText")
    )


def fits_the_screen(page: Page) -> None:
    """Nothing sticks out to the right, so that nobody has to push the page about."""
    assert page.viewport_size is not None
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]


def type_side(page: Page, side: str) -> None:
    """Types a side as one reads a caliper: diameter, Enter, thickness, Enter, count, Enter."""
    page.locator(f"[name=main-{side}-0-od]").focus()
    for index, row in enumerate(TYPED[side]):
        for cell, text in zip(("od", "thickness", "count"), row, strict=True):
            assert focused(page) == f"main-{side}-{index}-{cell}"
            page.keyboard.type(text)
            page.keyboard.press("Enter")
        expect(page.locator(f"[name=main-{side}-{index + 1}-od]")).to_be_focused()


@pytest.mark.smoke
def test_a_plan_becomes_a_hold_by_keyboard_alone(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench")
    assert focused(page) == "on"
    page.keyboard.type("QU-46-A: type")
    page.keyboard.press("Enter")
    page.wait_for_url("**/bench?on=QU-46-A*")
    for side in TYPED:
        type_side(page, side)
    expect(page.locator(".verdict-word")).to_be_visible()
    page.locator("[name=job]").focus()
    page.keyboard.press("Tab")
    while focused(page) != "do":
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_url("**/plans/*")
    expect(page.locator("[name=job]")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="for 15 minutes")).to_be_focused()
    assert Hold.objects.count() == 0, "an Enter too many after keeping a plan holds nothing"
    page.keyboard.press("Enter")
    expect(page.locator(".held-note")).to_contain_text("Nobody else can take these pieces")
    plan, hold = Plan.objects.get(), Hold.objects.get()
    assert hold.planhold.plan_id == plan.pk
    assert [line["quantity"] for line in plan.answer["lines"]] == [4, 1, 1, 2, 1, 3, 1, 2, 1]
    assert [*replay.faults(), *held_faults()] == []


def test_a_saved_stack_is_reached_by_typing_its_name_and_its_answer_has_the_focus(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A")
    expect(page.locator("[name=main-compression-0-od]")).to_be_focused()
    page.locator("#on").focus()
    page.keyboard.type("QU-46-A: L")
    page.keyboard.press("Enter")
    page.wait_for_url("**/bench?on=*")
    assert page.locator("#on").input_value() == "QU-46-A/Long trail"
    expect(page.get_by_role("heading", name="Can it be built?")).to_be_focused()


def test_tab_goes_through_the_sizes_and_two_keys_put_rows_in_and_take_them_away(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    for _ in range(2):
        page.locator("[name=main-rebound-0-count]").focus()
        page.keyboard.press("Tab")
        assert focused(page) == "main-rebound-1-od"
        page.keyboard.press("Alt+Insert")
        expect(page.locator("[name=main-rebound-1-od]")).to_have_value("")
        expect(page.locator("[name=main-rebound-1-od]")).to_be_focused()
        page.keyboard.press("Alt+Delete")
        expect(page.locator("[name=main-rebound-1-od]")).to_have_value("22")
    expect(page.get_by_text("Alt+Insert puts a row above")).to_be_visible()


def test_what_is_worded_for_a_page_without_script_shows_only_there(bench: Opens, no_script: Opens) -> None:
    for opens, scripted in ((bench, True), (no_script, False)):
        page = opens(Role.TUNER)
        page.goto("/bench?damper=QU-46-A")
        expect(page.get_by_role("button", name="Show the answer")).to_be_visible(visible=not scripted)
        expect(page.get_by_text("diameter, Enter, thickness")).to_be_visible(visible=scripted)
        page.goto("/bench?damper=QU-46-A&stack=Long trail")
        page.get_by_role("button", name="Keep this plan").click()
        page.wait_for_url("**/plans/*")
        expect(page.locator("[data-print]")).to_be_visible(visible=scripted)


def test_going_through_the_dampers_leaves_what_is_typed_until_one_is_put_on_the_bench(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.clock.install()
    page.goto("/bench?damper=QU-46-A")
    page.locator("[name=main-rebound-0-od]").fill("36")
    page.locator("#on").focus()
    before = page.locator("#on").input_value()
    page.keyboard.press("ArrowDown")
    # Whatever the page would do after a while it would do now.
    page.clock.run_for(60_000)
    assert page.locator("#on").input_value() != before
    assert page.locator("[name=main-rebound-0-od]").input_value() == "36"
    assert page.url.endswith("/bench?damper=QU-46-A")
    page.keyboard.press("Enter")
    page.wait_for_url("**/bench?on=*")
    assert page.locator("[name=main-compression-0-od]").input_value() != ""


@pytest.mark.parametrize(
    ("wrong", "typed", "goes_on"),
    [
        ("main-rebound-1-thickness", "9", "main-rebound-1-thickness"),
        ("main-rebound-0-count", "", "main-rebound-0-count"),
        ("also", "NU-1 x²", "also"),
        ("hole_mm", "wide", "hole_mm"),
        ("curve_percent", "101", "curve_percent"),
    ],
)
def test_a_refused_plan_has_the_focus_where_mending_begins(
    no_script: Opens, wrong: str, typed: str, goes_on: str
) -> None:
    page = no_script(Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    for summary in ("Readings of this damper", "How far stand-ins may go"):
        page.get_by_text(summary).click()
    page.locator(f"[name={wrong}]").fill(typed)
    page.get_by_role("button", name="Keep this plan").click()
    expect(page.locator(f"[name={goes_on}]")).to_be_focused()
    assert Plan.objects.count() == 0


def test_a_refused_plan_without_shims_has_the_focus_on_what_is_said(bench: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A")
    page.get_by_role("button", name="Keep this plan").click()
    expect(page.locator(".bench-form > .refused")).to_be_focused()
    axe(page)


def test_a_row_that_is_not_whole_is_said_above_the_verdict_while_typing(bench: Opens, phone: Opens, axe: Axe) -> None:
    for opens in (bench, phone):
        page = opens(Role.TUNER)
        page.goto("/bench?damper=QU-46-A&stack=Long trail")
        page.locator("[name=main-rebound-1-count]").fill("")
        page.keyboard.press("Tab")
        expect(page.locator("#answer")).to_contain_text("Rebound, line 2 is not whole yet and is not counted.")
        expect(page.locator("#answer .verdict-word")).to_be_visible()
        axe(page)
        fits_the_screen(page)


def test_a_changed_line_changes_drawing_and_verdict_and_leaves_the_hands_where_they_are(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    before = page.locator(".plan-section svg").first.inner_html()
    expect(page.locator(".verdict-word")).to_have_text("It fits")
    page.locator("[name=main-rebound-0-od]").fill("30")
    page.keyboard.press("Enter")
    assert focused(page) == "main-rebound-0-thickness"
    expect(page.locator(".verdict-word")).to_have_text("Does not fit")
    assert page.locator(".plan-section svg").first.inner_html() != before
    assert focused(page) == "main-rebound-0-thickness"
    assert Plan.objects.count() == 0


def test_lines_pasted_into_a_diameter_become_rows(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A")
    page.locator("[name=main-rebound-0-od]").focus()
    page.evaluate(
        """text => {
            const data = new DataTransfer();
            data.setData("text", text);
            const paste = {clipboardData: data, bubbles: true, cancelable: true};
            document.activeElement.dispatchEvent(new ClipboardEvent("paste", paste));
        }""",
        "36x0.20 x3\n22x0.10\n\n20x0.30 x1\n",
    )
    expect(page.locator("[name=main-rebound-3-od]")).to_be_focused()
    rows = [page.locator(f"[name=main-rebound-{row}-od]").input_value() for row in range(3)]
    assert rows == ["36", "22", "20"]


def test_a_row_that_cannot_be_read_says_so_and_leaves_the_hands_where_they_are(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A")
    page.locator("[name=main-rebound-0-od]").focus()
    for text in ("36", "2,5,5", "3"):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    wrong = page.locator("[name=main-rebound-0-thickness]")
    expect(wrong).to_have_accessible_description(re.compile("Thickness: It must be a number"))
    expect(wrong).to_have_attribute("aria-invalid", "true")
    expect(page.locator("[name=main-rebound-1-od]")).to_be_focused()
    page.keyboard.type("22")
    expect(page.locator("[name=main-rebound-1-od]")).to_have_value("22")
    expect(page.locator("[name=main-rebound-0-thickness]")).to_have_value("2,5,5")


def test_rows_are_put_between_and_taken_away_without_losing_the_focus(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    page.get_by_role("button", name="A row above rebound line 2").click()
    expect(page.locator("[name=main-rebound-1-od]")).to_be_focused()
    expect(page.locator("[name=main-rebound-1-od]")).to_have_value("")
    page.get_by_role("button", name="Take rebound line 1 away").click()
    expect(page.locator("[name=main-rebound-0-od]")).to_have_value("")
    expect(page.locator("[name=main-rebound-1-od]")).to_have_value("22")


def test_without_script_a_stack_is_typed_answered_kept_and_held(no_script: Opens) -> None:
    page = no_script(Role.TUNER)
    page.goto("/bench?damper=QU-46-A")
    page.get_by_text("Paste as text").last.click()
    page.locator("#main-rebound-text").fill("36x0.20 x3\n22x0.10\n20x0.30")
    page.get_by_role("button", name="Take these lines").last.click()
    assert page.locator("[name=main-rebound-2-od]").input_value() == "20"
    for cell, text in (("od", "40"), ("thickness", "0,15"), ("count", "4")):
        page.locator(f"[name=main-compression-0-{cell}]").fill(text)
    page.get_by_role("button", name="Add").first.click()
    expect(page.locator(".verdict-word")).to_be_visible()
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")
    if page.get_by_role("button", name="Hold").count():
        page.get_by_role("button", name="Hold").click()
        expect(page.locator(".held-note")).to_be_visible()
        assert Hold.objects.count() == 1
    else:
        assert Plan.objects.get().verdict == "does_not_fit"


def test_two_people_on_one_plan(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")
    other = bench(Role.LEAD)
    other.goto(page.url)
    page.get_by_role("button", name="Hold").click()
    expect(page.locator(".held-note")).to_be_visible()
    other.get_by_role("button", name="Hold").click()
    expect(other.locator(".refused")).to_contain_text("already holds this plan")
    expect(other.locator(".refused")).to_be_focused()
    expect(other.locator(".held-note")).to_contain_text("Jorun Abelsted")
    assert Hold.objects.count() == 1


@pytest.mark.parametrize(
    "address",
    [
        "/bench",
        "/bench?damper=QU-46-A",
        "/bench?damper=QU-46-A&stack=Long trail",
        "/bench?damper=QU-46-A&stack=Sides swapped",
        "/bench?damper=ZE-43-F",
    ],
)
def test_the_bench_has_nothing_that_somebody_cannot_use(bench: Opens, phone: Opens, axe: Axe, address: str) -> None:
    for opens in (bench, phone):
        page = opens(Role.TUNER)
        page.goto(address)
        page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")
        axe(page)
        fits_the_screen(page)


def test_a_plan_and_its_hold_have_nothing_that_somebody_cannot_use(bench: Opens, phone: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")
    axe(page)
    page.locator("[name=job]").fill("J-NEW")
    page.get_by_role("button", name="Hold").click()
    expect(page.locator(".refused").first).to_be_visible()
    expect(page.locator("[name=title]")).to_be_focused()
    axe(page)
    page.locator("[name=title]").fill("Rear")
    page.keyboard.press("Enter")
    expect(page.locator(".held-note")).to_be_visible()
    axe(page)
    small = phone(Role.TUNER)
    small.goto(page.url)
    axe(small)
    fits_the_screen(small)
    page.locator(".held-note a").click()
    axe(page)


def test_a_press_that_the_server_does_not_answer_says_so_and_keeps_the_typing(bench: Opens, console: Watch) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A")
    page.route("**/bench/answer", lambda route: route.abort())
    page.locator("[name=main-rebound-0-od]").fill("36")
    page.keyboard.press("Tab")
    expect(page.locator("#trouble")).to_contain_text("What you typed is still here")
    expect(page.locator("[name=main-rebound-0-od]")).to_have_value("36")
    console.take()
