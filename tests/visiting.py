"""Pages without a screen: Django's test client with somebody signed in, and what the page says."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import Any

from django.test import Client

from inventory.counter import session
from inventory.people.actors import Actor


def signed_in(client: Client, actor: Actor) -> Client:
    """The same client, with that person signed in on a computer of their own."""
    assert actor.person is not None
    client.force_login(actor.person)
    # In whichever year a test holds the clock; how sessions end is tried in tests/counter/test_signing.py.
    opened = client.session
    opened[session.OPENED] = datetime(2100, 1, 1, tzinfo=UTC).timestamp()
    opened.save()
    return client


def text_of(response: Any) -> str:
    """What a page says, without its tags."""
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


def once_in(html: str) -> str:
    """The one-use key of the first form that has one."""
    found = re.search(r'name="once" value="([^"]+)"', html)
    assert found is not None, "no form with a one-use key"
    return found[1]
