"""A shared computer in a browser: changing the person, the lock, and what was typed meanwhile."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from playwright.sync_api import Page, expect

from compat.demo import workshop
from inventory.people.models import Person
from inventory.people.roles import Role
from tests.browser import desk
from tests.browser.conftest import Opens
from tests.browser.watch import Watch
from tests.conftest import HeldClock

Axe = Callable[[Page], None]


@pytest.fixture
def shared(clock: HeldClock, bench: Opens) -> Page:
    """A shared computer that the clerk's password has opened."""
    page = bench()
    desk.sign_in(page, Role.CLERK, shared=True)
    return page


def test_the_person_changes_by_pin(shared: Page, axe: Axe) -> None:
    shared.get_by_role("button", name="Change person").click()
    expect(shared.locator("#pin")).to_be_focused()
    axe(shared)
    shared.get_by_text("Jorun Abelsted").click()
    shared.locator("#pin").fill(workshop.PIN)
    shared.keyboard.press("Enter")
    expect(shared.locator(".head-person")).to_contain_text("Jorun Abelsted")
    shared.go_back()
    shared.goto("/shelf")
    expect(shared.locator(".head-person")).to_contain_text("Jorun Abelsted")


def test_a_wrong_pin_says_so_and_keeps_the_person_chosen(shared: Page, axe: Axe) -> None:
    shared.get_by_role("button", name="Change person").click()
    shared.get_by_text("Jorun Abelsted").click()
    shared.locator("#pin").fill("0001")
    shared.keyboard.press("Enter")
    expect(shared.locator("#pin_error")).to_contain_text("not the PIN")
    expect(shared.locator("#pin")).to_be_focused()
    expect(shared.get_by_label("Jorun Abelsted")).to_be_checked()
    axe(shared)


def test_typing_stays_under_the_lock_and_goes_on_after_the_pin(shared: Page, clock: HeldClock, axe: Axe) -> None:
    open_the_bench(shared)
    shared.locator("[name=main-rebound-0-od]").fill("33")
    clock.advance(minutes=settings.LOCK_MINUTES, seconds=1)
    shared.keyboard.press("Tab")
    lock = shared.locator("#lock")
    expect(lock).to_contain_text("What you typed is still there")
    expect(shared.locator("#pin")).to_be_focused()
    axe(shared)
    for _ in range(8):
        shared.keyboard.press("Tab")
        inside = "document.activeElement === document.body || !!document.activeElement.closest('#lock')"
        assert shared.evaluate(inside), "the page under the lock takes no keys"
    shared.locator("#pin").fill(workshop.PIN)
    shared.locator("#pin").press("Enter")
    expect(lock).to_be_empty()
    expect(shared.locator("[name=main-rebound-0-od]")).to_have_value("33")
    assert shared.evaluate("document.activeElement !== document.body"), "the hands go on where they were"
    shared.locator("[name=main-rebound-0-od]").fill("36")
    shared.keyboard.press("Tab")
    expect(shared.locator(".verdict-word")).to_have_text("It fits")


@pytest.mark.parametrize(("shared_desk", "leave"), [(False, "Sign out"), (True, "Change person")])
def test_back_shows_nothing_after_signing_out_or_locking(bench: Opens, shared_desk: bool, leave: str) -> None:
    page = bench()
    desk.sign_in(page, Role.CLERK, shared=shared_desk)
    for address in ("/shelf", "/take-in", "/"):
        page.goto(address)
    page.get_by_role("button", name=leave).click()
    door = page.locator("[name=password], #pin").first
    expect(door).to_be_visible()
    # Past the page under the lock, or past the sign-in.
    page.go_back()
    page.go_back()
    expect(door).to_be_visible()
    assert page.locator("table, [name=number]").count() == 0, page.url


def open_the_bench(page: Page) -> None:
    """With the whole answer: the page asks for what stands in by itself, and is longer then."""
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    expect(page.locator(".verdict-word")).to_be_visible()
    expect(page.locator("[data-half]")).to_have_count(0)


@pytest.mark.parametrize("by_hand", [True, False], ids=["locked by hand", "locked by itself"])
def test_after_an_unlock_one_is_where_one_was(shared: Page, clock: HeldClock, by_hand: bool) -> None:
    shared.set_viewport_size({"width": 390, "height": 700})
    open_the_bench(shared)
    field = shared.locator("[name=main-rebound-2-od]")
    field.focus()
    field.evaluate("one => one.scrollIntoView({ block: 'center' })")
    address, height = shared.url, shared.evaluate("window.scrollY")
    assert height > 0
    if by_hand:
        shared.evaluate("document.querySelector('form[action$=lock] button').click()")
    else:
        clock.advance(minutes=settings.LOCK_MINUTES, seconds=1)
        shared.evaluate("htmx.ajax('GET', document.body.dataset.lockAddress, { target: '#lock', swap: 'innerHTML' })")
    expect(shared.locator("#pin")).to_be_focused()
    shared.locator("#pin").fill(workshop.PIN)
    shared.keyboard.press("Enter")
    expect(shared.locator("#lock")).to_be_empty()
    expect(field).to_be_focused()
    assert (shared.url, shared.evaluate("window.scrollY")) == (address, height)


