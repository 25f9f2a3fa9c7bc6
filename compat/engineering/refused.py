"""The one refusal that leaves the engine: what was asked cannot be computed, and which field is the cause."""

from __future__ import annotations

from typing import Any


class Refused(Exception):
    """Input that no rule can take. `code` is stable and has its sentence in `compat/texts` (REFUSALS); `field` is the
    dotted path below the question's own fields, empty where the caller knows it better; `data` fills the sentence.

    Any other exception is an error of this program and is never blamed on whoever asks.
    """

    def __init__(self, code: str, field: str = "", **data: Any) -> None:
        super().__init__(code, field, data)
        self.code = code
        self.field = field
        self.data = data
