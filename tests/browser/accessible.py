"""What axe-core finds on a page."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

# WCAG A and AA and the good practices are on; the size of what is touched (WCAG 2.2, 2.5.8) is not.
OPTIONS = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}


def violations(page: Page) -> list[str]:
    """Each element that breaks a rule: rule, help, the element, what to do."""
    found: list[dict[str, Any]] = Axe().run(page, options=OPTIONS).response["violations"]
    return [
        f"{rule['id']} ({node['impact']}): {rule['help']}\n    {node['html']}\n    {node['failureSummary']}"
        for rule in found
        for node in rule["nodes"]
    ]
