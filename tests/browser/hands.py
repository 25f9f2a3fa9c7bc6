"""Hands on a keyboard, and a scanner that pretends to be one. Both count what they press."""

from __future__ import annotations

from playwright.sync_api import Page


def scan(page: Page, text: str) -> int:
    """A code as a scanner sends it, at once and with Enter; gives the number of key presses."""
    page.keyboard.type(text)
    page.keyboard.press("Enter")
    return len(text) + 1


class Presses:
    """Presses keys on a page and counts them: `data` is what had to be typed on any page, `keys` everything else."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.keys = 0
        self.data = 0

    def type(self, text: str) -> None:
        """Types data where the focus is."""
        self.page.keyboard.type(text)
        self.data += len(text)

    def press(self, key: str, times: int = 1) -> None:
        """Presses a key ("Tab"), or several at once ("Control+Enter"), each of which counts."""
        for _ in range(times):
            self.page.keyboard.press(key)
        # "+" alone, and behind another key, is a key itself.
        self.keys += times * (1 + key[:-1].count("+"))

    def scan(self, text: str) -> None:
        """What a scanner presses costs no hand anything; it is data, its Enter too."""
        self.data += scan(self.page, text)
