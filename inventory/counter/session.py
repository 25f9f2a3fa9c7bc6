"""A browser's session: whose it is, how old it is, whether the computer is shared, whether it is locked.

A shared computer is opened once with a password. From then on people change by their PIN, and it locks itself when
nobody has used it for a while. The lock is kept here on the server; the browser only shows it.

A session ends its hours after the password, however much it is used and whoever changed by PIN meanwhile. Django's own
age begins anew whenever something is written into the session, so the moment of the password stands in it.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from django.conf import settings
from django.contrib import auth
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse

from inventory.common import clock
from inventory.people import brakes, pins
from inventory.people.actors import Actor, acting_person
from inventory.people.models import Person, Workplace

BACKEND = "django.contrib.auth.backends.ModelBackend"
WORKPLACE, AS_READ = "workplace", "workplace_as_read"
# When the password was given, in seconds as the clock counts them.
OPENED = "opened_at"
# The time of use is written at most this often: a write for every page would be a write lock for every page.
SEEN_EVERY = timedelta(seconds=20)
# A workplace that nobody has used for so long has no session any more.
FORGOTTEN = timedelta(days=7)


def sign_in(request: HttpRequest, person: Person, *, shared: bool) -> None:
    """Opens the session with a password that was right."""
    auth.login(request, person, backend=BACKEND)
    request.session.pop(WORKPLACE, None)
    if shared:
        Workplace.objects.filter(seen_at__lt=clock.now() - FORGOTTEN).delete()
        request.session[WORKPLACE] = Workplace.objects.create(seen_at=clock.now()).pk


def note_opened(sender: object, request: HttpRequest, user: object, **_: object) -> None:
    """Receiver of Django's signal: whatever opened the session, it has an age."""
    request.session[OPENED] = clock.now().timestamp()


def is_over(request: HttpRequest) -> bool:
    """Whether the session's hours are over, or nobody knows since when it is open."""
    opened = request.session.get(OPENED)
    return not isinstance(opened, float) or clock.now().timestamp() - opened >= settings.SIGNED_IN_HOURS * 3600


def end_old(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: nobody is signed in any more where the session's hours are over. What was sent is kept as ever."""

    def answer(request: HttpRequest) -> HttpResponse:
        if not request.path.startswith("/api/") and request.user.is_authenticated and is_over(request):
            auth.logout(request)
        return get_response(request)

    return answer


def actor(request: HttpRequest) -> Actor | None:
    """Who acts, or None where nobody is signed in or the computer is locked."""
    if not request.user.is_authenticated or is_locked(request):
        return None
    return acting_person(request.user)


def is_shared(request: HttpRequest) -> bool:
    """Whether people change by PIN on this computer."""
    return WORKPLACE in request.session


def is_locked(request: HttpRequest) -> bool:
    """Whether a shared computer waits for a PIN: somebody locked it, or nobody used it for a while. One query."""
    if not is_shared(request) or not request.user.is_authenticated:
        return False
    workplace = _as_read(request)
    over = timedelta(minutes=settings.LOCK_MINUTES)
    return workplace is None or workplace.locked_at is not None or clock.now() - workplace.seen_at > over


def lock(request: HttpRequest) -> None:
    """Locks a shared computer."""
    _workplace(request).update(locked_at=clock.now())


def touch(request: HttpRequest) -> None:
    """The computer is in use; a lock that came meanwhile stays."""
    workplace, now = _as_read(request), clock.now()
    if workplace is not None and now - workplace.seen_at > SEEN_EVERY:
        _workplace(request).filter(locked_at=None).update(seen_at=now)


def pin_opens(request: HttpRequest, person: Person | None, pin: str) -> bool:
    """Whether a PIN opens a shared computer for a person; False for a wrong one, and where nobody shares it.

    After brakes.MOST_PINS wrong ones in a row a person's PIN is off until their password is given.
    """
    if person is None or not is_shared(request) or not request.user.is_authenticated:
        return False
    if not brakes.take_try(brakes.of_pin(person.pk), brakes.MOST_PINS) or not pins.is_right(person, pin):
        return False
    brakes.release(brakes.of_pin(person.pk))
    return True


def switch(request: HttpRequest, person: Person) -> None:
    """Opens a shared computer for a person whose PIN was right."""
    if request.user.pk != person.pk:
        kept = {name: request.session[name] for name in (WORKPLACE, OPENED)}
        auth.login(request, person, backend=BACKEND)
        request.session.update(kept)
    # The same person goes on: nothing that an open page holds becomes invalid.
    _workplace(request).update(locked_at=None, seen_at=clock.now())
    request.__dict__.pop(AS_READ, None)


def pin_is_off(person: Person | None) -> bool:
    """Whether a person's PIN opens nothing, since too many wrong ones were typed for it."""
    return person is not None and brakes.is_spent(brakes.of_pin(person.pk), brakes.MOST_PINS)


def _as_read(request: HttpRequest) -> Workplace | None:
    """The workplace as this request read it; None on a computer of one's own."""
    if AS_READ not in request.__dict__:
        request.__dict__[AS_READ] = _workplace(request).first() if is_shared(request) else None
    found: Workplace | None = request.__dict__[AS_READ]
    return found


def _workplace(request: HttpRequest) -> QuerySet[Workplace]:
    return Workplace.objects.filter(pk=request.session.get(WORKPLACE, 0))
