"""Row locks. One function takes them, in one order: idempotency record, balances, holds.

Two transactions that take the same rows in different orders wait for each other for ever, so rows are locked sorted
by id, and all of them by one call a transaction. NO KEY UPDATE, because a plain FOR UPDATE also fights the
foreign-key checks of other transactions' inserts. On SQLite the IMMEDIATE transaction is the lock.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

from django.db import connection
from django.db.models import Model, QuerySet

Row = TypeVar("Row", bound=Model)

_taken: ContextVar[bool | None] = ContextVar("row_locks_taken", default=None)


@contextmanager
def once() -> Iterator[None]:
    """The span of one transaction, in which take() may be called once."""
    token = _taken.set(False)
    try:
        yield
    finally:
        _taken.reset(token)


def take(balances: QuerySet[Row]) -> list[Row]:
    """The balances of the queryset, locked until the transaction ends, sorted by id.

    Raises RuntimeError when this transaction has taken balance locks before: a second call could not keep the order.
    """
    if _taken.get():
        raise RuntimeError("balances are locked once a transaction; gather them first")
    if _taken.get() is False:
        _taken.set(True)
    return list(for_update(balances.order_by("pk")))


def take_one(rows: QuerySet[Row]) -> Row | None:
    """One row that is not a balance (a hold, a document), locked after the balances."""
    return for_update(rows.order_by("pk")).first()


def for_update(rows: QuerySet[Row]) -> QuerySet[Row]:
    """The queryset with its row locks; unchanged where the engine has none."""
    if not connection.features.has_select_for_update:
        return rows
    return rows.select_for_update(of=("self",), no_key=True)
