"""Signing in, the shared bench computer, its lock, and what was typed when it locked."""

from __future__ import annotations

import re
from datetime import timedelta
from functools import partial

import pytest
from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.test import Client as Browser
from django.test import RequestFactory
from django.urls import reverse

from inventory.common.transactions import use_case
from inventory.counter import session
from inventory.people import brakes, pins
from inventory.people.models import Brake, Person, Workplace
from tests import people
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db

SWAP = {"HX-Request": "true"}
PASSWORD = "a-long-password-9"
PINS = {"runa": "4711", "ossian": "2649"}


@pytest.fixture
def staff() -> dict[str, Person]:
    """The clerk and the tuner, each with a password and a PIN."""
    found = {}
    for actor in (people.clerk(), people.tuner()):
        person = actor.person
        assert person is not None
        person.set_password(PASSWORD)
        person.save()
        pin = PINS[person.username]
        use_case(partial(pins.set_pin, person=person, pin=pin))
        found[person.username] = person
    return found


def enter(browser: Browser, *, shared: bool = False, **fields: str) -> int:
    data = {"username": "runa", "password": PASSWORD, **fields, **({"shared": "on"} if shared else {})}
    return browser.post(reverse("sign-in"), data).status_code


def test_without_a_sign_in_every_page_leads_to_it_and_back(client: Browser, staff: dict[str, Person]) -> None:
    away = client.get("/shelf?bore=12")
    assert (away.status_code, away["Location"]) == (302, "/sign-in?next=%2Fshelf%3Fbore%3D12")
    back = client.post(away["Location"], {"username": "runa", "password": PASSWORD, "next": "/shelf?bore=12"})
    assert (back.status_code, back["Location"]) == (303, "/shelf?bore=12")
    assert client.get("/shelf?bore=12").status_code == 200


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)"])
def test_signing_in_never_leads_to_another_server(client: Browser, staff: dict[str, Person], elsewhere: str) -> None:
    back = client.post(reverse("sign-in"), {"username": "runa", "password": PASSWORD, "next": elsewhere})
    assert back["Location"] == reverse("start")


def test_a_wrong_password_says_so_and_keeps_the_name(client: Browser, staff: dict[str, Person]) -> None:
    refused = client.post(reverse("sign-in"), {"username": "runa", "password": "wrong"})
    text = refused.content.decode()
    assert refused.status_code == 422
    assert "The name or the password is not right" in text
    assert 'value="runa"' in text and "wrong</" not in text and 'value="wrong"' not in text


def test_people_change_by_pin_on_a_shared_computer(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=True)
    done = client.post(reverse("switch"), {"person": staff["ossian"].pk, "pin": PINS["ossian"]})
    assert done.status_code == 303
    assert "Ossian Tarn" in client.get("/").content.decode()
    assert session.WORKPLACE in client.session


def test_a_pin_is_no_use_where_no_password_opened_the_computer(client: Browser, staff: dict[str, Person]) -> None:
    done = client.post(reverse("switch"), {"person": staff["ossian"].pk, "pin": PINS["ossian"]})
    assert done["Location"] == reverse("sign-in")
    enter(client, shared=False)
    client.post(reverse("switch"), {"person": staff["ossian"].pk, "pin": PINS["ossian"]})
    assert "Runa Feldmark" in client.get("/").content.decode()


def test_somebody_elses_pin_opens_nothing(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=True)
    client.post(reverse("lock"))
    refused = client.post(reverse("switch"), {"person": staff["ossian"].pk, "pin": PINS["runa"]})
    assert refused.status_code == 422
    assert "not the PIN" in refused.content.decode()
    assert client.get("/")["Location"].startswith(reverse("switch"))


def guess(browser: Browser, person: Person, pin: str) -> bool:
    """Whether a PIN opened the computer."""
    return browser.post(reverse("switch"), {"person": person.pk, "pin": pin}).status_code == 303


def test_after_five_wrong_pins_a_persons_pin_is_off_until_their_password(
    client: Browser, staff: dict[str, Person]
) -> None:
    enter(client, shared=True)
    for _ in range(brakes.MOST_PINS):
        assert not guess(client, staff["ossian"], "0001")
    assert not guess(client, staff["ossian"], PINS["ossian"]), "even the right one is not looked at any more"
    assert guess(client, staff["runa"], PINS["runa"]), "the others go on"
    enter(Browser(), username="ossian")
    assert guess(client, staff["ossian"], PINS["ossian"])


