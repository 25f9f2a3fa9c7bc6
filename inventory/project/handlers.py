"""What nothing else answers: a problem document for a program, a page for a person."""

from __future__ import annotations

import sys

from django.http import HttpRequest, HttpResponse
from django.utils.module_loading import import_string

from inventory.common.database_trouble import what_ails
from inventory.common.errors import DomainError
from inventory.common.request_ids import id_of

PROBLEMS = "inventory.api.problems"
PAGES = "inventory.counter.refusals"


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """For requests that Django refuses before any view sees them."""
    return _answer(request, "bad_request", request, exception)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """For addresses that nothing answers to."""
    return _answer(request, "not_found", request, exception)


def server_error(request: HttpRequest) -> HttpResponse:
    """For errors that no view expected. A database that serves nobody is not a fault of the program: 503, come back."""
    # Django calls this while the error is being handled.
    error = sys.exception()
    why = what_ails(error) if error else None
    told = DomainError("no_database", why=why) if why else DomainError("server_error", request_id=id_of(request))
    return _answer(request, "server_error", request, told)


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """For a form whose page is older than the sign-in."""
    found: HttpResponse = import_string(f"{PAGES}.stale_form")(request, reason)
    return found


def _answer(request: HttpRequest, name: str, *words: object) -> HttpResponse:
    room = PROBLEMS if request.path.startswith("/api/") else PAGES
    found: HttpResponse = import_string(f"{room}.{name}")(*words)
    return found
