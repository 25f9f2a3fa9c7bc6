"""Pages for what no view answers."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

from inventory.common.errors import DomainError
from inventory.counter.pages import refusal, unanswered


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Django refused the request before any view saw it, a wrong host name among others."""
    too_much: dict[type[Exception], tuple[str, int]] = {
        RequestDataTooBig: ("too_large", settings.DATA_UPLOAD_MAX_MEMORY_SIZE),
        TooManyFieldsSent: ("too_many_values", settings.DATA_UPLOAD_MAX_NUMBER_FIELDS),
    }
    if type(exception) in too_much:
        code, most = too_much[type(exception)]
        error = DomainError(code, most=most)
        return _bare(error.status, error.kind.title, f"{error.text} Go back: what you typed is still there.")
    return _bare(400, "The request is not valid", "Check the address and how it was opened.")


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """No such address."""
    return refusal(request, DomainError("not_found", what="page", which=request.path[:200]))


def server_error(request: HttpRequest, error: DomainError) -> HttpResponse:
    """Something broke; the page asks nothing of the database, which may be what broke."""
    return unanswered(request, error)


def stale_form(request: HttpRequest, reason: str) -> HttpResponse:
    """The form is older than the sign-in, or the browser keeps no cookies."""
    title, text = (
        "This form is too old",
        "Somebody signed in since it was opened. Go back, reload the page, send it again.",
    )
    return render(request, "counter/bare.html", {"title": title, "text": text}, status=403)


def _bare(status: int, title: str, text: str) -> HttpResponse:
    return HttpResponse(render_to_string("counter/bare.html", {"title": title, "text": text}), status=status)