def test_a_pin_that_is_switched_off_says_so_and_what_to_do(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=True)
    typed = {"person": staff["ossian"].pk, "pin": "0001"}
    wrong = client.post(reverse("switch"), typed).content.decode()
    assert "That is not the PIN of this person" in wrong and "is switched off, since" not in wrong
    for _ in range(brakes.MOST_PINS):
        client.post(reverse("switch"), typed)
    right = client.post(reverse("switch"), {**typed, "pin": PINS["ossian"]})
    assert right.status_code == 422
    said = right.content.decode()
    assert "is switched off, since five wrong ones were typed in a row" in said
    assert "Sign in with the password: then the PIN works again." in said
    assert "Choose your name" in client.post(reverse("switch"), {"pin": "1"}).content.decode()


def test_who_locks_by_hand_comes_back_to_the_page(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=True)
    here = "/find?q=34x0.15"
    asked = client.post(reverse("lock"), {"next": here})
    assert asked.status_code == 303 and asked["Location"] == "/switch?next=%2Ffind%3Fq%3D34x0.15"
    back = client.post(reverse("switch"), {"person": staff["runa"].pk, "pin": PINS["runa"], "next": here})
    assert back["Location"] == here
    client.post(reverse("lock"), {"next": here})
    other = client.post(reverse("switch"), {"person": staff["ossian"].pk, "pin": PINS["ossian"], "next": here})
    assert other["Location"] == reverse("start"), "another person starts on a page of their own"


def test_wrong_pins_count_over_browsers_and_ones_own_right_pin_does_not_clear_them(
    client: Browser, staff: dict[str, Person]
) -> None:
    enter(client, shared=True)
    other = Browser()
    enter(other, shared=True)
    for _ in range(brakes.MOST_PINS - 1):
        assert not guess(other, staff["ossian"], "0001")
        assert guess(client, staff["runa"], PINS["runa"])
    assert not guess(client, staff["ossian"], "0001")
    assert not guess(client, staff["ossian"], PINS["ossian"])


def test_a_right_pin_forgets_that_persons_wrong_ones(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=True)
    for _ in range(2):
        for _ in range(brakes.MOST_PINS - 1):
            assert not guess(client, staff["runa"], "0001")
        assert guess(client, staff["runa"], PINS["runa"])
    assert client.get("/").status_code == 200


def test_wrong_passwords_wait_longer_each_time_whoever_they_are_for(
    client: Browser, staff: dict[str, Person], clock: HeldClock
) -> None:
    for name in ("runa", "nobody of that name"):
        for _ in range(brakes.FREE_PASSWORDS):
            assert enter(client, username=name, password="wrong") == 422
        for seconds in (1, 2, 4, 8):
            refused = client.post(reverse("sign-in"), {"username": name.upper(), "password": PASSWORD})
            assert f"wait {seconds} s" in refused.content.decode()
            clock.advance(seconds=seconds)
            assert enter(client, username=name, password="wrong") == 422
    clock.advance(seconds=16)
    assert enter(client) == 303
    assert enter(Browser(), password="wrong") == 422
    assert enter(Browser()) == 303, "the right password has forgotten the wrong ones"


def test_the_wait_for_a_password_ends(client: Browser, staff: dict[str, Person], clock: HeldClock) -> None:
    for _ in range(40):
        enter(client, password="wrong")
        clock.advance(minutes=5)
    assert enter(client) == 303


def test_what_a_page_in_flight_writes_does_not_undo_the_lock(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=True)
    request = RequestFactory().get("/")
    request.session, request.user = client.session, staff["runa"]
    assert not session.is_locked(request), "the page has begun"
    client.post(reverse("lock"))
    Workplace.objects.update(seen_at=Workplace.objects.get().seen_at - 2 * session.SEEN_EVERY)
    session.touch(request)
    request.session.save()
    assert client.get("/")["Location"].startswith(reverse("switch"))


