"""A command sent twice happens once. (Twins in flight: tests/concurrency.)"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from inventory.common import locks
from inventory.common.errors import DomainError
from inventory.idempotency.models import RememberedAnswer
from inventory.idempotency.services import Command, Outcome, forget_old, run_once
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


@pytest.mark.parametrize("error", [DomainError("out_of_stock"), ZeroDivisionError(), KeyboardInterrupt()], ids=repr)
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
        raise DomainError("out_of_stock")

    with pytest.raises(DomainError):
        send(breaks)
    record = RememberedAnswer.objects.get()
    assert (record.status, record.created_at) == (201, clock.time - timedelta(hours=25))


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
