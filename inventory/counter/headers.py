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
    """Middleware: the content security policy on every answer, and no page in a cache that others share.

    A browser may still bring a page back whole; the page then asks whose it is (shimshelf.js, still-here).
    """

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.setdefault("Content-Security-Policy", POLICY)
        if not request.path.startswith("/static/"):
            response.setdefault(
                "Cache-Control", "no-store" if request.path.startswith("/admin/") else "private, no-cache"
            )
        return response

    return answer


def admin_by_password_alone(get_response: View) -> View:
    """Middleware: /admin/ opens only where nobody changes by PIN. There passwords are set and roles given."""

    def answer(request: HttpRequest) -> HttpResponse:
        if request.path.startswith("/admin/") and request.user.is_authenticated and session.is_shared(request):
            return refusal(request, DomainError("shared_computer"))
        return get_response(request)

    return answer
