"""The head of every page: where one can go. Rooms above this one add their pages when they are loaded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse

from inventory.counter import session
from inventory.people.roles import DESK, STAFF, Role


@dataclass(frozen=True, slots=True, order=True)
class Entry:
    """A page in the head: its place in the row, the address's name, and what it is called."""

    place: int
    name: str
    title: str
    roles: tuple[Role, ...] = STAFF


ENTRIES: list[Entry] = [
    Entry(10, "start", "Start"),
    Entry(40, "shelf", "Shelf"),
    Entry(50, "take-in", "Take in", DESK),
]


def add(*entries: Entry) -> None:
    """Adds pages of a room above."""
    ENTRIES.extend(entry for entry in entries if entry not in ENTRIES)
    ENTRIES.sort()


def frame(request: HttpRequest) -> dict[str, Any]:
    """Context processor: who is signed in, where one can go, and how the computer is used."""
    if request.path.startswith(("/api/", "/admin/")) or not hasattr(request, "session"):
        return {}
    actor = session.actor(request)
    entries = [
        {"title": entry.title, "address": reverse(entry.name), "name": entry.name}
        for entry in ENTRIES
        if actor is not None and actor.role in entry.roles
    ]
    match = request.resolver_match
    return {
        "entries": entries,
        "here": match.url_name if match else "",
        "actor": actor,
        "shared": session.is_shared(request) if actor else False,
        "lock_after_s": settings.LOCK_MINUTES * 60,
        "demo": settings.DEMO,
    }
