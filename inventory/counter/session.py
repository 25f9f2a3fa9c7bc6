"""A browser's session: whose it is, whether the computer is shared, whether it is locked.

A shared computer is opened once with a password. From then on people change by their PIN, and it locks itself when
nobody has used it for a while. The lock is kept here on the server; the browser only shows it.
"""

from __future__ import annotations

from datetime import datetime

from django.conf import settings
from django.contrib import auth
from django.http import HttpRequest

from inventory.common import clock
from inventory.people import pins
from inventory.people.actors import Actor, acting_person
from inventory.people.models import Person

BACKEND = "django.contrib.auth.backends.ModelBackend"
SHARED, LOCKED, SEEN, WRONG = "shared", "locked", "seen", "wrong_pins"
# Wrong PINs in a row after which only a password opens the computer again.
MOST_WRONG = 5
# The time of use is written at most this often: a write for every page would be a write lock for every page.
SEEN_EVERY_S = 20


def sign_in(request: HttpRequest, person: Person, *, shared: bool) -> None:
    """Opens the session with a password that was right."""
    auth.login(request, person, backend=BACKEND)
    request.session[SHARED] = shared
    request.session[SEEN] = _now()
    request.session.pop(LOCKED, None)
    request.session.pop(WRONG, None)


def actor(request: HttpRequest) -> Actor | None:
    """Who acts, or None where nobody is signed in or the computer is locked."""
    if not request.user.is_authenticated or is_locked(request):
        return None
    return acting_person(request.user)


def is_shared(request: HttpRequest) -> bool:
    """Whether people change by PIN on this computer."""
    return bool(request.session.get(SHARED))


def is_locked(request: HttpRequest) -> bool:
    """Whether a shared computer waits for a PIN: somebody locked it, or nobody used it for a while."""
    if not is_shared(request) or not request.user.is_authenticated:
        return False
    if request.session.get(LOCKED):
        return True
    return _now() - float(request.session.get(SEEN, 0)) > settings.LOCK_MINUTES * 60


def lock(request: HttpRequest) -> None:
    """Locks a shared computer."""
    request.session[LOCKED] = True


def touch(request: HttpRequest) -> None:
    """The computer is in use."""
    if is_shared(request) and _now() - float(request.session.get(SEEN, 0)) > SEEN_EVERY_S:
        request.session[SEEN] = _now()


def switch(request: HttpRequest, person: Person | None, pin: str) -> bool:
    """Opens the computer for a person whose PIN this is; False for a wrong one.

    After MOST_WRONG wrong ones in a row the session ends, and a password is needed.
    """
    if person is None or not pins.is_right(person, pin):
        wrong = int(request.session.get(WRONG, 0)) + 1
        request.session[WRONG] = wrong
        if wrong >= MOST_WRONG:
            auth.logout(request)
        return False
    if request.user.pk == person.pk:
        # The same person goes on: nothing that an open page holds becomes invalid.
        request.session[SEEN] = _now()
        request.session.pop(LOCKED, None)
        request.session.pop(WRONG, None)
    else:
        sign_in(request, person, shared=True)
    return True


def _now() -> float:
    now: datetime = clock.now()
    return now.timestamp()
