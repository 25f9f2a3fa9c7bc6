"""A field as it is typed at the desk."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Blank:
    """One field: its path in the request, what it is called, and how it is typed.

    `kind` is measured, length, reading, figure, word, choice, text, day, flag, yes_no, there, lines or diameters. A
    `there` blank is a tick that says that something exists, and `value` is what the request then holds. A `first`
    blank must be known first. A number in the path counts the items of a list.
    """

    path: str
    label: str
    kind: str = "measured"
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    help: str = ""
    group: str = ""
    first: bool = False
    most: int = 30
    called: str = ""
    value: Any = None

    @property
    def name(self) -> str:
        """The name of the form's field."""
        return self.called or self.path.replace(".", "_")

    @property
    def shown_unit(self) -> str:
        """The unit behind the field."""
        return self.unit or ("mm" if self.kind in ("measured", "length") else "")
