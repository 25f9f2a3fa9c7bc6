"""What nothing else answers: a problem document for a program, a page for a person."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.utils.module_loading import import_string

PROBLEMS = "inventory.api.problems"
PAGES = "inventory.counter.refusals"


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """For requests that Django refuses before any view sees them."""
    return _answer(request, "bad_request", request, exception)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """For addresses that nothing answers to."""
    return _answer(request, "not_found", request, exception)


def server_error(request: HttpRequest) -> HttpResponse:
    """For errors that no view expected."""
    return _answer(request, "server_error", request)


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """For a form whose page is older than the sign-in."""
    found: HttpResponse = import_string(f"{PAGES}.stale_form")(request, reason)
    return found


def _answer(request: HttpRequest, name: str, *words: object) -> HttpResponse:
    room = PROBLEMS if request.path.startswith("/api/") else PAGES
    found: HttpResponse = import_string(f"{room}.{name}")(*words)
    return found
