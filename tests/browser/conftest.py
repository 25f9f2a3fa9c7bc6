"""A real browser on the demo workshop. Every test has a copy of the workshop to itself, and fails on any complaint.

    bench(Role.CLERK)       a signed-in page of 1280 x 800; phone(...) of 390 x 844; no_script(...) without JavaScript
    bench()                 nobody is signed in
    console.take()          accepts what the browser complained about so far
    axe(page)               no violation of accessibility rules
    scanner(page, "L-7")    types it as a scanner does

Tables are read and the clock is held as in any other test: the server is a thread of the same process.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any, Protocol

import pytest
from playwright.sync_api import BrowserContext, Page, expect
from pytest_django import DjangoDbBlocker

from inventory.people.roles import Role
from tests.browser import accessible, chromium, desk, hands
from tests.browser.server import Databases, serving
from tests.browser.watch import Watch

HERE = Path(__file__).parent
# For every wait, of a page and of `expect`: much longer than a slow machine needs. It costs only where a test fails.
PATIENCE_MS = 60_000
expect.set_options(timeout=PATIENCE_MS)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Marks all of this folder, before `-m` chooses."""
    for item in items:
        if item.path.is_relative_to(HERE):
            item.add_marker(pytest.mark.browser)


class Opens(Protocol):
    """Opens a page of its own, signed in as the demo's person of that role."""

    def __call__(self, role: Role | None = None, *, size: desk.Size = ..., script: bool = True) -> Page: ...


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_type_launch_args, **chromium.launch_options()}


@pytest.fixture(scope="session", autouse=True)
def beside_the_browser() -> Iterator[None]:
    """Playwright keeps an event loop in this thread; Django then refuses its tables unless told that all is well."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        yield


@pytest.fixture(scope="session")
def databases(tmp_path_factory: pytest.TempPathFactory, django_db_blocker: DjangoDbBlocker) -> Iterator[Databases]:
    """The workshop, loaded once for all workers."""
    with django_db_blocker.unblock():
        found = Databases(tmp_path_factory.mktemp("workshops"))
    yield found
    with django_db_blocker.unblock():
        found.close()


@pytest.fixture(scope="session")
def base_url() -> Iterator[str]:
    """Where the workshop is served; pages know it, so `page.goto("/sign-in")` is enough."""
    with serving() as address:
        yield address


@pytest.fixture(autouse=True)
def demo(databases: Databases, beside_the_browser: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """A copy of the workshop for this test alone."""
    with django_db_blocker.unblock(), databases.copy():
        yield


@pytest.fixture
def console() -> Iterator[Watch]:
    """What the browser complained about; whatever the test has not taken fails it."""
    watch = Watch()
    yield watch
    if watch.faults:
        pytest.fail("the browser complained:\n" + "\n".join(watch.faults), pytrace=False)


@pytest.fixture
def new_context(
    demo: None, console: Watch, new_context: Callable[..., BrowserContext]
) -> Callable[..., BrowserContext]:
    """Contexts of the bench's size that are listened to. They close before the console is judged and the copy goes."""

    def opened(**options: Any) -> BrowserContext:
        context = new_context(**{**desk.BENCH, **options})
        context.set_default_timeout(PATIENCE_MS)
        console.follow(context)
        return context

    return opened


@pytest.fixture
def page_as(new_context: Callable[..., BrowserContext], base_url: str) -> Opens:
    """Opens pages, each in a context of its own."""

    def opened(role: Role | None = None, *, size: desk.Size = desk.BENCH, script: bool = True) -> Page:
        context = new_context(**size, java_script_enabled=script)
        if role:
            desk.enter(context, role, base_url)
        return context.new_page()

    return opened


@pytest.fixture
def bench(page_as: Opens) -> Opens:
    return page_as


@pytest.fixture
def phone(page_as: Opens) -> Opens:
    return partial(page_as, size=desk.PHONE)


@pytest.fixture
def no_script(page_as: Opens) -> Opens:
    return partial(page_as, script=False)


@pytest.fixture
def axe() -> Callable[[Page], None]:
    """Fails with rule, element and cure for each violation."""

    def check(page: Page) -> None:
        if found := accessible.violations(page):
            pytest.fail(f"{page.url} is not accessible:\n" + "\n".join(found), pytrace=False)

    return check


@pytest.fixture
def scanner() -> Callable[[Page, str], int]:
    return hands.scan