def test_the_admin_pages_are_closed_on_a_shared_computer(client: Browser, staff: dict[str, Person]) -> None:
    lead = people.lead().person
    assert lead is not None
    Person.objects.filter(pk=lead.pk).update(is_staff=True, is_superuser=True)
    lead.refresh_from_db()
    lead.set_password(PASSWORD)
    lead.save()
    use_case(lambda: pins.set_pin(person=lead, pin="1859"))
    enter(client, shared=True)
    assert guess(client, lead, "1859")
    for address in ("/admin/", "/admin/inventory/person/", f"/admin/inventory/person/{lead.pk}/password/"):
        refused = client.get(address)
        assert refused.status_code == 403 and "Not on a shared computer" in refused.content.decode()
    own = Browser()
    enter(own, username="maive")
    assert own.get("/admin/inventory/person/").status_code == 200


def test_a_computer_of_ones_own_is_never_opened_by_a_pin(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=False)
    fields = {"person": staff["ossian"].pk, "pin": PINS["ossian"], "back": "/shelf"}
    assert "Send it now" in client.post(reverse("open-and-send"), fields).content.decode()
    assert "Runa Feldmark" in client.get("/").content.decode()


def test_what_is_sent_when_the_session_is_over_is_kept_for_after_the_password(
    client: Browser, staff: dict[str, Person]
) -> None:
    kept = client.post("/deliveries/1?make=shim", {"number": "SH-1", "od_mm": "34", "password": "x"})
    text = kept.content.decode()
    assert kept.status_code == 403 and "Signed out meanwhile" in text
    assert 'name="back" value="/deliveries/1?make=shim"' in text
    fields = dict(re.findall(r'name="(kept-\w+|back)" value="([^"]*)"', text))
    wrong = client.post(reverse("open-and-send"), {**fields, "username": "runa", "password": "wrong"})
    assert wrong.status_code == 422 and 'name="kept-number" value="SH-1"' in wrong.content.decode()
    opened = client.post(reverse("open-and-send"), {**fields, "username": "runa", "password": PASSWORD})
    again = opened.content.decode()
    assert 'action="/deliveries/1?make=shim"' in again
    assert dict(re.findall(r'name="(number|od_mm)" value="([^"]*)"', again)) == {"number": "SH-1", "od_mm": "34"}


def test_a_fragment_asked_for_when_the_session_is_over_shows_the_sign_in_above_the_page(
    client: Browser, staff: dict[str, Person]
) -> None:
    over = client.post(reverse("bench-answer"), {"damper": "X"}, headers=SWAP)
    assert (over["HX-Retarget"], over["HX-Reswap"]) == ("#lock", "innerHTML")
    assert "What you typed is still there" in over.content.decode()
    fields = {"username": "runa", "password": PASSWORD}
    mine = {**fields, "page_person": staff["runa"].pk}
    assert "data-token" in client.post(reverse("sign-in"), mine, headers=SWAP).content.decode()
    client.post(reverse("sign-out"))
    others = {**fields, "page_person": staff["ossian"].pk}
    assert client.post(reverse("sign-in"), others, headers=SWAP)["HX-Redirect"] == reverse("start")


@pytest.mark.parametrize("address", ["/drawers/%00", "/lots/%00x", "/parts/%00", "/dampers/%00", "/lots/a%0ab"])
def test_control_characters_in_an_address_name_nothing(client: Browser, staff: dict[str, Person], address: str) -> None:
    enter(client)
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("address", ["/find?q=%00", "/dampers?q=%00", "/fit/face-shim?damper=%00", "/shelf?bore=%00"])
def test_a_zero_byte_in_a_question_is_refused(client: Browser, staff: dict[str, Person], address: str) -> None:
    enter(client)
    refused = client.get(address)
    assert refused.status_code == 400
    assert "characters that are not allowed" in refused.content.decode()


def test_names_that_nobody_has_are_not_counted_for_ever(
    client: Browser, staff: dict[str, Person], clock: HeldClock
) -> None:
    enter(client, username="nobody", password="wrong")
    use_case(lambda: brakes.take_try(brakes.of_pin(staff["runa"].pk), brakes.MOST_PINS))
    clock.advance(days=2)
    enter(client, username="another", password="wrong")
    assert set(Brake.objects.values_list("key", flat=True)) == {
        brakes.of_password("another"),
        brakes.of_pin(staff["runa"].pk),
    }


