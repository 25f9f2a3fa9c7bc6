"""What axe-core finds on a page."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

from tests.browser import desk

# WCAG A and AA and the good practices are on; the size of what is touched (WCAG 2.2, 2.5.8) is not.
OPTIONS: dict[str, Any] = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}


# Contrast takes most of the time, and colours do not depend on the width (tests/house/test_style_sheet.py).
NARROW = {**OPTIONS, "rules": {**OPTIONS["rules"], "color-contrast": {"enabled": False}}}


def violations(page: Page) -> list[str]:
    """Each element that breaks a rule: rule, help, the element, what to do. Contrast is looked at on a bench's screen
    only."""
    size = page.viewport_size
    narrow = size is not None and size["width"] < desk.BENCH["viewport"]["width"]
    # Half a megabyte, which a document keeps.
    if page.evaluate("typeof axe === 'undefined'"):
        page.evaluate(AXE_SCRIPT)
    look = "options => axe.run(options).then(found => found.violations)"
    found: list[dict[str, Any]] = page.evaluate(look, NARROW if narrow else OPTIONS)
    return [
        f"{rule['id']} ({node['impact']}): {rule['help']}\n    {node['html']}\n    {node['failureSummary']}"
        for rule in found
        for node in rule["nodes"]
    ]
