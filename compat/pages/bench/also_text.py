"""The parts that a job needs besides its stacks, as people type them: `NU-M12x1.25 x1; WA-3`."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from django import forms

from compat.plans.sent import SentPart
from inventory.counter.forms import Line

SEPARATOR = ";"
SIGNS = "xX×"
COUNT = re.compile(rf"[{SIGNS}](\d{{1,6}})", re.ASCII)
# Forty parts with long numbers.
MOST = 2000


class AlsoParts(Line):
    """Part numbers with their counts; cleaned the lines in the form of the API."""

    def __init__(self, **options: Any) -> None:
        super().__init__(most=MOST, required=False, **options)

    def clean(self, value: Any) -> Any:
        try:
            return read_also(super().clean(value))
        except ValueError as error:
            raise forms.ValidationError(str(error)) from None


def read_also(text: str) -> list[SentPart]:
    """The lines of a request; without a count it is one. Raises ValueError with a sentence that says what to type."""
    return [_read(word.strip()) for word in text.split(SEPARATOR) if word.strip()]


def write_also(lines: Iterable[SentPart]) -> str:
    """The lines of a request as they would be typed."""
    return f"{SEPARATOR} ".join(f"{line['part']} x{line['quantity']}" for line in lines)


def _read(word: str) -> SentPart:
    part, blank, last = word.rpartition(" ")
    if not blank or last[0] not in SIGNS:
        return {"part": word, "quantity": 1}
    count = COUNT.fullmatch(last)
    if count is None:
        raise ValueError(f"{word[:60]}: “{last[:20]}” is no count; type a whole number as in {part.strip()[:40]} x2.")
    return {"part": part.strip(), "quantity": int(count[1])}