def test_a_page_brought_back_asks_whose_it_is(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=True)
    address = f"{reverse('still-here')}?person={staff['runa'].pk}"
    assert client.get(address, headers=SWAP).status_code == 204
    guess(client, staff["ossian"], PINS["ossian"])
    assert client.get(address, headers=SWAP)["HX-Redirect"] == reverse("start")
    client.post(reverse("lock"))
    assert client.get(address, headers=SWAP)["HX-Retarget"] == "#lock"
    client.post(reverse("sign-out"))
    assert "Signed out" in client.get(address, headers=SWAP).content.decode()


def test_a_shared_computer_locks_when_nobody_uses_it(
    client: Browser, staff: dict[str, Person], clock: HeldClock
) -> None:
    enter(client, shared=True)
    clock.advance(minutes=settings.LOCK_MINUTES - 1)
    assert client.get("/").status_code == 200
    clock.advance(minutes=settings.LOCK_MINUTES - 1)
    assert client.get("/").status_code == 200, "using it keeps it open"
    clock.advance(minutes=settings.LOCK_MINUTES, seconds=1)
    assert client.get("/shelf")["Location"] == "/switch?next=%2Fshelf"


def test_a_session_ends_its_hours_after_the_password_however_much_it_is_used(
    client: Browser, staff: dict[str, Person], clock: HeldClock
) -> None:
    enter(client)
    for _ in range(settings.SIGNED_IN_HOURS - 1):
        clock.advance(hours=1)
        assert client.get("/").status_code == 200
    clock.advance(minutes=59, seconds=59)
    assert client.get("/shelf").status_code == 200
    clock.advance(seconds=1)
    assert client.get("/shelf")["Location"] == "/sign-in?next=%2Fshelf"
    assert "_auth_user_id" not in client.session


def test_a_pin_does_not_make_a_session_younger(client: Browser, staff: dict[str, Person], clock: HeldClock) -> None:
    enter(client, shared=True)
    for turn in range(settings.SIGNED_IN_HOURS):
        assert guess(client, staff[("ossian", "runa")[turn % 2]], PINS[("ossian", "runa")[turn % 2]])
        clock.advance(hours=1)
    over = client.post(reverse("switch"), {"person": staff["runa"].pk, "pin": PINS["runa"]})
    assert over["Location"] == reverse("sign-in")


def test_the_password_makes_a_session_new(client: Browser, staff: dict[str, Person], clock: HeldClock) -> None:
    enter(client)
    clock.advance(hours=settings.SIGNED_IN_HOURS - 1)
    enter(client)
    clock.advance(hours=settings.SIGNED_IN_HOURS - 1)
    assert client.get("/").status_code == 200


def test_a_session_that_tells_no_age_is_over(client: Browser, staff: dict[str, Person]) -> None:
    enter(client)
    opened = client.session
    del opened[session.OPENED]
    opened.save()
    assert client.get("/")["Location"].startswith(reverse("sign-in"))


def test_what_is_sent_after_the_last_hour_is_kept(client: Browser, staff: dict[str, Person], clock: HeldClock) -> None:
    enter(client)
    clock.advance(hours=settings.SIGNED_IN_HOURS)
    kept = client.post("/deliveries/1?make=shim", {"number": "SH-1"})
    assert kept.status_code == 403 and 'name="kept-number" value="SH-1"' in kept.content.decode()


def test_the_admin_pages_end_with_the_session(client: Browser, staff: dict[str, Person], clock: HeldClock) -> None:
    lead = people.lead().person
    assert lead is not None
    Person.objects.filter(pk=lead.pk).update(is_staff=True, is_superuser=True)
    client.force_login(lead)
    assert client.get("/admin/").status_code == 200
    clock.advance(hours=settings.SIGNED_IN_HOURS)
    assert client.get("/admin/").status_code == 302


def test_a_computer_of_ones_own_does_not_lock(client: Browser, staff: dict[str, Person], clock: HeldClock) -> None:
    enter(client, shared=False)
    clock.time += timedelta(hours=3)
    assert client.get("/").status_code == 200


def test_what_was_sent_to_a_locked_computer_is_kept_for_after_the_pin_but_no_secret(
    client: Browser, staff: dict[str, Person]
) -> None:
    enter(client, shared=True)
    client.post(reverse("lock"))
    locked = client.post(reverse("own-pin"), {"pin": "8305", "password": PASSWORD, "note": "two\nlines", "once": "K"})
    assert locked.status_code == 403
    text = locked.content.decode()
    assert "8305" not in text and PASSWORD not in text
    kept = dict(re.findall(r'name="(kept-\w+|back)" value="([^"]*)"', text))
    assert kept == {"back": reverse("own-pin"), "kept-note": "two\nlines", "kept-once": "K"}
    opened = client.post(reverse("open-and-send"), {**kept, "person": staff["runa"].pk, "pin": PINS["runa"]})
    again = dict(re.findall(r'name="(note|once)" value="([^"]*)"', opened.content.decode()))
    assert again == {"note": "two\nlines", "once": "K"}


