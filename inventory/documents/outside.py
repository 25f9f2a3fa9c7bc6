"""A checked document as it was sent."""

from __future__ import annotations

from typing import Any


def outside(document: Any) -> Any:
    """A checked document in the form in which it was sent: micrometres back to millimetres, absent fields absent."""
    if isinstance(document, dict):
        return {
            name: value / 1000 if type(value) is int and name.endswith("_mm") else outside(value)
            for name, value in document.items()
            if value is not None
        }
    if isinstance(document, list | tuple):
        return [outside(value) for value in document]
    return document
