"""What is wrong with a document that was sent, as a list of fields."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from inventory.common.errors import FieldError

LONGEST_MESSAGE = 1_000  # signs; some messages repeat what was sent


def flat(detail: Any, path: str = "") -> Iterator[FieldError]:
    """Nested validation errors as one list with dotted paths."""
    if isinstance(detail, dict):
        for name, inner in detail.items():
            here = path if name == "non_field_errors" else f"{path}.{name}" if path else str(name)
            yield from flat(inner, here)
    elif isinstance(detail, Sequence) and not isinstance(detail, str):
        for index, inner in enumerate(detail):
            nested = isinstance(inner, dict | list)
            yield from flat(inner, f"{path}.{index}" if nested and path else str(index) if nested else path)
    else:
        yield FieldError(path, getattr(detail, "code", "invalid"), _short(str(detail)))


def _short(message: str) -> str:
    return message if len(message) <= LONGEST_MESSAGE else f"{message[: LONGEST_MESSAGE - 3]}..."
