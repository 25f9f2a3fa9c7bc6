"""What the engine refuses, as an error that names the field."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from compat import texts
from compat.engineering.refused import Refused
from compat.engineering.threads.designation import ThreadError, parse
from inventory.common.errors import DomainError, FieldError

# No thread at all, as opposed to one that is ambiguous or unusual, which is a matter for the answer.
UNREADABLE = {"thread_not_understood", "thread_form_missing"}


@contextmanager
def engine_errors(field: str, *, below: bool = False) -> Iterator[None]:
    """Turns what the engine refuses into DomainError `invalid`, for the refusal's own field or else for this one.

    below: the refusal's own field, by its last name, lies below this one.

    Anything else that is raised is an error of this program: it goes on, and becomes a 500 with a request id.
    """
    try:
        yield
    except ThreadError as error:
        raise _refusal(field, error) from None
    except Refused as refused:
        own = refused.field or field
        if below and refused.field:
            own = f"{field}.{refused.field.rpartition('.')[2]}"
        raise DomainError("invalid", errors=[FieldError(own, refused.code, said(refused))]) from None


def said(refused: Refused) -> str:
    """The sentence of a refusal; some of what is refused may be a finding elsewhere and has its sentence there."""
    text = texts.REFUSALS.get(refused.code) or texts.TEXTS[refused.code]
    return text.format(**refused.data)


def refuse_unreadable(field: str, thread: str) -> None:
    """Raises DomainError `invalid` for a text that designates no thread."""
    try:
        parse(thread)
    except ThreadError as error:
        if error.code in UNREADABLE:
            raise _refusal(field, error) from None


def _refusal(field: str, error: ThreadError) -> DomainError:
    text = why_unreadable(error, part=field.split(".", maxsplit=1)[0])
    return DomainError("invalid", errors=[FieldError(field, error.code, text)])


def why_unreadable(error: ThreadError, *, part: str) -> str:
    """The sentence for a designation of `part` that is not understood."""
    return texts.TEXTS[error.code].format(**{"part": part, **error.data})