def test_a_fragment_asked_for_while_locked_shows_the_lock_and_leaves_the_page(
    client: Browser, staff: dict[str, Person]
) -> None:
    enter(client, shared=True)
    client.post(reverse("lock"))
    lock = client.get("/shelf", headers={"HX-Request": "true"})
    assert (lock["HX-Retarget"], lock["HX-Reswap"]) == ("#lock", "innerHTML")
    assert "What you typed is still there" in lock.content.decode()
    fields = {"person": staff["runa"].pk, "pin": PINS["runa"]}
    opened = client.post(reverse("switch"), fields, headers=SWAP)
    assert (opened.status_code, opened["HX-Retarget"]) == (200, "#lock")
    assert "data-token" in opened.content.decode() and "role=" not in opened.content.decode()


COMMON = ["0000", "1111", "7777", "1234", "4321", "2468", "9753", "7890", "3210", "90123456", "1212", "123123"]
YEARS = ["1900", "1987", "2026", "2099"]


@pytest.mark.parametrize("pin", ["12", "123456789", "12a4", "\uff17\uff17\uff17\uff18", "", *COMMON, *YEARS])
def test_a_pin_that_is_none_is_refused_beside_its_field(client: Browser, staff: dict[str, Person], pin: str) -> None:
    enter(client)
    refused = client.post(reverse("own-pin"), {"pin": pin, "password": PASSWORD})
    assert refused.status_code == 422
    staff["runa"].refresh_from_db()
    assert pins.is_right(staff["runa"], PINS["runa"])


@pytest.mark.parametrize("pin", ["1899", "2100", "4711", "4826", "1223", "12346", "1212123", "19870"])
def test_a_pin_that_only_looks_like_a_common_one_is_taken(client: Browser, staff: dict[str, Person], pin: str) -> None:
    enter(client)
    assert client.post(reverse("own-pin"), {"pin": pin, "password": PASSWORD}).status_code == 303


def given_before(person: Person, pin: str) -> None:
    """A PIN that was set before those that are tried first were refused."""
    Person.objects.filter(pk=person.pk).update(pin=make_password(pin))


@pytest.mark.parametrize("common", ["1234", "1987", "11111111"])
def test_a_common_pin_set_before_opens_only_once_another_is_chosen(
    client: Browser, staff: dict[str, Person], common: str
) -> None:
    enter(client, shared=True)
    client.post(reverse("lock"))
    given_before(staff["ossian"], common)
    typed = {"person": staff["ossian"].pk, "pin": common}
    for more, said in (
        ({}, "Choose another to go on"),
        ({"new_pin": "4321"}, "The new PIN must not be a year"),
        ({"new_pin": common}, "The new PIN must not be a year"),
        ({"new_pin": "48"}, "The new PIN has 4 to 8 digits"),
        # However often: the old one was right each time, and nobody is locked out by looking for a new one.
        *[({}, "Choose another to go on")] * brakes.MOST_PINS,
    ):
        asked = client.post(reverse("switch"), typed | more)
        text = asked.content.decode()
        assert asked.status_code == 422 and said in text and 'name="new_pin"' in text
        assert common not in text and f'value="{staff["ossian"].pk}" required checked' in text
        assert client.get("/")["Location"].startswith(reverse("switch")), "nothing is open before"
    assert client.post(reverse("switch"), typed | {"new_pin": "4826"}).status_code == 303
    here = client.get("/").content.decode()
    assert "Ossian Tarn" in here and "Your new PIN is set." in here
    assert guess(client, staff["ossian"], "4826") and not guess(client, staff["ossian"], common)


