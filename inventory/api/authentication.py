"""Authorization: Bearer KEY, and nothing else: sessions belong to pages."""

from __future__ import annotations

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.request import Request

from inventory.api.throttling import wrong_key
from inventory.common.errors import DomainError
from inventory.people.actors import Actor
from inventory.people.keys import holder


class ApiKeyAuthentication(BaseAuthentication):
    """The actor behind the key, as `request.user`."""

    def authenticate(self, request: Request) -> tuple[Actor, None]:
        scheme, _, key = request.headers.get("Authorization", "").partition(" ")
        if not scheme:
            raise DomainError("key_missing")
        try:
            if scheme.lower() != "bearer" or not key.strip():
                raise DomainError("key_invalid")
            return holder(key.strip()), None
        except DomainError:
            if seconds := wrong_key(request.META.get("REMOTE_ADDR", "")):
                raise DomainError("too_many_requests", seconds=seconds) from None
            raise

    def authenticate_header(self, request: Request) -> str:
        return "Bearer"


class ApiKeyScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]  # the library's base class has no types
    """How the OpenAPI document describes the key."""

    target_class = "inventory.api.authentication.ApiKeyAuthentication"
    name = "apiKey"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer"}
