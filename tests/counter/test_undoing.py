"""Undoing a line on its delivery's page."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inventory.common.transactions import use_case
from inventory.holds.requests import Wanted
from inventory.receiving.models import Delivery, DeliveryLine
from inventory.receiving.services import add_delivery_line, count_balance, start_delivery
from inventory.receiving.undoing import undo_line
from inventory.stock.models import Balance, Movement
from inventory.stock.services import NewLot, drawer_called
from tests import factories, people
from tests.counter.test_take_in import signed_in

pytestmark = pytest.mark.django_db
SWAP = {"HX-Request": "true"}


@pytest.fixture
def line() -> DeliveryLine:
    clerk = people.clerk()

    def work() -> DeliveryLine:
        delivery = start_delivery(number="D-1", supplier="", note="", received_on=factories.MONDAY, actor=clerk)
        new = NewLot(factories.shim(number="S-1"), drawer_called("B-03"), 40, factories.MONDAY, "L-1")
        return add_delivery_line(delivery=delivery, new=new, actor=clerk)

    return use_case(work)


@pytest.fixture
def clerk(client: Browser) -> Browser:
    return signed_in(client, people.clerk())


def send(browser: Browser, line: DeliveryLine, *, key: str = "k-1", reason: str = "wrong bag", **how: Any) -> Any:
    address = reverse("undo-line", args=[line.delivery_id])
    return browser.post(address, {"line": str(line.pk), "reason": reason, "once": key}, **how)


def test_a_line_is_undone_and_stays_struck_through_with_who_and_why(clerk: Browser, line: DeliveryLine) -> None:
    sent = send(clerk, line)
    assert (sent.status_code, sent["Location"]) == (303, reverse("delivery", args=[line.delivery_id]))
    html = clerk.get(sent["Location"]).content.decode()
    assert "Undone: 40 of lot L-1 are off the shelf again." in html
    assert 'class="undone"' in html and "<s>40</s>" in html
    assert re.search(r"<b>Undone</b> by Runa Feldmark, [\d: -]+: wrong bag", html)
    assert "Undo line" not in html
    assert Balance.objects.get().on_hand == 0


def test_with_htmx_only_the_lines_are_swapped(clerk: Browser, line: DeliveryLine) -> None:
    sent = send(clerk, line, headers=SWAP)
    html = sent.content.decode()
    assert sent.status_code == 200
    assert html.strip().startswith('<section id="lines"') and "<html" not in html
    assert "Undone: 40 of lot L-1" in html and 'name="part"' not in html


@pytest.mark.parametrize("headers", [{}, SWAP])
def test_sent_twice_it_is_undone_once(clerk: Browser, line: DeliveryLine, headers: dict[str, str]) -> None:
    answers = [send(clerk, line, headers=headers).status_code for _ in range(2)]
    assert answers == ([200, 200] if headers else [303, 303])
    assert Movement.objects.filter(reverses__isnull=False).count() == 1


def test_holds_that_lose_pieces_are_named(clerk: Browser, line: DeliveryLine) -> None:
    hold = factories.held(Wanted(3, lot="L-1")).hold
    html = send(clerk, line, headers=SWAP).content.decode()
    assert f"Hold {hold.pk} of web shop lost 3 and is short" in html


def test_pieces_that_a_count_found_beyond_the_line_are_named(clerk: Browser, line: DeliveryLine) -> None:
    use_case(lambda: count_balance(lot="L-1", drawer="B-03", counted=42, actor=people.clerk()))
    assert "A count had found 2 more in the drawer" in send(clerk, line, headers=SWAP).content.decode()


@pytest.mark.parametrize("headers", [{}, SWAP])
def test_a_reason_is_asked_for_beside_its_field(clerk: Browser, line: DeliveryLine, headers: dict[str, str]) -> None:
    refused = send(clerk, line, reason="", headers=headers)
    html = refused.content.decode()
    assert refused.status_code == 422
    assert ("<html" in html) is not bool(headers)
    assert "<details open>" in html and "This field is required." in html
    assert re.search(r'<input[^>]*name="reason"[^>]*autofocus', html)
    assert not Movement.objects.filter(reverses__isnull=False).exists()


def test_a_line_that_is_not_whole_says_to_count_the_drawer_and_keeps_the_reason(
    clerk: Browser, line: DeliveryLine
) -> None:
    use_case(lambda: count_balance(lot="L-1", drawer="B-03", counted=31, actor=people.clerk()))
    refused = send(clerk, line, reason="went back")
    html = refused.content.decode()
    assert refused.status_code == 422
    assert "The line brought 40 in and drawer B-03 holds 31 of lot L-1" in html
    assert 'value="went back"' in html
    again = re.findall(r'name="once" value="([^"]+)"', html)
    assert "k-1" not in again


def test_a_line_that_somebody_else_has_just_undone_says_who(clerk: Browser, line: DeliveryLine) -> None:
    use_case(lambda: undo_line(delivery=line.delivery_id, line=line.pk, reason="wrong bag", actor=people.lead()))
    refused = send(clerk, line, headers=SWAP)
    html = refused.content.decode()
    assert refused.status_code == 422
    assert "Maive Orlund has undone the line of lot L-1." in html
    assert Movement.objects.filter(reverses__isnull=False).count() == 1


@pytest.mark.parametrize("line_sent", ["999", "", "x"])
def test_a_line_that_is_not_there_is_refused_above_the_lines(
    clerk: Browser, line: DeliveryLine, line_sent: str
) -> None:
    address = reverse("undo-line", args=[line.delivery_id])
    refused = clerk.post(address, {"line": line_sent, "reason": "why", "once": "k"})
    assert refused.status_code == 422
    assert '<div class="refused" role="alert">' in refused.content.decode()


def test_a_line_of_another_delivery_is_not_undone_here(clerk: Browser, line: DeliveryLine) -> None:
    lead = people.lead()
    other = use_case(lambda: start_delivery(number="D-2", supplier="", note="", received_on=None, actor=lead))
    refused = clerk.post(reverse("undo-line", args=[other.pk]), {"line": line.pk, "reason": "why", "once": "k"})
    assert refused.status_code == 422
    assert Balance.objects.get().on_hand == 40


def test_only_clerk_and_lead_undo(client: Browser, line: DeliveryLine) -> None:
    browser = signed_in(client, people.tuner())
    assert send(browser, line).status_code == 403
    html = browser.get(reverse("delivery", args=[line.delivery_id])).content.decode()
    assert "Undo line" not in html and 'name="part"' not in html
    assert Delivery.objects.get().lines.count() == 1


def test_undoing_is_sent_and_not_visited(clerk: Browser, line: DeliveryLine) -> None:
    assert clerk.get(reverse("undo-line", args=[line.delivery_id])).status_code == 405
