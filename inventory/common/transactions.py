"""Transactions: opened at the edge by use_case(), asserted inside by require_transaction()."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from typing import TypeVar

from django.db import Error, IntegrityError, OperationalError, connection, transaction

from inventory.common import locks
from inventory.common.database_trouble import is_busy, is_cut_off, is_name_taken
from inventory.common.errors import DomainError

Result = TypeVar("Result")

DEADLINE_S = 10.0
# The longest that one try waits for a lock: SQLite's busy timeout, above PostgreSQL's lock timeout (settings).
LONGEST_LOCK_S = 4.0
FIRST_WAIT_S = 0.01
LONGEST_WAIT_S = 0.4


def use_case(work: Callable[[], Result]) -> Result:
    """Runs `work` in one transaction: all of it happens or nothing does.

    When the database is too busy the whole of `work` is run again, with a random wait, while that can end inside
    DEADLINE_S; then it is DomainError `too_busy`. So `work` changes nothing but the database. When somebody else has
    just taken a unique name, `work` is run once more, and then finds it taken and says so. When the reply to the
    COMMIT is lost it is DomainError `not_known`: all of it has happened or nothing has. Inside a transaction that is
    already open (a test, an outer use case) it simply joins.
    """
    if connection.in_atomic_block:
        return work()
    started = time.monotonic()
    wait = FIRST_WAIT_S
    lost_a_name = False
    while True:
        try:
            return _in_transaction(work)
        except IntegrityError as error:
            if lost_a_name or not is_name_taken(error):
                raise
            lost_a_name = True
        except OperationalError as error:
            if not is_busy(error):
                raise
        pause = random.uniform(wait / 2, wait)
        # A further try may itself wait this long for a lock; it must still end inside the deadline.
        if time.monotonic() - started + pause + LONGEST_LOCK_S > DEADLINE_S:
            raise DomainError("too_busy", seconds=round(time.monotonic() - started))
        time.sleep(pause)
        wait = min(wait * 2, LONGEST_WAIT_S)


def _in_transaction(work: Callable[[], Result]) -> Result:
    """One try. Raises DomainError `not_known` where the connection broke after the COMMIT was sent."""
    committing = False
    try:
        with transaction.atomic(), locks.once():
            result = work()
            committing = True
        return result
    except Error as error:
        if not committing or not is_cut_off(error):
            raise
        # Whatever state the connection is in, nobody goes on with it.
        connection.close()
        raise DomainError("not_known") from error


def require_transaction() -> None:
    """Raises RuntimeError outside a transaction that can protect a read-then-write.

    On SQLite the lock is the IMMEDIATE transaction itself, so the mode is checked too: being in an atomic block
    proves nothing there.
    """
    if not connection.in_atomic_block:
        raise RuntimeError("call this inside use_case()")
    if connection.vendor == "sqlite" and connection.transaction_mode != "IMMEDIATE":  # type: ignore[attr-defined]  # the SQLite backend's own attribute
        raise RuntimeError("SQLite must run with transaction_mode IMMEDIATE")
