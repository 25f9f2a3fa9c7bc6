"""Every refusal as application/problem+json (RFC 9457), whatever raised it."""

from __future__ import annotations

import logging
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.db import OperationalError
from django.http import Http404, HttpRequest, JsonResponse
from rest_framework import exceptions
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response
from rest_framework.views import set_rollback

from inventory.common.database_trouble import is_busy, what_ails
from inventory.common.errors import DomainError
from inventory.common.request_ids import id_of
from inventory.documents.faults import flat

MEDIA_TYPE = "application/problem+json"
TYPE_BASE = "urn:shimshelf:error:"
RETRY_AFTER_S = 2
COME_BACK = 503
# What whoever looks after this server has to know of.
LOGGED = {"server_error", "no_database", "not_known"}
MOST_ERRORS = 50  # that are told of a request that is not valid

log = logging.getLogger(__name__)


def body(error: DomainError) -> dict[str, Any]:
    """The problem document of a refusal."""
    told, detail, data = error.errors, error.text, dict(error.data)
    if error.code == "invalid" and len(told) > MOST_ERRORS:
        detail += f" These are the first {MOST_ERRORS} of {len(told)}."
        told, data["errors_in_all"] = told[:MOST_ERRORS], len(told)
    found: dict[str, Any] = {
        "type": f"{TYPE_BASE}{error.code}",
        "title": error.kind.title,
        "status": error.status,
        "detail": detail,
        "code": error.code,
        "errors": [{"field": one.field, "code": one.code, "message": one.message} for one in told],
        "data": data,
    }
    if "request_id" in error.data:
        found["request_id"] = error.data["request_id"]
    return found


def handle(error: Exception, context: dict[str, Any]) -> Response:
    """The API framework's exception handler."""
    set_rollback()
    known = _as_domain_error(error, context)
    # A refusal is JSON also where the view itself renders something else.
    context["request"].accepted_renderer = JSONRenderer()
    context["request"].accepted_media_type = "application/json"
    if known.code in LOGGED:
        request = context["request"]
        log.error("unhandled error in %s [request %s]", request.path, id_of(request), exc_info=error)
    return Response(body(known), status=known.status, headers=_headers(known), content_type=MEDIA_TYPE)


def not_found(request: HttpRequest, exception: Exception) -> JsonResponse:
    """For addresses that nothing answers to."""
    return _page(DomainError("not_found", what="page", which=request.path))


def bad_request(request: HttpRequest, exception: Exception) -> JsonResponse:
    """For requests that Django refuses before any view sees them."""
    return _page(DomainError("invalid"))


def server_error(request: HttpRequest, error: DomainError) -> JsonResponse:
    """For errors outside the API's own views."""
    return _page(error)


def _page(error: DomainError) -> JsonResponse:
    return JsonResponse(body(error), status=error.status, headers=_headers(error), content_type=MEDIA_TYPE)


def _headers(error: DomainError) -> dict[str, str]:
    if error.code == "key_missing" or error.code == "key_invalid":
        return {"WWW-Authenticate": "Bearer"}
    if error.status == COME_BACK:
        return {"Retry-After": str(RETRY_AFTER_S)}
    if error.code == "too_many_requests":
        return {"Retry-After": str(error.data["seconds"])}
    return {"Idempotency-Replayed": "true"} if error.repeated else {}


def _as_domain_error(error: Exception, context: dict[str, Any]) -> DomainError:
    match error:
        case DomainError():
            return error
        case exceptions.ValidationError():
            return DomainError("invalid", errors=list(flat(error.detail)))
        case exceptions.ParseError():
            # Python's own limit on the digits of a number speaks of Python.
            digits = "set_int_max_str_digits" in str(error.detail)
            return DomainError("not_json", reason="a number has too many digits" if digits else str(error.detail))
        case exceptions.NotAuthenticated():
            return DomainError("key_missing")
        case exceptions.AuthenticationFailed():
            return DomainError("key_invalid")
        case exceptions.MethodNotAllowed():
            return DomainError(
                "method_not_allowed", allowed=", ".join(getattr(context["view"], "allowed", {})) or "nothing"
            )
        case exceptions.NotAcceptable():
            return DomainError("not_acceptable")
        case exceptions.UnsupportedMediaType():
            return DomainError("unsupported_media")
        case exceptions.Throttled():
            return DomainError("too_many_requests", seconds=max(1, round(getattr(error, "wait", None) or 1)))
        case exceptions.NotFound() | Http404():
            return DomainError("not_found", what="page", which=context["request"].path)
        case RequestDataTooBig():
            from django.conf import settings

            return DomainError("too_large", most=settings.DATA_UPLOAD_MAX_MEMORY_SIZE)
        case RecursionError():
            return DomainError("not_json", reason="it is nested too deeply")
        case OperationalError() if is_busy(error):
            return DomainError("too_busy", seconds=0)
        case _ if why := what_ails(error):
            return DomainError("no_database", why=why)
        case _:
            return DomainError("server_error", request_id=id_of(context["request"]))
