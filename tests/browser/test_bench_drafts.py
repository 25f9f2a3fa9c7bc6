"""What stands on the bench outlives the page, belongs to who typed it, and goes with what it became."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page, expect

from compat.demo import workshop
from inventory.people.roles import Role
from tests.browser import desk
from tests.browser.conftest import Opens
from tests.browser.test_bench_typing import EMPTY, rows_of, type_rows

Axe = Callable[[Page], None]
LONG_TRAIL = "/bench?damper=QU-46-A&stack=Long trail"
ROWS = [["36", "0.2", "3"], ["22", "0.1", "1"]]


def typed(page: Page, side: str = "rebound") -> None:
    page.goto(EMPTY)
    type_rows(page, side, ROWS, 0)
    page.locator("[name=job]").fill("J-77")


def drafts(page: Page) -> str:
    """Everything that lies in the browser."""
    return str(page.evaluate("JSON.stringify(localStorage)"))


def test_a_draft_is_put_back_after_a_reload_a_link_and_the_way_back(bench: Opens, axe: Axe) -> None:
    page = bench(Role.TUNER)
    typed(page)
    for leave in (page.reload, lambda: (page.goto("/shelf"), page.go_back()), lambda: page.goto(EMPTY)):
        leave()
        expect(page.locator(".draft")).to_contain_text("put back")
        assert rows_of(page, "rebound") == ROWS
        expect(page.locator("[name=job]")).to_have_value("J-77")
    axe(page)
    page.get_by_role("button", name="Throw it away").click()
    expect(page.locator(".draft")).to_have_count(0)
    assert rows_of(page, "rebound") == []
    expect(page.locator("[name=job]")).to_have_value("")
    assert "QU-46-A" not in drafts(page)


def test_a_row_put_back_is_judged_and_goes_on(bench: Opens) -> None:
    page = bench(Role.TUNER)
    typed(page)
    page.reload()
    expect(page.locator("#answer .verdict-word")).to_be_visible()
    page.locator("[name=main-rebound-2-od]").focus()
    type_cells = ("20", "0.3", "1")
    for text in type_cells:
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    page.reload()
    assert rows_of(page, "rebound") == [*ROWS, list(type_cells)]


def test_an_address_that_names_a_stack_is_not_overridden_but_the_draft_is_offered(bench: Opens) -> None:
    page = bench(Role.TUNER)
    typed(page)
    page.goto(LONG_TRAIL)
    saved = rows_of(page, "rebound")
    assert saved != ROWS
    expect(page.locator(".draft")).to_contain_text("There is a draft of")
    page.get_by_role("button", name="Put it here").click()
    assert rows_of(page, "rebound") == ROWS
    page.goto("/shelf")
    page.goto(LONG_TRAIL)
    assert rows_of(page, "rebound") == saved
    page.get_by_role("button", name="Throw it away").click()
    page.reload()
    expect(page.locator(".draft")).to_have_count(0)
    assert rows_of(page, "rebound") == saved


def test_a_stack_of_an_address_that_was_changed_is_put_back_when_one_comes_back_to_it(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto(LONG_TRAIL)
    page.locator("[name=main-rebound-0-count]").fill("5")
    page.reload()
    expect(page.locator(".draft")).to_contain_text("put back")
    expect(page.locator("[name=main-rebound-0-count]")).to_have_value("5")
    page.goto("/bench")
    expect(page.locator(".draft")).to_contain_text("QU-46-A")


def test_a_draft_is_its_person_s_own(bench: Opens) -> None:
    page = bench()
    desk.sign_in(page, Role.CLERK, shared=True)
    typed(page)

    def change(to: str) -> None:
        page.get_by_role("button", name="Change person").click()
        page.get_by_text(to).click()
        page.locator("#pin").fill(workshop.PIN)
        page.keyboard.press("Enter")
        expect(page.locator(".head-person")).to_contain_text(to)
        page.goto(EMPTY)

    first = str(page.locator(".head-person").text_content()).split("  ")[0].strip().split("\n")[0]
    change("Jorun Abelsted")
    expect(page.locator(".draft")).to_have_count(0)
    assert rows_of(page, "rebound") == []
    type_rows(page, "compression", ROWS, 0)
    change(" ".join(first.split()[:2]))
    assert rows_of(page, "rebound") == ROWS
    assert rows_of(page, "compression") == []


def test_a_plan_that_is_kept_and_a_stack_that_is_saved_need_no_draft(bench: Opens) -> None:
    page = bench(Role.TUNER)
    typed(page)
    page.locator("[name=job]").fill("")
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")
    assert "QU-46-A" not in drafts(page)
    page.goto(EMPTY)
    assert rows_of(page, "rebound") == []
    type_rows(page, "rebound", ROWS, 0)
    page.get_by_text("Save these stacks under a name").click()
    page.locator("[name=name]").fill("Mine")
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/bench?damper=QU-46-A&stack=Mine")
    assert "QU-46-A" not in drafts(page)
    expect(page.locator(".draft")).to_have_count(0)


def test_a_plan_that_is_refused_keeps_its_draft(bench: Opens) -> None:
    page = bench(Role.TUNER)
    typed(page)
    page.locator("[name=also]").fill("NU-404")
    page.get_by_role("button", name="Keep this plan").click()
    expect(page.locator("form[data-sent]")).to_be_visible()
    page.goto(EMPTY)
    assert rows_of(page, "rebound") == ROWS
    expect(page.locator("[name=also]")).to_have_value("NU-404")


def test_what_is_no_draft_is_dropped_without_a_word(bench: Opens) -> None:
    page = bench(Role.TUNER)
    typed(page)
    key = page.evaluate("Object.keys(localStorage)[0]")
    whole = page.evaluate("key => localStorage[key]", key)
    month = whole.replace('"at":1', '"at":0.1')
    for broken in ("{", "null", "[]", '{"version":0,"drafts":[{}]}', '{"version":1,"drafts":[7,{"id":1}]}', month):
        page.goto("/shelf")
        page.evaluate("([key, text]) => localStorage.setItem(key, text)", [key, broken])
        page.goto(EMPTY)
        expect(page.locator(".draft")).to_have_count(0)
        assert rows_of(page, "rebound") == []
