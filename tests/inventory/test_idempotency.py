"""A command sent twice happens once. (Twins in flight: tests/concurrency.)"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import psycopg
import pytest
from django.db import OperationalError, connection

from inventory.common import locks
from inventory.common.errors import DomainError, FieldError
from inventory.common.transactions import use_case
from inventory.idempotency import services
from inventory.idempotency.models import RememberedAnswer
from inventory.idempotency.services import Command, Outcome, answers_of, forget_old, run_once
from inventory.people.actors import Actor
from inventory.stock.models import Site
from tests import people
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db(transaction=True)

FIRST, OTHER = "1" * 64, "2" * 64


class Work:
    """Adds a site each time it runs, and answers with how often it has."""

    def __init__(self) -> None:
        self.times = 0

    def __call__(self) -> tuple[int, Any]:
        self.times += 1
        Site.objects.create(code=f"S-{Site.objects.count()}", name="Site")
        return 201, {"times": self.times, "unicode": "é", "none": None}


def send(
    work: Callable[[], tuple[int, Any]],
    *,
    body: str = FIRST,
    key: str = "K",
    actor: Actor | None = None,
    path: str = "/holds",
    method: str = "POST",
) -> Outcome:
    return run_once(command=Command(actor or people.storefront(), method, path, key, body), work=work)


def test_the_same_command_again_gets_the_first_answer() -> None:
    work = Work()
    first, second, third = send(work), send(work), send(work)
    assert work.times == 1
    assert (first.status, first.body, first.repeated) == (201, {"times": 1, "unicode": "é", "none": None}, False)
    assert (second.status, second.body, second.repeated) == (first.status, first.body, True)
    assert third == second


def test_another_body_under_the_same_key_is_refused_and_harms_nothing() -> None:
    work = Work()
    send(work)
    with pytest.raises(DomainError) as raised:
        send(work, body=OTHER)
    assert (raised.value.code, raised.value.status) == ("idempotency_key_reused", 422)
    assert send(work).repeated
    assert Site.objects.count() == 1


def test_a_key_belongs_to_its_client_method_and_path() -> None:
    work = Work()
    send(work)
    for scope in ({"key": "L"}, {"path": "/counts"}, {"method": "PUT"}, {"actor": people.outsider()}):
        assert not send(work, body=OTHER, **scope).repeated
    assert work.times == 5


@pytest.mark.parametrize(
    "error",
    [DomainError("too_busy", seconds=10), DomainError("edited_meanwhile"), ZeroDivisionError(), KeyboardInterrupt()],
    ids=repr,
)
def test_an_error_is_not_remembered_and_takes_the_key_and_the_work_with_it(error: BaseException) -> None:
    def breaks() -> tuple[int, Any]:
        Site.objects.create(code="half", name="Half done")
        raise error

    with pytest.raises(type(error)):
        send(breaks)
    assert not RememberedAnswer.objects.exists()
    assert not Site.objects.exists()
    # The key is free, for another body too.
    assert not send(Work(), body=OTHER).repeated


def test_an_answer_is_kept_for_a_day_and_then_the_command_is_a_new_one(clock: HeldClock) -> None:
    work = Work()
    send(work)
    clock.advance(hours=24)
    assert send(work).repeated
    with pytest.raises(DomainError):
        send(work, body=OTHER)
    clock.advance(seconds=1)
    assert send(work, body=OTHER).body["times"] == 2
    assert send(work, body=OTHER).repeated
    with pytest.raises(DomainError):
        send(work, body=FIRST)
    assert RememberedAnswer.objects.count() == 1


def test_an_error_after_a_day_leaves_the_old_answer_alone(clock: HeldClock) -> None:
    send(Work())
    clock.advance(hours=25)

    def breaks() -> tuple[int, Any]:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        send(breaks)
    record = RememberedAnswer.objects.get()
    assert (record.status, record.created_at) == (201, clock.time - timedelta(hours=25))


def refuse() -> tuple[int, Any]:
    """Work that writes something and is then refused."""
    Site.objects.create(code="half", name="Half done")
    raise DomainError(
        "out_of_stock", errors=[FieldError("lines.0", "out_of_stock", "4 asked, 3 free")], lines=[{"free": 3}]
    )


def test_a_refusal_is_final_for_its_key() -> None:
    """A try that was held up on its way and arrives after its own retry was refused must not be carried out then."""
    with pytest.raises(DomainError) as told:
        send(refuse)
    work = Work()
    with pytest.raises(DomainError) as late:
        send(work)
    first, again = told.value, late.value
    assert (first.repeated, again.repeated) == (False, True)
    assert (again.code, again.text, again.errors, again.data) == (first.code, first.text, first.errors, first.data)
    assert work.times == 0 and not Site.objects.exists()
    # Another key is another try.
    assert send(work, key="L").status == 201


def test_a_twin_that_was_carried_out_before_the_refusal_was_kept_is_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """The twin comes after the refused work was rolled back and before the refusal is written."""
    work = Work()
    original = services._is_final

    def a_twin_comes(error: DomainError) -> bool:
        monkeypatch.setattr(services, "_is_final", original)
        assert send(work).status == 201
        return original(error)

    monkeypatch.setattr(services, "_is_final", a_twin_comes)
    found = send(refuse)
    assert (found.status, found.body["times"], found.repeated) == (201, 1, True)
    assert Site.objects.count() == 1


def test_the_status_of_a_key_tells_what_was_answered_and_nothing_of_others() -> None:
    mine, other = people.storefront(), people.outsider()
    send(Work())
    send(Work(), path="/counts", actor=other)
    with pytest.raises(DomainError):
        send(refuse, path="/holds/1/confirm")
    found = answers_of(actor=mine, key="K")
    assert [(one.path, one.status) for one in found] == [("/holds/1/confirm", 409), ("/holds", 201)]
    assert answers_of(actor=mine, key="L") == []
    assert answers_of(actor=people.clerk(), key="K") == [], "a person's keys belong to forms"


class Cut:
    """Stands in for COMMIT: the reply is lost, after the database has committed or before. The first `times` times."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *, committed: bool, times: int = 1) -> None:
        self.left, self.committed, self.commit = times, committed, connection.commit
        monkeypatch.setattr(connection, "commit", self)

    def __call__(self) -> None:
        if self.left == 0:
            return self.commit()
        self.left -= 1
        if self.committed:
            self.commit()
        error = OperationalError("server closed the connection unexpectedly")
        raise error from psycopg.OperationalError(str(error))


