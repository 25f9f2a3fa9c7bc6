"""Tests whose browser complains, for the harness's own test: it runs them and expects one of them to fail."""

from __future__ import annotations

from playwright.sync_api import Page

from tests.browser.watch import Watch


def test_complaint_left(page: Page) -> None:
    page.goto("/admin/login/")
    page.evaluate("console.error('the drawer jams')")


def test_complaint_taken(page: Page, console: Watch) -> None:
    page.goto("/admin/login/")
    page.evaluate("console.error('the drawer jams')")
    assert console.take() == ["console error: the drawer jams"]
