"""Who may see and send which page: every address, every role, nobody at all."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import URLPattern

from compat.pages import urls as page_urls
from inventory.counter import urls
from inventory.people.roles import Role
from tests import people
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db

TABLE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "pages.md"
ROW = re.compile(r"^\| (/\S*) \| ([a-z ]+) \| ([a-z ]+) \|$", re.MULTILINE)
OPEN = {"sign-in", "sign-out", "switch", "open-and-send", "lock"}
STAFF = {Role.CLERK: people.clerk, Role.TUNER: people.tuner, Role.LEAD: people.lead}
NOBODY = "nobody"


def pages() -> Iterator[tuple[str, str, Any]]:
    """(name, address with {} for what stands in it, view) of every page."""
    for pattern in [*urls.urlpatterns, *page_urls.urlpatterns]:
        assert isinstance(pattern, URLPattern)
        yield str(pattern.name), "/" + re.sub(r"<[^>]*>", "{}", str(pattern.pattern)), pattern.callback


GUARDED = [(address, view) for name, address, view in pages() if name not in OPEN]


def written() -> dict[str, tuple[set[str], set[str]]]:
    return {
        address: ({*look.split()} - {NOBODY}, {*send.split()} - {NOBODY})
        for address, look, send in ROW.findall(TABLE.read_text())
    }


def filled(address: str) -> str:
    """The address of something that does not exist: whoever may come in finds nothing there."""
    return address.replace("{}", "9")


def test_every_page_stands_in_the_table_and_no_other() -> None:
    assert {address for address, _ in GUARDED} == set(written())


@pytest.mark.parametrize(("address", "view"), GUARDED, ids=[address for address, _ in GUARDED])
def test_the_table_says_what_the_page_allows(address: str, view: Any) -> None:
    assert ({str(role) for role in view.access.see}, {str(role) for role in view.access.send}) == written()[address]


@pytest.mark.parametrize("address", [address for address, _ in GUARDED])
@pytest.mark.parametrize("role", STAFF)
def test_a_role_that_is_not_named_gets_403_and_a_role_that_is_named_does_not(role: Role, address: str) -> None:
    browser = signed_in(Browser(), STAFF[role]())
    look, send = written()[address]
    for method, allowed in (("get", look), ("post", send)):
        status = getattr(browser, method)(filled(address)).status_code
        if not allowed:
            assert status == 405
        elif role in allowed:
            assert status in {200, 303, 400, 404, 422}
        else:
            assert status == 403


@pytest.mark.parametrize("address", [address for address, _ in GUARDED])
def test_nobody_sees_or_sends_anything_without_signing_in(client: Browser, address: str) -> None:
    seen, sent = client.get(filled(address)), client.post(filled(address), {"typed": "text"})
    assert (seen.status_code, sent.status_code) == (302, 403)
    assert seen["Location"].startswith("/sign-in?next=")
    assert 'name="kept-typed" value="text"' in sent.content.decode()
