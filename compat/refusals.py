"""What the engine refuses, as an error that names the field."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from compat import texts
from compat.engineering.threads.designation import ThreadError
from inventory.common.errors import DomainError, FieldError


@contextmanager
def engine_errors(field: str) -> Iterator[None]:
    """Turns the engine's ValueError into DomainError `invalid` for this field."""
    try:
        yield
    except ThreadError as error:
        text = texts.TEXTS[error.code].format(**error.data)
        raise DomainError("invalid", errors=[FieldError(field, error.code, text)]) from None
    except ValueError as error:
        raise DomainError("invalid", errors=[FieldError(field, "out_of_range", str(error))]) from None
