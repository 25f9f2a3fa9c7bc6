"""A ceiling on requests of one client, so that a loop in a storefront cannot starve the bench."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.conf import settings
from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle

if TYPE_CHECKING:
    from rest_framework.views import APIView


class PerClient(SimpleRateThrottle):
    """Counts per client over a minute, in each worker process."""

    scope = "client"

    def get_rate(self) -> str:
        return f"{settings.REQUESTS_PER_MINUTE}/min"

    def get_cache_key(self, request: Request, view: APIView) -> str | None:
        client = getattr(request.user, "client", None)
        return None if client is None else f"throttle-client-{client.pk}"
