"""Ceilings: on requests of one client, so that a loop in a storefront cannot starve the bench; on wrong keys."""

from __future__ import annotations

import hashlib
import logging
from typing import TYPE_CHECKING

from django.conf import settings
from django.core.cache import cache
from rest_framework.request import Request
from rest_framework.throttling import BaseThrottle

from inventory.common import clock

if TYPE_CHECKING:
    from rest_framework.views import APIView

WINDOW_S = 60
# More than a program tries that was given an old key by mistake, and far less than a guess would need.
WRONG_KEYS_PER_MINUTE = 30

log = logging.getLogger(__name__)


class PerClient(BaseThrottle):
    """Counts per client and minute, in each worker process: one number, however many requests there are."""

    def allow_request(self, request: Request, view: APIView) -> bool:
        client = getattr(request.user, "client", None)
        if client is None:
            return True
        count, self.left = _counted(f"requests-{client.pk}")
        return count <= settings.REQUESTS_PER_MINUTE

    def wait(self) -> float:
        """Seconds until the next minute begins."""
        return self.left


def wrong_key(address: str) -> int:
    """Counts a wrong key from a network address; the seconds that its sender is to wait, 0 while few were wrong.

    Called only after a key was found to be wrong: a right one passes however many wrong ones come from the same
    address, or an outsider could lock out the shop, with which it may share the address of a proxy. That costs nothing,
    since 256 random bits are not guessed at any rate. What this ends is the noise: it is written to the log once.
    """
    # Few places to count in, so that nobody with many addresses fills the cache; sharing one brakes no right key.
    count, left = _counted(f"wrong-keys-{hashlib.sha256(address.encode()).digest()[0] % 64}")
    if count <= WRONG_KEYS_PER_MINUTE:
        return 0
    if count == WRONG_KEYS_PER_MINUTE + 1:
        log.warning("more than %s wrong API keys in a minute from %s", WRONG_KEYS_PER_MINUTE, ascii(address))
    return max(1, round(left))


def _counted(name: str) -> tuple[int, float]:
    """(how often this was counted in this minute, the seconds until the next), in this worker process."""
    seconds = clock.now().timestamp()
    key = f"{name}-{int(seconds // WINDOW_S)}"
    cache.add(key, 0, timeout=2 * WINDOW_S)
    return int(cache.incr(key)), WINDOW_S - seconds % WINDOW_S
