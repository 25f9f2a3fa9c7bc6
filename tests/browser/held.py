"""Requests that a test holds back and lets go, so that no answer comes earlier or later than it says."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, Route

from tests.browser.conftest import PATIENCE_MS

LOOK_MS = 20  # between two looks at what the page has sent


class Held:
    """The requests of a page to the addresses of a pattern, of one method if it is named; those that send the field
    `but` are let through."""

    def __init__(self, page: Page, address: str, method: str = "", *, but: str = "") -> None:
        self.page = page
        self.routes: list[Route] = []
        self._method = method
        self._but = but
        self._open = False
        page.route(address, self._hold)

    def _hold(self, route: Route) -> None:
        through = bool(self._but) and f"{self._but}=" in (route.request.post_data or "")
        if self._open or through or self._method not in ("", route.request.method):
            route.continue_()
        else:
            self.routes.append(route)

    def wait_for(self, number: int) -> None:
        """Until so many have been sent."""
        for _ in range(PATIENCE_MS // LOOK_MS):
            if len(self.routes) >= number:
                return
            self.page.wait_for_timeout(LOOK_MS)
        pytest.fail(f"{len(self.routes)} requests were sent, not {number}")

    def wait_for_one_with(self, words: str) -> None:
        """Until one has been sent whose address holds these words."""
        for _ in range(PATIENCE_MS // LOOK_MS):
            if any(words in route.request.url for route in self.routes):
                return
            self.page.wait_for_timeout(LOOK_MS)
        pytest.fail(f"none of {[route.request.url for route in self.routes]} holds {words!r}")

    def let_go(self) -> None:
        """Everything held goes on, and whatever is sent from now on; returns when the last one held is answered."""
        self._open = True
        for route in self.routes:
            route.continue_()
        self.routes[-1].request.response()
