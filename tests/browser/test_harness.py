"""The harness of these tests can fail: what it should hear and see, it does, and each test has its own workshop."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import Page, expect

from inventory.jobs.models import Job
from inventory.people.models import Person
from inventory.people.roles import Role
from inventory.stock.models import Drawer, Lot, Site
from tests.browser import accessible, desk
from tests.browser.conftest import PATIENCE_MS, Opens
from tests.browser.hands import Presses, scan
from tests.browser.watch import Watch
from tests.conftest import HeldClock
from tests.people import key_of, tuner

ROOT = Path(__file__).resolve().parent.parent.parent
COMPLAINING = Path(__file__).with_name("complaining.py")
GOOD = """<!doctype html><html lang=en><title>Drawer</title><main><h1>Drawer</h1>
<label>Code <input name=code></label></main></html>"""
POLICY = "default-src 'none'; script-src 'self'; style-src 'self'"


@pytest.fixture
def own(page: Page, base_url: str) -> Callable[..., Page]:
    """Shows a page of the test's own under the server's address."""

    def shown(html: str, **answer: Any) -> Page:
        address = f"{base_url}/own-page"
        page.route(address, lambda route: route.fulfill(content_type="text/html", body=html, **answer))
        page.goto(address)
        return page

    return shown


def heard(console: Watch, page: Page, start: str) -> list[str]:
    """Waits until something that starts so was heard; takes all of it."""
    for _ in range(PATIENCE_MS // 50):
        if any(fault.startswith(start) for fault in console.faults):
            break
        page.wait_for_timeout(50)
    return [fault for fault in console.take() if fault.startswith(start)]


def test_a_good_page_has_no_violation(own: Callable[..., Page], axe: Callable[[Page], None]) -> None:
    axe(own(GOOD))


def test_an_unlabelled_field_is_a_violation_told_with_element_and_cure(
    own: Callable[..., Page], axe: Callable[[Page], None]
) -> None:
    page = own(GOOD.replace("<label>Code <input name=code></label>", "<input name=code>"))
    with pytest.raises(pytest.fail.Exception, match="own-page is not accessible") as failed:
        axe(page)
    said = str(failed.value)
    assert "label (critical): Form elements must have labels" in said
    assert '<input name="code">' in said
    assert "Fix any of the following" in said


def test_a_target_too_small_for_a_finger_is_a_violation(own: Callable[..., Page]) -> None:
    tiny = "<style>button { display: block; width: 10px; height: 10px; padding: 0; border: 0 }</style>"
    buttons = "<button>a</button><button>b</button>"
    found = accessible.violations(own(GOOD.replace("</main>", f"{tiny}{buttons}</main>")))
    assert [fault.partition(" ")[0] for fault in found] == ["target-size", "target-size"]


def test_pale_text_is_a_violation(own: Callable[..., Page]) -> None:
    found = accessible.violations(own(GOOD.replace("<h1>", "<style>h1 { color: #ddd }</style><h1>")))
    assert [fault.partition(" ")[0] for fault in found] == ["color-contrast"]


@pytest.mark.parametrize("word", ["error", "warn"])
def test_what_a_script_says_in_the_console_is_heard(word: str, own: Callable[..., Page], console: Watch) -> None:
    page = own(f"{GOOD}<script>console.{word}('the drawer jams')</script>")
    assert heard(console, page, "console") == [f"console {'warning' if word == 'warn' else word}: the drawer jams"]


def test_a_script_that_throws_is_heard(own: Callable[..., Page], console: Watch) -> None:
    page = own(f"{GOOD}<script>nobody.home()</script>")
    (fault,) = heard(console, page, "script")
    assert "nobody is not defined" in fault


@pytest.mark.parametrize(
    ("broken", "directive"),
    [("<script>1</script>", "script-src-elem"), ("<p style='color: red'>red</p>", "style-src-attr")],
)
def test_what_the_policy_forbids_is_heard(
    broken: str, directive: str, own: Callable[..., Page], console: Watch
) -> None:
    page = own(GOOD + broken, headers={"Content-Security-Policy": POLICY})
    (fault,) = heard(console, page, "policy")
    assert fault.startswith(f"policy: {directive} forbids inline")


def test_an_answer_that_says_the_server_failed_is_heard(own: Callable[..., Page], console: Watch) -> None:
    page = own(GOOD, status=500)
    assert heard(console, page, "answer") == [f"answer 500: {page.url}"]


def test_a_refused_form_is_no_fault_and_a_missing_part_is(
    own: Callable[..., Page], console: Watch, base_url: str
) -> None:
    page = own(f"{GOOD}<img alt='' src='/static/no-such.png'>", status=422)
    assert heard(console, page, "answer") == [f"answer 404: {base_url}/static/no-such.png"]
    assert console.faults == []


def test_an_address_that_nobody_answers_is_heard(page: Page, base_url: str, console: Watch) -> None:
    page.route("**/gone.js", lambda route: route.abort("connectionrefused"))
    page.route(
        "**/own-page", lambda route: route.fulfill(content_type="text/html", body="<script src=/gone.js></script>")
    )
    page.goto("/own-page")
    assert heard(console, page, "no answer") == [f"no answer: {base_url}/gone.js net::ERR_CONNECTION_REFUSED"]


def test_a_complaint_that_no_test_took_fails_that_test(tmp_path: Path) -> None:
    # The file's name keeps it out of other runs.
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--output", str(tmp_path / "pictures")]
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    done = subprocess.run([*command, str(COMPLAINING)], env=clean, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 1
    assert "2 passed, 1 error" in done.stdout
    assert "the browser complained:\nconsole error: the drawer jams" in done.stdout
    assert [path.suffix for path in tmp_path.rglob("*complaint-left*/*")] == [".png"]


@pytest.fixture
def typed(own: Callable[..., Page]) -> Page:
    """A page that writes down each key with its target's name."""
    script = "<script>window.seen = []; addEventListener('keydown', (event) => seen.push(event.key))</script>"
    page = own(GOOD + script)
    page.locator("[name=code]").focus()
    return page


