"""Who sits where: the sizes of the workshop's screens, and signing in as its people."""

from __future__ import annotations

from typing import Any, TypedDict

from django.conf import settings
from django.test import Client
from playwright.sync_api import BrowserContext, Page, ViewportSize

from compat.demo import workshop
from inventory.people.models import Person
from inventory.people.roles import Role


class Size(TypedDict, total=False):
    """What a context of Playwright takes about a screen."""

    viewport: ViewportSize
    is_mobile: bool
    has_touch: bool


BENCH: Size = {"viewport": {"width": 1280, "height": 800}}
PHONE: Size = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True}


def username(role: Role) -> str:
    """The name by which the demo's person of that role signs in."""
    people: list[dict[str, Any]] = workshop.fixture("people.json")
    return str(next(one["username"] for one in people if one["role"] == role))


def enter(context: BrowserContext, role: Role, address: str) -> None:
    """Gives the browser the session of somebody who has signed in on a computer of his own.

    Costs no password hash, unlike sign_in().
    """
    client = Client()
    client.force_login(Person.objects.get(username=username(role)))
    name = settings.SESSION_COOKIE_NAME
    context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": address}])


def sign_in(page: Page, role: Role, *, shared: bool = False) -> None:
    """Signs in on the page for it, with the password."""
    page.goto("/sign-in")
    page.locator("[name=username]").fill(username(role))
    page.locator("[name=password]").fill(workshop.PASSWORD)
    if shared:
        page.locator("[name=shared]").check()
    page.locator("[name=password]").press("Enter")
    page.wait_for_url(lambda url: "/sign-in" not in url)
