"""One way in: every place that takes a password counts the wrong ones together, and the admin pages have no door."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inventory.people import brakes
from inventory.people.models import Brake, Person
from tests import people
from tests.conftest import HeldClock
from tests.visiting import text_of

pytestmark = pytest.mark.django_db

PASSWORD = "a-long-password-9"
NEW = "another-long-password-8"


@pytest.fixture
def maive(clock: HeldClock) -> Person:
    """The lead, with a password and the admin pages."""
    person = people.lead().person
    assert person is not None
    person.set_password(PASSWORD)
    person.is_staff = person.is_superuser = True
    person.save()
    return person


@pytest.fixture
def inside(client: Browser, maive: Person) -> Browser:
    """A browser in which the lead is signed in."""
    client.post(reverse("sign-in"), {"username": "maive", "password": PASSWORD})
    return client


def to_sign_in(browser: Browser, password: str) -> str:
    return text_of(Browser().post(reverse("sign-in"), {"username": "maive", "password": password}))


def to_own_pin(browser: Browser, password: str) -> str:
    return text_of(browser.post(reverse("own-pin"), {"pin": "8305", "password": password}))


def to_kept(browser: Browser, password: str) -> str:
    fields = {"back": "/shelf", "username": "maive", "password": password}
    return text_of(Browser().post(reverse("open-and-send"), fields))


def to_password_change(browser: Browser, password: str) -> str:
    fields = {"old_password": password, "new_password1": NEW, "new_password2": NEW}
    return text_of(browser.post("/admin/password_change/", fields))


PLACES = [to_sign_in, to_own_pin, to_kept, to_password_change]
Place = Callable[[Browser, str], str]


@pytest.mark.parametrize("place", PLACES)
def test_every_place_that_takes_a_password_waits_after_wrong_ones(
    inside: Browser, maive: Person, clock: HeldClock, place: Place
) -> None:
    for _ in range(brakes.FREE_PASSWORDS):
        place(inside, "wrong")
    before = Person.objects.get(pk=maive.pk)
    assert "wait 1 s" in place(inside, PASSWORD), "not even the right one is looked at"
    after = Person.objects.get(pk=maive.pk)
    assert (after.password, after.pin) == (before.password, before.pin)


def test_wrong_passwords_count_together_wherever_they_are_typed(inside: Browser, clock: HeldClock) -> None:
    for turn in range(brakes.FREE_PASSWORDS):
        PLACES[turn % len(PLACES)](inside, "wrong")
    for place in PLACES:
        assert "wait 1 s" in place(inside, PASSWORD)


@pytest.mark.parametrize("place", PLACES)
def test_a_right_password_forgets_the_wrong_ones(
    inside: Browser, maive: Person, clock: HeldClock, place: Place
) -> None:
    for _ in range(brakes.FREE_PASSWORDS - 1):
        place(inside, "wrong")
    place(inside, PASSWORD)
    assert not Brake.objects.exists()


def test_one_changes_ones_own_password_where_passwords_are_given(inside: Browser, maive: Person) -> None:
    to_password_change(inside, "wrong")
    maive.refresh_from_db()
    assert maive.check_password(PASSWORD)
    to_password_change(inside, PASSWORD)
    maive.refresh_from_db()
    assert maive.check_password(NEW)


@pytest.mark.parametrize("method", ["get", "post"])
def test_the_admin_pages_have_no_door_of_their_own(client: Browser, maive: Person, method: str) -> None:
    fields = {"username": "maive", "password": PASSWORD, "next": "/admin/inventory/person/"}
    away = getattr(client, method)("/admin/login/", fields)
    assert (away.status_code, away["Location"]) == (303, "/sign-in?next=%2Fadmin%2Finventory%2Fperson%2F")
    assert "_auth_user_id" not in client.session


def test_somebody_without_the_admin_pages_is_told_so_and_not_asked_for_a_password(client: Browser) -> None:
    clerk = people.clerk().person
    assert clerk is not None
    client.force_login(clerk)
    told = client.get("/admin/", follow=True)
    assert told.status_code == 403
    assert "it is for: lead" in text_of(told)


def test_the_lead_comes_to_the_admin_pages_through_the_sign_in(client: Browser, maive: Person) -> None:
    asked = client.get("/admin/", follow=True)
    assert asked.request["PATH_INFO"] == "/sign-in"
    fields = {"username": "maive", "password": PASSWORD, "next": "/admin/"}
    assert client.post(reverse("sign-in"), fields)["Location"] == "/admin/"
    assert client.get("/admin/").status_code == 200
    assert client.get("/admin/login/")["Location"] == "/admin/"
