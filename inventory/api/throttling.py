"""A ceiling on requests of one client, so that a loop in a storefront cannot starve the bench."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.conf import settings
from django.core.cache import cache
from rest_framework.request import Request
from rest_framework.throttling import BaseThrottle

from inventory.common import clock

if TYPE_CHECKING:
    from rest_framework.views import APIView

WINDOW_S = 60


class PerClient(BaseThrottle):
    """Counts per client and minute, in each worker process: one number, however many requests there are."""

    def allow_request(self, request: Request, view: APIView) -> bool:
        client = getattr(request.user, "client", None)
        if client is None:
            return True
        seconds = clock.now().timestamp()
        self.left = WINDOW_S - seconds % WINDOW_S
        key = f"requests-{client.pk}-{int(seconds // WINDOW_S)}"
        cache.add(key, 0, timeout=2 * WINDOW_S)
        return int(cache.incr(key)) <= settings.REQUESTS_PER_MINUTE

    def wait(self) -> float:
        """Seconds until the next minute begins."""
        return self.left
