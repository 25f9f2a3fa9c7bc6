"""The one clock, so that tests can hold it."""

from __future__ import annotations

from datetime import date, datetime

from django.utils import timezone

# Nothing on a shelf came in before this day: an earlier one is a slip of the pen.
FIRST_DAY = date(1950, 1, 1)


def now() -> datetime:
    """The present time, UTC."""
    return timezone.now()


def today() -> date:
    """Today's date where the shop is."""
    return timezone.localdate(now())


def day_of(moment: datetime) -> date:
    """The date of a moment where the shop is."""
    return timezone.localdate(moment)


def can_have_come_in(day: date, today: date) -> bool:
    """Whether something can have come in on that day."""
    return FIRST_DAY <= day <= today


def iso(moment: datetime) -> str:
    """A moment as the API writes it: RFC 3339, UTC, with milliseconds."""
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")
