"""Brakes on guessing: how often somebody may be wrong in a row.

Counted in the database, and before the secret is looked at, so that guesses at the same time and from several browsers
count together.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db.models import F

from inventory.common import clock, locks
from inventory.common.transactions import use_case
from inventory.people.models import Brake

PIN = "pin "
# Wrong PINs in a row after which a person's PIN is off until their password is given.
MOST_PINS = 5
# Wrong passwords in a row that cost nothing; each further one doubles the wait, up to the longest.
FREE_PASSWORDS = 5
LONGEST_WAIT = timedelta(minutes=5)
# A name that nobody has tried for so long is forgotten, whoever typed it; a person's PIN stays off.
FORGOTTEN = timedelta(days=1)


def of_pin(person: int) -> str:
    """The key under which wrong PINs of a person are counted."""
    return f"{PIN}{person}"


def of_password(username: str) -> str:
    """The key under which wrong passwords for a name are counted, whether or not somebody has that name."""
    return f"password {username.casefold()[:150]}"


def take_try(key: str, most: int) -> bool:
    """Counts a try; whether it may be looked at. False once `most` were wrong in a row."""

    def counted() -> bool:
        Brake.objects.get_or_create(key=key, defaults={"last_at": clock.now()})
        left = Brake.objects.filter(key=key, wrong__lt=most)
        return left.update(wrong=F("wrong") + 1, last_at=clock.now()) == 1

    return use_case(counted)


def is_spent(key: str, most: int) -> bool:
    """Whether `most` tries were wrong in a row, so that none is looked at any more."""
    return Brake.objects.filter(key=key, wrong__gte=most).exists()


def take_slow_try(key: str) -> int:
    """Counts a try; the seconds to wait before it may be looked at, or 0. A try that has to wait is not counted."""

    def counted() -> int:
        now = clock.now()
        Brake.objects.filter(last_at__lt=now - FORGOTTEN).exclude(key__startswith=PIN).delete()
        Brake.objects.get_or_create(key=key, defaults={"last_at": now})
        brake = locks.for_update(Brake.objects.filter(key=key)).get()
        wait = _ready_at(brake) - now
        if wait > timedelta(0):
            return max(1, round(wait.total_seconds()))
        brake.wrong, brake.last_at = brake.wrong + 1, now
        brake.save(update_fields=["wrong", "last_at"])
        return 0

    return use_case(counted)


def release(*keys: str) -> None:
    """The secret was right: nothing is counted any more."""
    Brake.objects.filter(key__in=keys).delete()


def _ready_at(brake: Brake) -> datetime:
    over = brake.wrong - FREE_PASSWORDS
    wait = timedelta(seconds=2 ** min(over, 20)) if over >= 0 else timedelta(0)
    return brake.last_at + min(wait, LONGEST_WAIT)
