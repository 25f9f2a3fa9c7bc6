"""What stands on the bench outlives the page, belongs to who typed it, and goes with what it became."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from compat.demo import workshop
from inventory.people.roles import Role
from tests.browser import desk
from tests.browser.conftest import PATIENCE_MS, Opens
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


OTHER = [["30", "0.15", "2"]]


def until(page: Page, condition: Callable[[str], bool]) -> None:
    """Waits until that is true of everything that lies in the browser."""
    for _ in range(PATIENCE_MS // 50):
        if condition(drafts(page)):
            return
        page.wait_for_timeout(50)
    pytest.fail(f"it never came to that: {drafts(page)}")


def beside(page: Page) -> Page:
    """Another tab of the same person, with the empty bench of the same damper."""
    other = page.context.new_page()
    other.goto(EMPTY)
    return other


def put_back(page: Page, side: str, rows: list[list[str]]) -> None:
    page.reload()
    expect(page.locator(".draft").first).to_contain_text("put back")
    assert rows_of(page, side) == rows


def test_two_tabs_of_one_person_each_keep_their_own_rows(bench: Opens) -> None:
    page = bench(Role.TUNER)
    typed(page)
    other = beside(page)
    assert rows_of(other, "rebound") == ROWS, "a new tab goes on with the newest draft"
    type_rows(other, "compression", OTHER, 0)
    put_back(page, "rebound", ROWS)
    assert rows_of(page, "compression") == []
    put_back(other, "compression", OTHER)
    assert rows_of(other, "rebound") == ROWS
    # From elsewhere too each comes back to its own.
    for tab, rows in ((page, []), (other, OTHER)):
        tab.goto("/shelf")
        tab.goto(EMPTY)
        assert rows_of(tab, "compression") == rows


def test_rows_of_a_tab_that_stays_open_survive_what_another_does_with_their_draft(bench: Opens) -> None:
    page = bench(Role.TUNER)
    typed(page)
    other = beside(page)
    other.get_by_role("button", name="Throw it away").click()
    expect(other.locator("[name=job]")).to_have_value("")
    until(page, lambda kept: "J-77" in kept)
    put_back(page, "rebound", ROWS)


def test_a_tab_doubled_with_its_memory_goes_its_own_way_from_the_first_row(bench: Opens) -> None:
    page = bench(Role.TUNER)
    typed(page)
    # A tab that is opened by a script or doubled has the memory of the first: it takes itself for that one.
    with page.expect_popup() as opened:
        page.evaluate("address => void open(address)", EMPTY)
    other = opened.value
    expect(other.locator(".draft")).to_contain_text("put back")
    type_rows(other, "compression", OTHER, 0)
    until(page, lambda kept: kept.count("J-77") == 2)
    put_back(page, "rebound", ROWS)
    assert rows_of(page, "compression") == []
    put_back(other, "compression", OTHER)


def test_a_plan_kept_in_a_new_tab_ends_the_draft_that_it_went_on_with(bench: Opens) -> None:
    page = bench(Role.TUNER)
    typed(page)
    context = page.context
    page.close()
    for also in (False, True):
        other = context.new_page()
        other.goto(EMPTY)
        expect(other.locator(".draft")).to_contain_text("put back")
        if also:
            type_rows(other, "compression", OTHER, 0)
            # Once more, in another tab: what is kept there ends both.
            other.close()
            other = context.new_page()
            other.goto(EMPTY)
        other.locator("[name=job]").fill("")
        other.get_by_role("button", name="Keep this plan").click()
        other.wait_for_url("**/plans/*")
        other.goto(EMPTY)
        expect(other.locator(".draft")).to_have_count(0)
        assert rows_of(other, "rebound") == []
        assert "QU-46-A" not in drafts(other)
        type_rows(other, "rebound", ROWS, 0)
        other.close()


def test_the_draft_of_a_tab_that_is_gone_is_offered_beside_a_newer_one(bench: Opens) -> None:
    page = bench(Role.TUNER)
    typed(page)
    other = beside(page)
    type_rows(other, "compression", OTHER, 0)
    # Changed since, it is another draft than the one that the second tab went on with.
    page.locator("[name=job]").fill("J-78")
    page.close()
    third = other.context.new_page()
    third.goto(EMPTY)
    expect(third.locator("[name=job]")).to_have_value("J-78")
    third.get_by_role("button", name="Put it here").click()
    expect(third.locator("[name=job]")).to_have_value("J-77")
    assert rows_of(third, "compression") == OTHER
    third.locator("[name=job]").fill("J-79")
    assert [job in drafts(third) for job in ("J-77", "J-78", "J-79")] == [True] * 3
    third.get_by_role("button", name="Throw it away").click()
    expect(third.locator("[name=job]")).to_have_value("")
    assert "J-78" in drafts(third), "what was thrown away is the one that stood there"


def test_a_draft_is_its_person_s_own(bench: Opens) -> None:
    page = bench()
    desk.sign_in(page, Role.CLERK, shared=True)
    typed(page)

    def change(to: str) -> None:
        # What was typed has its answer: one still on its way would come to the other person's session and be refused.
        expect(page.locator("#answer:not([data-old]) .verdict-word")).to_be_visible()
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
