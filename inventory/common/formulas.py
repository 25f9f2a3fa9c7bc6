"""Texts that a spreadsheet would run: refused wherever a text comes in, since what is kept may be opened there."""

from __future__ import annotations

BEGINNINGS = ("=", "+", "-", "@", "\t", "\r")


def refusal(text: str) -> str | None:
    """A sentence for a text that begins like a formula; None for any other."""
    if not text.startswith(BEGINNINGS):
        return None
    return f"begins with {text[0]!r}, which a spreadsheet would run as a formula; write it otherwise"
