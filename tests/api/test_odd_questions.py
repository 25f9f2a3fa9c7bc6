"""Every address that is read, asked oddly by every role: a refusal or an answer, never an error; and a storefront
learns of no lot, no drawer and no other shop's hold."""

from __future__ import annotations

import random
import re
from urllib.parse import quote

import pytest

from inventory.api.views import cursor_text
from inventory.holds.requests import Wanted
from inventory.people.roles import Role
from tests import factories, people
from tests.api.conftest import Caller, caller, ok, saved_damper
from tests.api.routes import routes

pytestmark = pytest.mark.django_db

ROLES = {Role.CLERK: people.clerk, Role.TUNER: people.tuner, Role.LEAD: people.lead, Role.STOREFRONT: people.storefront}
READ = sorted(route.path for route in routes() if route.method == "GET" and route.path != "/schema")
WORDS = [
    "",
    "0",
    "-1",
    "9" * 400,
    "1e9",
    "NaN",
    "\u0661",
    "\u202e",
    "\ud7ff\ue000",
    "\U0001f529",
    "%00",
    "%ff",
    "..",
    "a,b",
]
CURSORS = [
    cursor_text(0),
    cursor_text(2**62),
    cursor_text(1, 2),
    "bnVsbA",
    "W10",
    "W1tdXQ",
    "WzFlOTk5XQ",
    "=" * 50,
    "W" * 5_000,
]
QUERIES = [
    *(f"page_size={quote(word, safe='%')}" for word in WORDS),
    *(f"{name}={quote(cursor)}" for name in ("cursor", "after") for cursor in CURSORS),
    *(
        "page_size=1&page_size=2",
        "cursor=&cursor=W10",
        "&".join(f"a{number}=1" for number in range(900)),
        "=",
        "&&&",
        "?",
    ),
    *(
        f"{name}={quote(word, safe='%')}"
        for name in ("number", "kind", "state", "od_mm_min", "key")
        for word in WORDS[3:]
    ),
]


@pytest.fixture
def secrets() -> set[str]:
    """What no storefront may read: lots and drawers."""
    for number in range(3):
        factories.stocked(
            factories.shim(number=f"P-{number}"), 20, lot=f"SECRET-LOT-{number}", drawer=f"SECRET-{number}"
        )
    factories.held(Wanted(2, part="P-1"), actor=people.outsider())
    saved_damper()
    return {"SECRET", "other shop"}


@pytest.mark.parametrize("role", sorted(ROLES))
def test_what_is_asked_oddly_is_answered_or_refused(role: Role, secrets: set[str]) -> None:
    program, wrong, draw = caller(ROLES[role]()), [], random.Random(role)
    for path in READ:
        for here in ("HA-46", "P-1", "9" * 40, "%00"):
            address = re.sub(r"\{\}", quote(here, safe="%"), path)
            for query in ["", *draw.sample(QUERIES, 4)]:
                reply = program.get(f"{address}?{query}")
                text = reply.content.decode()
                leaks = role is Role.STOREFRONT and any(one in text for one in secrets)
                if reply.status_code >= 500 or leaks or (reply.status_code == 200 and len(text) > 1_100_000):
                    wrong.append(f"{reply.status_code} {address}?{query[:60]}: {text[:100]}")
            if "{}" not in path:
                break
    assert wrong == []


def test_a_storefront_cannot_tell_anothers_hold_from_one_that_is_not_there(
    secrets: set[str], storefront: Caller
) -> None:
    others = factories.held(Wanted(1, part="P-2"), actor=people.outsider()).hold.pk
    assert ok(storefront.get("/holds"))["results"] == []
    for deed in ("", "/confirm", "/extend", "/release"):
        told = []
        for number in (others, others + 1_000):
            path = f"/holds/{number}{deed}"
            reply = storefront.post(path, {}) if deed else storefront.get(path)
            told.append((reply.status_code, reply.content.decode().replace(str(number), "N")))
        assert told[0] == told[1] and told[0][0] == 404