@pytest.mark.parametrize("committed", [True, False])
def test_a_commit_whose_reply_is_lost_is_looked_for_and_answered_as_it_went(
    monkeypatch: pytest.MonkeyPatch, committed: bool
) -> None:
    actor, work = people.storefront(), Work()
    Cut(monkeypatch, committed=committed)
    found = send(work, actor=actor)
    assert (found.status, found.repeated) == (201, committed)
    assert Site.objects.count() == 1 and RememberedAnswer.objects.count() == 1


@pytest.mark.parametrize("committed", [True, False])
def test_without_a_key_it_is_said_that_nobody_knows(monkeypatch: pytest.MonkeyPatch, committed: bool) -> None:
    Cut(monkeypatch, committed=committed)
    with pytest.raises(DomainError) as told:
        use_case(lambda: Site.objects.create(code="S", name="Site"))
    assert (told.value.code, told.value.status) == ("not_known", 503)
    assert "nothing was changed" not in told.value.text
    assert Site.objects.exists() is committed


@pytest.mark.parametrize("committed", [True, False])
def test_where_the_second_look_fails_too_nobody_claims_that_nothing_was_changed(
    monkeypatch: pytest.MonkeyPatch, committed: bool
) -> None:
    actor, work = people.storefront(), Work()
    Cut(monkeypatch, committed=committed, times=2)
    with pytest.raises(DomainError) as told:
        send(work, actor=actor)
    assert told.value.code == "not_known"
    # The same key finds out.
    assert send(work, actor=actor).status == 201
    assert Site.objects.count() == 1


def test_a_refusal_whose_keeping_was_cut_off_is_still_told_and_kept_once(monkeypatch: pytest.MonkeyPatch) -> None:
    actor = people.storefront()
    Cut(monkeypatch, committed=True)
    for _ in range(2):
        with pytest.raises(DomainError, match="out_of_stock"):
            send(refuse, actor=actor)
    assert RememberedAnswer.objects.get().status == 409


def test_forgetting_takes_only_what_is_older_than_a_day(clock: HeldClock) -> None:
    send(Work(), key="old")
    clock.advance(hours=1)
    send(Work(), key="young")
    clock.advance(hours=23, seconds=1)
    assert forget_old() == 1
    assert [record.key for record in RememberedAnswer.objects.all()] == ["young"]


def test_the_key_of_a_pages_form_acts_once_whoever_sends_it() -> None:
    work = Work()
    first = send(work, actor=people.clerk())
    again = send(work, actor=people.lead())
    assert (first.body, again.body, again.repeated) == (again.body, first.body, True)
    assert work.times == 1
    assert send(work, actor=people.storefront()).body["times"] == 2, "a client's keys are its own"


def test_a_key_that_is_forgotten_between_two_statements_is_a_new_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sweep of old answers may come after a conflict was found and before its row is read."""
    work = Work()
    send(work)
    original = locks.for_update

    def swept(rows: Any) -> Any:
        monkeypatch.setattr(locks, "for_update", original)
        RememberedAnswer.objects.all().delete()
        return original(rows)

    monkeypatch.setattr(locks, "for_update", swept)
    assert send(work).body["times"] == 2
    assert RememberedAnswer.objects.count() == 1
