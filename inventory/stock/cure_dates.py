"""Cure dates of seals: a quarter, written in one way."""

from __future__ import annotations

import re

CURE_DATE = re.compile(r"(19[5-9]|20[0-9])[0-9]-Q[1-4]")
WANTED = "must be a quarter, as in 2026-Q3"


def read(text: str) -> str:
    """A cure date as it is kept, `2026-Q3` for `2026-q3` too; empty for none. Raises ValueError with a sentence."""
    found = text.strip().upper()
    if found and not CURE_DATE.fullmatch(found):
        raise ValueError(WANTED)
    return found
