"""What every page shares: who may see it, who may send it, and how a refusal looks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any, cast
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse

from inventory.common.errors import DomainError, invalid
from inventory.counter import session
from inventory.people import pins
from inventory.people.actors import Actor
from inventory.people.roles import STAFF, Role

# Never written into a page: secrets, and what belongs to the page that sent it.
SECRETS = {"password", "pin", "new_pin"}
NOT_KEPT = {"csrfmiddlewaretoken", *SECRETS}
SERVERS_FAULT, COME_BACK = 500, 503
RETRY_AFTER_S = 2
PageView = Callable[..., HttpResponse]


@dataclass(frozen=True, slots=True)
class Access:
    """Which roles may look at a page (GET) and which may send it (POST); none may send a page without a form."""

    see: tuple[Role, ...]
    send: tuple[Role, ...]


def page(*, see: tuple[Role, ...] = STAFF, send: tuple[Role, ...] = ()) -> Callable[[PageView], PageView]:
    """A page for signed-in people of some roles. A refusal that the view does not show itself becomes a page."""

    def decorate(view: PageView) -> PageView:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            method = "GET" if request.method == "HEAD" else str(request.method)
            allowed = {"GET": see, "POST": send}.get(method, ())
            if not request.user.is_authenticated:
                return _closed(request, {"signed_out": True}, "sign-in")
            if session.is_locked(request):
                return _closed(request, {"people": pins.people_with_pin()}, "switch")
            session.touch(request)
            try:
                _refuse_unprintable(request)
                if not allowed:
                    methods = ", ".join(name for name, roles in (("GET", see), ("POST", send)) if roles)
                    raise DomainError("method_not_allowed", allowed=methods)
                acting = actor_of(request)
                if acting.role not in allowed:
                    raise DomainError("role_not_allowed", role=acting.role, allowed=", ".join(allowed))
                return view(request, *args, **kwargs)
            except DomainError as error:
                return refusal(request, error)

        guarded.access = Access(see, send)  # type: ignore[attr-defined]  # the table of who may do what is tested by it
        return guarded

    return decorate


def actor_of(request: HttpRequest) -> Actor:
    """Who acts on a page; for use inside page()."""
    return cast(Actor, session.actor(request))


def refusal(request: HttpRequest, error: DomainError) -> HttpResponse:
    """A refusal as a page: what happened, what to do, and the way back."""
    if error.status >= SERVERS_FAULT:
        return unanswered(request, error)
    return render(request, "counter/refusal.html", {"error": error}, status=error.status)


def unanswered(request: HttpRequest, error: DomainError) -> HttpResponse:
    """Nothing is wrong with what was sent, but the server could not do it now: 5xx, with what was typed, to send again.

    Asks nothing of the database.
    """
    known = {
        "title": error.kind.title,
        "text": error.text,
        "sent": request.method == "POST",
        "kept": kept_fields(request) if request.method == "POST" else [],
        "secrets": any(name in request.POST for name in SECRETS),
        "files": bool(request.FILES),
        "address": request.get_full_path(),
        "csrf_token": get_token(request),
    }
    text = render_to_string("counter/unanswered.html", known, request=None)
    response = HttpResponse(text, status=error.status)
    if error.status == COME_BACK:
        response["Retry-After"] = str(RETRY_AFTER_S)
    return response


def is_swap(request: HttpRequest) -> bool:
    """Whether htmx asks for a fragment to swap in."""
    return request.headers.get("HX-Request") == "true"


def lock_fragment(request: HttpRequest, known: dict[str, Any]) -> HttpResponse:
    """The lock above the page that is open; that page stays as it is, with everything typed."""
    return into_lock(render(request, "counter/_lock.html", known))


def into_lock(response: HttpResponse) -> HttpResponse:
    """Sends a fragment to the place of the lock, whatever the page had asked for."""
    response["HX-Retarget"], response["HX-Reswap"] = "#lock", "innerHTML"
    return response


def kept_fields(request: HttpRequest) -> list[tuple[str, str]]:
    """(name, value) of what was sent, for a page that offers to send it again; never a secret."""
    return [(name, str(one)) for name, values in request.POST.lists() if name not in NOT_KEPT for one in values]


def _closed(request: HttpRequest, known: dict[str, Any], opened_at: str) -> HttpResponse:
    """Nobody is signed in, or the computer is locked. What was being sent, or stands on the page, is kept."""
    if is_swap(request):
        return lock_fragment(request, known)
    if request.method == "POST":
        return _kept(request, known)
    return HttpResponseRedirect(f"{reverse(opened_at)}?{urlencode({'next': request.get_full_path()})}")


def _kept(request: HttpRequest, known: dict[str, Any]) -> HttpResponse:
    """The page that keeps what was sent until somebody has opened the computer."""
    known = {**known, "kept": kept_fields(request), "back": request.get_full_path(), "files": bool(request.FILES)}
    return render(request, "counter/locked.html", known, status=403)


def _refuse_unprintable(request: HttpRequest) -> None:
    """Control characters in an address name nothing, and PostgreSQL does not take them. Raises DomainError `not_found`.

    Line ends in a form are as they should be; everything else below a blank is taken for a slip of the scanner.
    """
    if not request.path.isprintable():
        raise DomainError("not_found", what="page", which=ascii(request.path)[:60])
    for sent in (request.GET, request.POST):
        for name, values in sent.lists():
            if any("\x00" in value for value in values):
                raise invalid(name[:40], "has characters that are not allowed here")
