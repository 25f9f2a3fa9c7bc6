"""Transactions: busy is tried again inside one deadline, and what needs a lock refuses to run without one."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from typing import Any

import pytest
from django.db import IntegrityError, OperationalError, connection, transaction

from inventory.common import locks, transactions
from inventory.common.database_trouble import is_busy
from inventory.common.errors import DomainError
from inventory.common.transactions import (
    DEADLINE_S,
    LONGEST_LOCK_S,
    LONGEST_WAIT_S,
    require_transaction,
    use_case,
)
from inventory.holds.claims import lock_balances
from inventory.project.settings import POSTGRESQL_OPTIONS, SQLITE_OPTIONS
from inventory.stock.ledger import Cause, post
from inventory.stock.models import Balance, Drawer, Lot, Site
from inventory.stock.services import drawer_called
from tests import factories, people
from tests.environment import ENGINE

both = pytest.mark.django_db
committing = pytest.mark.django_db(transaction=True)
on_sqlite = pytest.mark.skipif(os.environ[ENGINE] != "sqlite", reason="PostgreSQL has no transaction mode of this kind")


class FakeTime:
    """A machine whose waiting takes no time."""

    def __init__(self) -> None:
        self.at = 100.0
        self.sleeps: list[float] = []

    def monotonic(self) -> float:
        return self.at

    def sleep(self, seconds: float) -> None:
        self.sleeps.append(seconds)
        self.at += seconds


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch) -> FakeTime:
    fake = FakeTime()
    monkeypatch.setattr(transactions, "time", fake)
    return fake


class Refusal(Exception):
    """What the PostgreSQL driver raises, as far as its state goes."""

    def __init__(self, sqlstate: str) -> None:
        self.sqlstate = sqlstate


def operational(text: str = "", state: str = "") -> OperationalError:
    error = OperationalError(text)
    error.__cause__ = Refusal(state) if state else None
    return error


def failing(times: int, error: Exception) -> Callable[[], str]:
    """Work that fails some times, each time after a write."""
    left = [times]

    def work() -> str:
        Site.objects.create(code=f"S-{left[0]}", name="Site")
        if left[0]:
            left[0] -= 1
            raise error
        return "done"

    return work


@pytest.mark.parametrize(
    ("error", "busy"),
    [
        (operational(state="40P01"), True),
        (operational(state="40001"), True),
        (operational(state="55P03"), True),
        (operational("database is locked"), True),
        (operational("database table is locked: inventory_balance"), True),
        (operational("disk I/O error"), False),
        (operational("connection refused", state="08006"), False),
        (operational("database is locked", state="53300"), False),
    ],
    ids=str,
)
def test_busy_is_told_from_broken(error: OperationalError, busy: bool) -> None:
    assert is_busy(error) is busy


@committing
def test_busy_work_is_done_again_from_the_beginning(machine: FakeTime) -> None:
    assert use_case(failing(3, operational("database is locked"))) == "done"
    # What the three failures wrote is gone.
    assert list(Site.objects.values_list("code", flat=True)) == ["S-0"]
    assert len(machine.sleeps) == 3
    assert all(0 < seconds <= LONGEST_WAIT_S for seconds in machine.sleeps)


@committing
def test_after_the_deadline_it_is_too_busy_and_nothing_is_written(machine: FakeTime) -> None:
    with pytest.raises(DomainError) as raised:
        use_case(failing(1_000_000, operational(state="40P01")))
    assert (raised.value.code, raised.value.status) == ("too_busy", 503)
    assert len(machine.sleeps) > 10
    assert sum(machine.sleeps) <= DEADLINE_S
    assert not Site.objects.exists()


@committing
def test_the_deadline_holds_although_every_try_waits_for_its_lock(machine: FakeTime) -> None:
    started = machine.at
    tries: list[float] = []

    def work() -> None:
        tries.append(machine.at)
        machine.at += LONGEST_LOCK_S
        raise operational("database is locked")

    with pytest.raises(DomainError) as raised:
        use_case(work)
    assert raised.value.code == "too_busy"
    assert len(tries) >= 2
    assert machine.at - started <= DEADLINE_S


def test_no_engine_waits_longer_for_a_lock_than_a_try_may() -> None:
    assert SQLITE_OPTIONS["timeout"] <= LONGEST_LOCK_S
    assert "lock_timeout=3s" in POSTGRESQL_OPTIONS["options"]
    assert LONGEST_LOCK_S >= 3


@committing
def test_a_name_that_somebody_else_has_just_taken_is_looked_for_once_more(machine: FakeTime) -> None:
    Site.objects.create(code="S", name="Theirs")
    tries: list[str] = []

    def work() -> None:
        # The first look came a moment too early and saw nothing.
        if tries and Site.objects.filter(code="S").exists():
            raise DomainError("conflict", what="Site", which="S")
        tries.append("too early")
        Site.objects.create(code="S", name="Mine")

    with pytest.raises(DomainError, match="conflict"):
        use_case(work)
    assert len(tries) == 1


@committing
def test_a_name_that_stays_in_the_way_is_an_error_after_the_second_try(machine: FakeTime) -> None:
    Site.objects.create(code="S", name="Theirs")
    with pytest.raises(IntegrityError):
        use_case(lambda: Site.objects.create(code="S", name="Mine"))
    assert len(machine.sleeps) == 1


@committing
def test_another_error_is_not_tried_again(machine: FakeTime) -> None:
    with pytest.raises(OperationalError, match="disk"):
        use_case(failing(1, operational("disk I/O error")))
    with pytest.raises(DomainError):
        use_case(failing(1, DomainError("conflict", what="It", which="X")))
    assert machine.sleeps == []
    assert not Site.objects.exists()


@contextmanager
def another_at_the_shelf() -> Iterator[None]:
    """Somebody else, on a connection of their own, keeps the whole shelf locked."""
    other = connection.copy()
    with closing(other), other.cursor() as cursor:
        cursor.execute("BEGIN IMMEDIATE" if other.vendor == "sqlite" else "BEGIN")
        if other.vendor == "postgresql":
            cursor.execute("SELECT id FROM inventory_balance FOR NO KEY UPDATE")
        yield
        cursor.execute("ROLLBACK")


@committing
def test_a_shelf_that_stays_locked_is_too_busy_and_free_again_afterwards(machine: FakeTime) -> None:
    balance = factories.stocked(factories.shim(), 5)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout=5" if connection.vendor == "sqlite" else "SET lock_timeout='5ms'")

    def work() -> list[Balance]:
        return locks.take(Balance.objects.filter(pk=balance.pk))

    try:
        with another_at_the_shelf(), pytest.raises(DomainError) as raised:
            use_case(work)
        assert raised.value.code == "too_busy"
        assert len(machine.sleeps) > 10
        assert use_case(work) == [balance]
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA busy_timeout=4000" if connection.vendor == "sqlite" else "SET lock_timeout='3s'")


@both
def test_inside_a_transaction_it_joins() -> None:
    with pytest.raises(OperationalError), transaction.atomic():
        use_case(failing(1, operational("database is locked")))
    assert not Site.objects.exists()


# --- locks


@committing
def test_balances_are_locked_once_a_transaction() -> None:
    factories.stocked(factories.shim(), 5)

    def twice() -> None:
        locks.take(Balance.objects.all())
        locks.take(Balance.objects.all())

    with pytest.raises(RuntimeError, match="once a transaction"):
        use_case(twice)
    # The next transaction begins anew.
    assert len(use_case(lambda: locks.take(Balance.objects.all()))) == 1


@both
def test_locked_rows_come_sorted_by_id_whatever_was_asked() -> None:
    part = factories.shim()
    keys = [factories.stocked(part, 1).pk for _ in range(4)]
    assert [row.pk for row in locks.take(Balance.objects.order_by("-pk"))] == sorted(keys)
    taken = locks.take_one(Lot.objects.order_by("-pk"))
    assert taken is not None
    assert taken.pk == min(Lot.objects.values_list("pk", flat=True))


@both
def test_the_statement_locks_rows_where_the_engine_has_such_locks() -> None:
    sql = str(locks.for_update(Balance.objects.order_by("pk")).query)
    if connection.vendor == "postgresql":
        assert sql.endswith('FOR NO KEY UPDATE OF "inventory_balance"')
    else:
        assert " FOR " not in sql


# --- what needs a transaction


@committing
@pytest.mark.parametrize(
    "work",
    [
        require_transaction,
        lambda: drawer_called("A-01"),
        lambda: lock_balances(rows=None, actor=None),  # type: ignore[arg-type]  # never called that far
        lambda: post(entries=[], actor=people.clerk(), reason="in a hurry", cause=Cause("count", "1")),
    ],
)
def test_what_reads_and_then_writes_refuses_to_run_outside_a_transaction(work: Callable[[], Any]) -> None:
    with pytest.raises(RuntimeError, match="inside use_case"):
        work()
    assert not Drawer.objects.exists()


@on_sqlite
@committing
@pytest.mark.parametrize("mode", ["DEFERRED", None])
def test_on_sqlite_a_transaction_that_is_not_immediate_is_none(
    mode: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Connecting reads the mode from the settings again.
    connection.ensure_connection()
    monkeypatch.setattr(connection, "transaction_mode", mode)
    with pytest.raises(RuntimeError, match="IMMEDIATE"), transaction.atomic():
        require_transaction()
