"""What a browser may do with a page: only what comes from this server, no inline script, no inline style."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self';"
    " connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
View = Callable[[HttpRequest], HttpResponse]


def strict_headers(get_response: View) -> View:
    """Middleware: the content security policy on every answer; pages are not kept by caches, so that nobody reads
    the last person's page after signing out."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.setdefault("Content-Security-Policy", POLICY)
        if not request.path.startswith("/static/"):
            response.setdefault(
                "Cache-Control", "no-store" if request.path.startswith("/admin/") else "private, no-cache"
            )
        return response

    return answer
