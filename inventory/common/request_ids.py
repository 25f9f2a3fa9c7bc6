"""A number for every request: in the answer's header, in what a 500 says, and beside the traceback in the log."""

from __future__ import annotations

import logging
import uuid
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

HEADER = "X-Request-Id"
NONE = "none"


def number_requests(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: every request gets an id of this server's own making, and its answer carries it."""

    def answer(request: HttpRequest) -> HttpResponse:
        setattr(request, "request_id", uuid.uuid4().hex)  # noqa: B010  # an HttpRequest declares no such name
        response = get_response(request)
        response[HEADER] = id_of(request)
        return response

    return answer


def id_of(request: object) -> str:
    """The id of a request, also of the API framework's; `none` where it never came past the middleware."""
    return str(getattr(request, "request_id", NONE))


class WithRequestId(logging.Filter):
    """Puts the id into what is logged of a request, so that the traceback is found by what the person was shown."""

    def filter(self, record: logging.LogRecord) -> bool:
        request = getattr(record, "request", None)
        if request is not None:
            record.msg = f"{record.msg} [request {id_of(request)}]"
        return True
