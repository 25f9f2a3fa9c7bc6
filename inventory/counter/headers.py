"""What a browser may do with a page: only what comes from this server, no inline script, no inline style."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from inventory.common.errors import DomainError
from inventory.counter import session
from inventory.counter.pages import refusal

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self';"
    " connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
View = Callable[[HttpRequest], HttpResponse]


def strict_headers(get_response: View) -> View:
    """Middleware: the content security policy on every answer, and no page in any cache.

    A page kept by the browser would be shown by Back after somebody locked or signed out, so none is: Back asks the
    server. What that costs is the typing in a form that was left without sending; the bench's lies in its drafts, a
    lock comes above the page and leaves it, and what was sent to a closed door is kept. Some browsers keep a page whole
    in memory all the same; it then asks whose it is (shimshelf.js, still-here). A program may keep what it read and ask
    with its ETag.
    """

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.setdefault("Content-Security-Policy", POLICY)
        if request.path.startswith("/api/"):
            response.setdefault("Cache-Control", "private, no-cache")
        elif not request.path.startswith("/static/"):
            response["Cache-Control"] = "no-store"
        return response

    return answer


def admin_by_password_alone(get_response: View) -> View:
    """Middleware: /admin/ opens only where nobody changes by PIN. There passwords are set and roles given."""

    def answer(request: HttpRequest) -> HttpResponse:
        if request.path.startswith("/admin/") and request.user.is_authenticated and session.is_shared(request):
            return refusal(request, DomainError("shared_computer"))
        return get_response(request)

    return answer
