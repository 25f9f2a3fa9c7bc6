"""The one clock, so that tests can hold it."""

from __future__ import annotations

from datetime import date, datetime

from django.utils import timezone


def now() -> datetime:
    """The present time, UTC."""
    return timezone.now()


def today() -> date:
    """Today's date where the shop is."""
    return timezone.localdate(now())
