"""What management commands need of people."""

from __future__ import annotations

from inventory.people.models import Person


def person_called(username: str) -> Person | None:
    """The person of that username, or None."""
    return Person.objects.filter(username=username, is_active=True).first()