def test_another_person_at_the_lock_gets_a_page_of_their_own(shared: Page, clock: HeldClock) -> None:
    open_the_bench(shared)
    clock.advance(minutes=settings.LOCK_MINUTES, seconds=1)
    shared.locator("[name=main-rebound-0-od]").fill("33")
    shared.keyboard.press("Tab")
    shared.locator("#lock").get_by_text("Jorun Abelsted").click()
    shared.locator("#pin").fill(workshop.PIN)
    shared.keyboard.press("Enter")
    expect(shared.locator(".head-person")).to_contain_text("Jorun Abelsted")
    expect(shared.locator("#lock")).to_be_empty()


def test_what_was_sent_to_a_locked_computer_is_sent_after_the_pin(shared: Page, clock: HeldClock) -> None:
    open_the_bench(shared)
    clock.advance(minutes=settings.LOCK_MINUTES, seconds=1)
    shared.get_by_role("button", name="Keep this plan").click()
    expect(shared.locator("h1")).to_have_text("Locked meanwhile")
    shared.locator("#pin").fill(workshop.PIN)
    shared.keyboard.press("Enter")
    expect(shared.get_by_role("button", name="Send it now")).to_be_focused()
    shared.keyboard.press("Enter")
    shared.wait_for_url("**/plans/*")
    assert Person.objects.get(username=desk.username(Role.CLERK)).plan_set.count() == 1


def test_without_script_a_locked_computer_opens_too(no_script: Opens, clock: HeldClock) -> None:
    page = no_script()
    desk.sign_in(page, Role.CLERK, shared=True)
    clock.advance(minutes=settings.LOCK_MINUTES, seconds=1)
    page.goto("/shelf?bore=12")
    page.wait_for_url("**/switch?next=*")
    page.locator("#pin").fill(workshop.PIN)
    page.get_by_role("button", name="Open").click()
    page.wait_for_url("**/shelf?bore=12")


def test_a_page_older_than_the_sign_in_keeps_its_typing(bench: Opens, console: Watch) -> None:
    page = bench()
    desk.sign_in(page, Role.TUNER)
    page.goto("/bench?damper=QU-46-A")
    page.locator("[name=main-rebound-0-od]").fill("36x0.2 x3")
    desk.sign_in(page.context.new_page(), Role.LEAD)
    page.locator("[name=main-rebound-0-od]").press("Enter")
    expect(page.locator("#trouble")).to_contain_text("What you typed is still here")
    cells = [page.locator(f"[name=main-rebound-0-{cell}]").input_value() for cell in ("od", "thickness", "count")]
    assert cells == ["36", "0.2", "3"]
    console.take()


def test_a_session_that_is_over_is_opened_again_above_the_page(bench: Opens, axe: Axe) -> None:
    page = bench()
    desk.sign_in(page, Role.TUNER)
    page.goto("/bench?damper=QU-46-A&stack=Long trail")
    page.locator("[name=main-rebound-0-od]").fill("33")
    Session.objects.all().delete()
    page.keyboard.press("Tab")
    expect(page.locator("#lock")).to_contain_text("Signed out")
    axe(page)
    page.locator("#lock [name=username]").fill(desk.username(Role.TUNER))
    page.locator("#lock [name=password]").fill(workshop.PASSWORD)
    page.keyboard.press("Enter")
    expect(page.locator("#lock")).to_be_empty()
    expect(page.locator("[name=main-rebound-0-od]")).to_have_value("33")
    page.locator("[name=main-rebound-0-od]").fill("36")
    page.keyboard.press("Tab")
    expect(page.locator(".verdict-word")).to_have_text("It fits")
    page.get_by_role("button", name="Keep this plan").click()
    page.wait_for_url("**/plans/*")


def test_choosing_the_person_leads_to_the_pin(shared: Page) -> None:
    shared.get_by_role("button", name="Change person").click()
    shared.get_by_text("Jorun Abelsted").click()
    shared.keyboard.type(workshop.PIN)
    shared.keyboard.press("Enter")
    expect(shared.locator(".head-person")).to_contain_text("Jorun Abelsted")


def test_slash_leads_to_the_search_also_from_an_empty_row(bench: Opens) -> None:
    page = bench(Role.TUNER)
    page.goto("/bench?damper=QU-46-A")
    page.locator("[name=main-rebound-0-od]").focus()
    page.keyboard.type("/34x0.15")
    expect(page.locator("#find")).to_have_value("34x0.15")
