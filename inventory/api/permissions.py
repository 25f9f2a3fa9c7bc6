"""Everything is denied unless the view names the role for the method."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rest_framework.exceptions import MethodNotAllowed
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from inventory.common.errors import DomainError
from inventory.people.actors import Actor

if TYPE_CHECKING:
    from rest_framework.views import APIView


class RoleAllowed(BasePermission):
    """Looks the actor's role up in the view's `allowed` table."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        table = getattr(view, "allowed", {})
        # HEAD is GET without the body.
        method = "GET" if request.method == "HEAD" else request.method or ""
        allowed = table.get(method, ())
        actor = request.user
        if not isinstance(actor, Actor):
            raise DomainError("key_missing")
        if method not in table and not callable(getattr(view, method.lower(), None)):
            raise MethodNotAllowed(method)
        if actor.role not in allowed:
            raise DomainError("role_not_allowed", role=actor.role.value, allowed=", ".join(allowed) or "nobody")
        return True