def test_nobody_chooses_a_pin_for_another_without_the_old_one(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=True)
    given_before(staff["ossian"], "1234")
    for pin in ("4711", "4321"):
        refused = client.post(reverse("switch"), {"person": staff["ossian"].pk, "pin": pin, "new_pin": "4826"})
        assert refused.status_code == 422 and 'name="new_pin"' not in refused.content.decode()
    staff["ossian"].refresh_from_db()
    assert pins.is_right(staff["ossian"], "1234")
    # One that is not common stays as it is, whatever else is sent.
    assert client.post(reverse("switch"), {"person": staff["runa"].pk, "pin": "4711", "new_pin": "4826"})
    staff["runa"].refresh_from_db()
    assert pins.is_right(staff["runa"], "4711")


def test_what_was_typed_stays_while_another_pin_is_chosen(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=True)
    given_before(staff["runa"], "1234")
    client.post(reverse("lock"))
    typed = {"person": staff["runa"].pk, "pin": "1234"}
    lock = client.post(reverse("switch"), typed, headers=SWAP)
    assert (lock["HX-Retarget"], lock.status_code) == ("#lock", 200)
    assert 'name="new_pin"' in lock.content.decode() and "What you typed is still there" in lock.content.decode()
    sent = {**typed, "back": "/deliveries/1", "kept-number": "SH-1"}
    asked = client.post(reverse("open-and-send"), sent)
    text = asked.content.decode()
    assert asked.status_code == 422 and 'name="new_pin"' in text and 'name="kept-number" value="SH-1"' in text
    opened = client.post(reverse("open-and-send"), {**sent, "new_pin": "4826"}).content.decode()
    assert "Send it now" in opened and "4826" not in opened and "1234" not in opened
    client.post(reverse("lock"))
    done = client.post(reverse("switch"), {**typed, "pin": "4826"}, headers=SWAP)
    assert "data-token" in done.content.decode()


def test_the_only_lead_with_a_common_pin_is_not_locked_out(client: Browser, staff: dict[str, Person]) -> None:
    lead = people.lead().person
    assert lead is not None
    lead.set_password(PASSWORD)
    lead.save()
    given_before(lead, "2026")
    assert enter(Browser(), username="maive") == 303, "the password opens as ever"
    enter(client, shared=True)
    assert client.post(reverse("switch"), {"person": lead.pk, "pin": "2026", "new_pin": "7301"}).status_code == 303


def test_a_pin_needs_the_password(client: Browser, staff: dict[str, Person]) -> None:
    enter(client)
    refused = client.post(reverse("own-pin"), {"pin": "8305", "password": "not this one"})
    assert "This is not your password" in refused.content.decode()
    staff["runa"].refresh_from_db()
    assert not pins.is_right(staff["runa"], "8305")


def test_a_person_who_has_left_cannot_change_by_pin(client: Browser, staff: dict[str, Person]) -> None:
    enter(client, shared=True)
    Person.objects.filter(username="ossian").update(is_active=False)
    refused = client.post(reverse("switch"), {"person": staff["ossian"].pk, "pin": PINS["ossian"]})
    assert refused.status_code == 422


def test_every_page_carries_the_strict_policy(client: Browser, staff: dict[str, Person]) -> None:
    for address in ("/sign-in", "/", "/nowhere", "/api/v1/parts", "/admin/login/"):
        policy = client.get(address)["Content-Security-Policy"]
        assert "unsafe" not in policy
        assert "script-src 'self'" in policy and "style-src 'self'" in policy and "default-src 'none'" in policy


@pytest.mark.parametrize(
    "address", ["/", "/shelf", "/bench", "/my-pin", "/find?q=34", "/lots/none", "/nowhere", "/dampers"]
)
def test_a_page_stays_in_no_browser(client: Browser, staff: dict[str, Person], address: str) -> None:
    """Back, after somebody locked or signed out, asks the server."""
    enter(client)
    assert client.get(address)["Cache-Control"] == "no-store"
    assert client.get(address, headers=SWAP)["Cache-Control"] == "no-store"


def test_an_answer_to_a_program_may_be_kept_by_it_and_asked_about(client: Browser) -> None:
    assert client.get("/api/v1/parts")["Cache-Control"] == "private, no-cache"


def test_an_unknown_address_is_a_page_for_people_and_a_problem_for_programs(
    client: Browser, staff: dict[str, Person]
) -> None:
    enter(client)
    page, problem = client.get("/nowhere"), client.get("/api/v1/nowhere")
    assert (page.status_code, page["Content-Type"]) == (404, "text/html; charset=utf-8")
    assert (problem.status_code, problem["Content-Type"]) == (404, "application/problem+json")
