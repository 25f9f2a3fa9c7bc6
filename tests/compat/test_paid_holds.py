"""The page of a web order that is paid: releasing it is said on purpose."""

from __future__ import annotations

import pytest
from django.test import Client as Browser

from inventory.common.transactions import use_case
from inventory.holds.models import Hold, State
from inventory.holds.requests import Wanted
from inventory.holds.services import confirm_hold
from tests import factories, people
from tests.visiting import once_in, signed_in, text_of

pytestmark = pytest.mark.django_db

SAID = "The buyer has paid"


@pytest.fixture
def clerk(client: Browser) -> Browser:
    return signed_in(client, people.clerk())


@pytest.fixture
def order() -> Hold:
    """Three pieces for a web order, not paid yet."""
    factories.stocked(factories.shim(number="A"), 10)
    return factories.held(Wanted(3, part="A"), actor=people.storefront()).hold


def test_a_paid_order_is_released_only_where_that_is_ticked(clerk: Browser, order: Hold) -> None:
    use_case(lambda: confirm_hold(hold=order.pk, actor=people.storefront()))
    html = clerk.get(f"/holds/{order.pk}").content.decode()
    assert 'name="paid"' in html and SAID in html
    once = once_in(html)
    refused = clerk.post(f"/holds/{order.pk}/release", {"once": once})
    assert refused.status_code == 409
    assert SAID in text_of(refused)
    assert Hold.objects.get(pk=order.pk).state == State.CONFIRMED
    once = once_in(clerk.get(f"/holds/{order.pk}").content.decode())
    assert clerk.post(f"/holds/{order.pk}/release", {"once": once, "paid": "yes"}).status_code == 303
    assert Hold.objects.get(pk=order.pk).state == State.RELEASED


def test_an_order_that_is_not_paid_asks_nothing_more(clerk: Browser, order: Hold) -> None:
    html = clerk.get(f"/holds/{order.pk}").content.decode()
    assert 'name="paid"' not in html
    assert clerk.post(f"/holds/{order.pk}/release", {"once": once_in(html)}).status_code == 303