def test_the_scanner_types_the_code_and_enter_where_the_focus_is(typed: Page) -> None:
    pressed = scan(typed, "L-000412")
    expect(typed.locator("[name=code]")).to_have_value("L-000412")
    assert typed.evaluate("seen") == [*"L-000412", "Enter"]
    assert pressed == 9


def test_key_presses_are_counted_as_the_page_sees_them(typed: Page) -> None:
    hands = Presses(typed)
    hands.type("12")
    hands.press("Tab", 2)
    hands.press("Control+Shift++")
    hands.press("+")
    hands.scan("L-1")
    assert len(typed.evaluate("seen")) == hands.keys + hands.data
    assert (hands.keys, hands.data) == (2 + 3 + 1, 2 + 4)


@pytest.mark.parametrize("attempt", [1, 2])
def test_each_test_finds_the_workshop_as_it_was_loaded(attempt: int) -> None:
    assert Lot.objects.count() >= 1500
    assert not Site.objects.filter(code="left-behind").exists()
    Site.objects.create(code="left-behind", name=f"attempt {attempt}")


@pytest.mark.smoke
def test_server_and_test_see_the_same_tables(bench: Opens) -> None:
    page = bench(Role.LEAD)
    page.goto("/admin/")
    expect(page.locator("#user-tools")).to_contain_text("Ottla")
    Person.objects.filter(username=desk.username(Role.LEAD)).update(first_name="Ottilie")
    page.reload()
    expect(page.locator("#user-tools")).to_contain_text("Ottilie")
    assert Drawer.objects.exists() and Session.objects.count() == 1


def test_the_server_lives_by_the_clock_that_a_test_holds(clock: HeldClock, page: Page, base_url: str) -> None:
    headers = {"Authorization": f"Bearer {key_of(tuner())}", "Idempotency-Key": "once"}
    sent = page.request.post(f"{base_url}/api/v1/jobs", headers=headers, data={"number": "J-7", "title": "Fork"})
    assert sent.status == 201
    assert Job.objects.get(number="J-7").created_at == clock.time


def test_nobody_is_signed_in_until_a_role_is_named(bench: Opens) -> None:
    page = bench()
    page.goto("/admin/")
    assert page.url.endswith("/sign-in?next=%2Fadmin%2F")


@pytest.mark.smoke
@pytest.mark.parametrize("shared", [False, True])
def test_a_person_signs_in_with_the_password(shared: bool, bench: Opens) -> None:
    page = bench()
    desk.sign_in(page, Role.TUNER, shared=shared)
    session = Session.objects.get().get_decoded()
    assert session["_auth_user_id"] == str(Person.objects.get(role=Role.TUNER).pk)
    assert ("workplace" in session) == shared


def test_sizes_are_those_of_the_bench_and_of_a_phone(bench: Opens, phone: Opens) -> None:
    for page, size in ((bench(), [1280, 800]), (phone(), [390, 844])):
        page.goto("/admin/login/")
        assert page.evaluate("[innerWidth, innerHeight]") == size


def test_without_script_no_script_runs(no_script: Opens, base_url: str) -> None:
    page = no_script()
    html = f"{GOOD}<script>document.title = 'Script'</script>"
    page.route("**/own-page", lambda route: route.fulfill(content_type="text/html", body=html))
    page.goto("/own-page")
    expect(page).to_have_title("Drawer")
