"""Starting a delivery: with Enter alone, once, and with every refusal beside its field."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inventory.common.transactions import use_case
from inventory.people.actors import Actor
from inventory.receiving.models import Delivery
from inventory.receiving.services import start_delivery
from tests import factories, people
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


@pytest.fixture
def clerk(client: Browser, clock: HeldClock) -> Browser:
    return signed_in(client, people.clerk())


def signed_in(client: Browser, actor: Actor) -> Browser:
    assert actor.person is not None
    client.force_login(actor.person)
    return client


def hidden_key(html: str) -> str:
    found = re.search(r'name="once" value="([^"]+)"', html)
    assert found is not None
    return found[1]


def as_suggested(browser: Browser, **typed: str) -> dict[str, str]:
    """What the browser sends when nothing but `typed` was touched."""
    html = browser.get(reverse("take-in")).content.decode()
    number = re.search(r'name="number" value="([^"]+)"', html)
    day = re.search(r'name="received_on" value="([^"]+)"', html)
    assert number is not None and day is not None
    key = hidden_key(html)
    return {"number": number[1], "received_on": day[1], "supplier": "", "note": "", "once": key, **typed}


def start(browser: Browser, **typed: str) -> Any:
    return browser.post(reverse("take-in"), as_suggested(browser, **typed))


def started(number: str, **words: str) -> Delivery:
    asked = {"supplier": "", "note": "", **words}
    return use_case(lambda: start_delivery(number=number, received_on=None, actor=people.clerk(), **asked))


def test_the_suggestions_alone_start_a_delivery(clerk: Browser) -> None:
    sent = start(clerk)
    delivery = Delivery.objects.get()
    assert (sent.status_code, sent["Location"]) == (303, f"/deliveries/{delivery.pk}")
    assert (delivery.number, delivery.received_on, delivery.supplier) == ("D300304-1", factories.MONDAY, None)
    assert delivery.person == people.clerk().person


def test_the_first_field_to_fill_has_the_focus_and_known_suppliers_are_offered(clerk: Browser) -> None:
    started("D-1", supplier="Oxbeck Fine Strip")
    html = clerk.get(reverse("take-in")).content.decode()
    assert re.search(r'<input[^>]*name="supplier"[^>]*autofocus', html)
    assert '<option value="Oxbeck Fine Strip">' in html
    assert 'list="suppliers"' in html


def test_supplier_note_and_day_are_kept(clerk: Browser) -> None:
    start(clerk, supplier="Oxbeck Fine Strip", note="two boxes", received_on="2030-03-01")
    delivery = Delivery.objects.get()
    assert str(delivery.supplier) == "Oxbeck Fine Strip"
    assert (delivery.note, delivery.received_on.isoformat()) == ("two boxes", "2030-03-01")


def test_sent_twice_it_starts_once(clerk: Browser) -> None:
    typed = as_suggested(clerk)
    first, second = (clerk.post(reverse("take-in"), typed) for _ in range(2))
    assert Delivery.objects.count() == 1
    assert (second.status_code, second["Location"]) == (303, first["Location"])


def test_a_form_that_was_sent_and_changed_is_asked_about_and_then_starts_another(clerk: Browser) -> None:
    typed = as_suggested(clerk)
    clerk.post(reverse("take-in"), typed)
    refused = clerk.post(reverse("take-in"), {**typed, "number": "D-9"})
    html = refused.content.decode()
    assert refused.status_code == 422 and "sent already, and changed since" in html and 'value="D-9"' in html
    assert hidden_key(html) != typed["once"]
    again = clerk.post(reverse("take-in"), {**typed, "number": "D-9", "once": hidden_key(html)})
    assert again.status_code == 303
    assert Delivery.objects.filter(number="D-9").exists()


def test_a_number_that_somebody_took_meanwhile_gets_its_successor(clerk: Browser) -> None:
    typed = as_suggested(clerk, note="two boxes")
    started("D300304-1")
    refused = clerk.post(reverse("take-in"), typed)
    html = refused.content.decode()
    assert refused.status_code == 422
    assert "Delivery D300304-1 is there already; D300304-2 is free." in html
    assert 'value="two boxes"' in html
    assert re.search(r'<input[^>]*name="number"[^>]*autofocus', html)


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ({"number": ""}, "This field is required."),
        ({"number": "=1+1"}, "would run as a formula"),
        ({"number": "D" * 41}, "at most 40 characters"),
        ({"supplier": "x" * 81}, "at most 80 characters"),
        ({"note": "x" * 201}, "at most 200 characters"),
        ({"received_on": "2030-03-05"}, "between 1950 and today"),
        ({"received_on": "1949-12-31"}, "between 1950 and today"),
        ({"received_on": "yesterday"}, "It must be a day as in 2026-03-31"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_with_the_typing_kept(
    clerk: Browser, typed: dict[str, str], text: str
) -> None:
    refused = start(clerk, **typed)
    (name, value), html = next(iter(typed.items())), refused.content.decode()
    assert refused.status_code == 422
    assert text in " ".join(refused.context["form"].errors[name])
    assert re.search(rf'<input[^>]*name="{name}"[^>]*autofocus', html)
    assert f'id="id_{name}_error"' in html
    assert f'value="{value}"' in html or not value
    assert not Delivery.objects.exists()


def test_an_empty_shelf_says_what_to_do(clerk: Browser) -> None:
    html = clerk.get(reverse("take-in")).content.decode()
    assert "No delivery has come in yet" in html
    assert html.count(f'href="{reverse("opening")}"') == 2


def test_the_last_deliveries_are_listed_by_the_same_number_of_queries(
    clerk: Browser, django_assert_max_num_queries: Any
) -> None:
    for number in range(25):
        started(f"D-{number}")
    with django_assert_max_num_queries(6):
        html = clerk.get(reverse("take-in")).content.decode()
    assert html.count("/deliveries/") == 20
    assert ">D-24</a>" in html and ">D-4</a>" not in html


@pytest.mark.parametrize(("actor", "status"), [(people.clerk, 200), (people.lead, 200), (people.tuner, 403)])
def test_clerk_and_lead_take_in(client: Browser, actor: Any, status: int) -> None:
    browser = signed_in(client, actor())
    assert browser.get(reverse("take-in")).status_code == status
    sent = browser.post(reverse("take-in"), {"number": "D-1", "received_on": "2020-01-01", "once": "k"})
    assert sent.status_code == {200: 303, 403: 403}[status]
    assert Delivery.objects.exists() == (status == 200)
