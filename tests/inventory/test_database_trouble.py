"""A database that is away, read-only or without a connection: 503 with Retry-After, and what was typed is kept.

The read-only states are the engines' own; a server that cannot be reached is its driver's error.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import psycopg
import pytest
from django.db import DatabaseError, InternalError, OperationalError, connection
from django.test import Client as Browser
from django.urls import reverse

from inventory.common import clock
from inventory.common import database_trouble as trouble
from inventory.jobs.models import Job
from tests import factories, people
from tests.api.conftest import caller, ok, problem
from tests.environment import ENGINE
from tests.visiting import once_in, signed_in

pytestmark = pytest.mark.django_db(transaction=True)


class State(Exception):
    """What the PostgreSQL driver raises, as far as its state goes."""

    def __init__(self, sqlstate: str) -> None:
        self.sqlstate = sqlstate


def caused(kind: type[DatabaseError], cause: Exception) -> DatabaseError:
    error = kind(str(cause))
    error.__cause__ = cause
    return error


@pytest.mark.parametrize(
    ("error", "words", "cut_off"),
    [
        # PostgreSQL manual, appendix A: class 08, 57P01..03, 25006, 53100, 53300; 42P01 is a table that is not there,
        # as while a copy is put back; 42703, a column, is a fault of the program.
        (caused(OperationalError, State("08006")), trouble.AWAY, True),
        (caused(OperationalError, State("57P01")), trouble.AWAY, True),
        (caused(InternalError, State("25006")), trouble.READ_ONLY, False),
        (caused(OperationalError, State("53100")), trouble.FULL, False),
        (caused(OperationalError, State("53300")), trouble.NO_CONNECTION, False),
        (caused(DatabaseError, State("42P01")), trouble.NO_TABLES, False),
        (caused(DatabaseError, State("42703")), None, False),
        (caused(OperationalError, State("40001")), None, False),
        (caused(OperationalError, psycopg.OperationalError("the connection is lost")), trouble.AWAY, True),
        (ValueError("no database at all"), None, False),
    ],
    ids=str,
)
def test_an_error_says_what_ails_the_database_and_whether_a_commit_may_have_gone_through(
    error: BaseException, words: str | None, cut_off: bool
) -> None:
    assert trouble.what_ails(error) == words
    assert trouble.is_cut_off(error) is cut_off


@pytest.fixture
def read_only(db: None) -> Iterator[Any]:
    """Makes the database of this connection refuse every change, once it is called; everybody is known by then."""

    def begin() -> None:
        with connection.cursor() as cursor:
            read_only = connection.vendor == "sqlite"
            cursor.execute("PRAGMA query_only=ON" if read_only else "SET default_transaction_read_only=on")

    yield begin
    with connection.cursor() as cursor:
        sqlite = connection.vendor == "sqlite"
        cursor.execute("PRAGMA query_only=OFF" if sqlite else "SET default_transaction_read_only=off")


@pytest.fixture
def away(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Makes every connection fail as the driver fails when nobody listens."""

    def refuse(*_: Any, **__: Any) -> None:
        raise OperationalError("connection refused") from psycopg.OperationalError("connection refused")

    def begin() -> None:
        monkeypatch.setattr(connection, "cursor", refuse)

    return begin


def test_a_program_is_told_to_come_back(read_only: Any) -> None:
    lead = caller(people.lead())
    ok(lead.get("/jobs"))
    read_only()
    reply = lead.post("/jobs", {"number": "J-9", "title": "t"}, once="k")
    found = problem(reply, 503, "no_database")
    assert int(reply["Retry-After"]) > 0
    assert "takes no changes" in found["detail"] and "nothing was changed" in found["detail"]
    assert not Job.objects.exists()


@pytest.mark.skipif(os.environ[ENGINE] != "sqlite", reason="a full disk of PostgreSQL is its server's")
def test_a_disk_that_is_full_is_not_a_fault_of_the_program() -> None:
    lead, title = caller(people.lead()), "t" * 120
    with connection.cursor() as cursor:
        # No page beyond those that the file has, and none of those free: earlier tests left pages behind in it.
        cursor.execute("CREATE TABLE filler (bytes BLOB)")
        cursor.execute(
            "INSERT INTO filler SELECT zeroblob(freelist_count * page_size)"
            " FROM pragma_freelist_count, pragma_page_size"
        )
        cursor.execute("PRAGMA max_page_count=1")
    try:
        replies = [lead.post("/jobs", {"number": f"J-{number}", "title": title}) for number in range(60)]
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA max_page_count=1073741823")
    assert {reply.status_code for reply in replies} == {201, 503}
    assert "has no room left" in problem(replies[-1], 503, "no_database")["detail"]
    assert Job.objects.count() == [reply.status_code for reply in replies].count(201)


def test_a_program_is_told_to_come_back_where_nobody_listens(away: Any) -> None:
    lead = caller(people.lead())
    ok(lead.get("/jobs"))
    away()
    reply = lead.get("/jobs")
    assert "cannot be reached" in problem(reply, 503, "no_database")["detail"]
    assert int(reply["Retry-After"]) > 0


def test_a_refusal_that_could_not_be_kept_is_not_told(away: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """A "no" that is not written down is no final "no"."""
    shop = caller(people.storefront())
    factories.stocked(factories.shim(number="A"), 3)
    body = {"lines": [{"part": "A", "quantity": 12}]}
    from inventory.idempotency import services

    original = services._keep_refusal

    def gone(*words: Any) -> Any:
        away()
        return original(*words)

    monkeypatch.setattr(services, "_keep_refusal", gone)
    problem(shop.post("/holds", body, once="order-1"), 503, "no_database")


@pytest.mark.parametrize("what", ["read_only", "away"])
def test_a_page_keeps_what_was_typed(what: str, client: Browser, request: pytest.FixtureRequest) -> None:
    clerk = signed_in(client, people.clerk())
    clerk.raise_request_exception = False
    html = clerk.get(reverse("take-in")).content.decode()
    typed = {"number": "D-7", "received_on": clock.today().isoformat(), "supplier": "Nordlager", "note": 'two "bags"'}
    sent = {**typed, "once": once_in(html)}
    request.getfixturevalue(what)()
    reply = clerk.post(reverse("take-in"), sent)
    assert (reply.status_code, reply["Retry-After"]) == (503, "2")
    page = reply.content.decode()
    assert f'action="{reverse("take-in")}"' in page and "Send again" in page
    for name, value in sent.items():
        shown = value.replace('"', "&quot;")
        assert f'<input type="hidden" name="{name}" value="{shown}">' in page


def test_a_password_is_not_written_into_the_page(client: Browser, away: Any) -> None:
    client.raise_request_exception = False
    away()
    reply = client.post(reverse("sign-in"), {"username": "Jorun", "password": "the secret of the house"})
    assert reply.status_code == 503
    page = reply.content.decode()
    assert "secret" not in page and 'value="Jorun"' in page and "has to be typed again" in page


def test_a_page_that_is_only_looked_at_offers_to_try_again(client: Browser, away: Any) -> None:
    clerk = signed_in(client, people.clerk())
    clerk.raise_request_exception = False
    address = f"{reverse('find')}?q=34x0.15"
    away()
    reply = clerk.get(address)
    assert reply.status_code == 503
    assert f'href="{address}"' in reply.content.decode()
