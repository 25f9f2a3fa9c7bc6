"""The kinds of parts. A kind is one module with one table; what the rest of the project needs to know of it is said
once, here: its sizes, by which they are shown, filtered, read from a file and checked."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Model

from inventory.catalogue.models import Unit
from inventory.common import quantities


@dataclass(frozen=True, slots=True)
class Length:
    """A length or diameter: millimetres outside (`name`), whole micrometres in the column."""

    name: str
    column: str
    meaning: str
    required: bool = True
    most_um: int = 1_000_000
    # Whether 0 is a size: there is no chamfer, all of the height is thread.
    zero: bool = False

    def clean(self, value: Any, *, comma: bool = False) -> int | None:
        """The value in micrometres. Raises ValueError with a sentence."""
        if value is None or value == "":
            if self.required:
                raise ValueError("is required, in millimetres")
            return None
        um = quantities.um_from_mm(value, comma=comma)
        if not (um >= 0 if self.zero else um > 0) or um > self.most_um:
            least = "0 or more" if self.zero else "above 0"
            raise ValueError(f"must be {least} and at most {self.most_um / 1000:g} mm; is the unit right?")
        return um

    def show(self, value: int | None) -> float | None:
        """The stored value as millimetres."""
        return None if value is None else quantities.mm_from_um(value)


@dataclass(frozen=True, slots=True)
class Word:
    """A text, either one of `choices` or matching `pattern`."""

    name: str
    column: str
    meaning: str
    choices: tuple[str, ...] = ()
    pattern: str = ""
    default: str = ""

    @property
    def required(self) -> bool:
        return not self.default

    def clean(self, value: Any, *, comma: bool = False) -> str:
        """The value as stored. Raises ValueError with a sentence."""
        text = str(value).strip() if value is not None else ""
        if not text:
            if self.required:
                raise ValueError("is required")
            return self.default
        if self.choices and text not in self.choices:
            raise ValueError(f"is one of {', '.join(self.choices)}; not {text[:40]!r}")
        if self.pattern and not re.fullmatch(self.pattern, text):
            raise ValueError(f"is {self.meaning}; not {text[:40]!r}")
        return text

    def show(self, value: str) -> str:
        """The stored value."""
        return value


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of part: its code, its table, its sizes, what must hold between them, what it is counted in, and the
    column of its compound where it ages on the shelf."""

    code: str
    title: str
    table: type[Model]
    sizes: tuple[Length | Word, ...]
    # (smaller, larger): columns of which the first must be below the second.
    below: tuple[tuple[str, str], ...] = ()
    units: tuple[Unit, ...] = (Unit.PIECE,)
    ages_by: str = ""

    def unit_error(self, unit: str) -> str:
        """A sentence about a unit that this kind is not counted in; empty for one that it is."""
        if unit in self.units:
            return ""
        return f"must be {' or '.join(self.units)}: the kind {self.code} is not counted in {unit[:40]}"

    def clean(self, values: Mapping[str, Any], *, comma: bool = False) -> tuple[dict[str, Any], dict[str, str]]:
        """(columns, errors by name): the sizes as stored, and a sentence for each that is wrong."""
        columns: dict[str, Any] = {}
        errors: dict[str, str] = {}
        for size in self.sizes:
            try:
                columns[size.column] = size.clean(values.get(size.name), comma=comma)
            except ValueError as error:
                errors[size.name] = str(error)
        named = {size.column: size for size in self.sizes}
        for smaller, larger in self.below:
            low, high = columns.get(smaller), columns.get(larger)
            if low is not None and high is not None and low >= high:
                errors[named[smaller].name] = f"must be smaller than the {named[larger].meaning}"
        return columns, errors

    def show(self, row: Model) -> dict[str, Any]:
        """The sizes of a stored row by their outside names."""
        return {size.name: size.show(getattr(row, size.column)) for size in self.sizes}


KINDS: dict[str, Kind] = {}


def register(kind: Kind) -> None:
    """Adds a kind; its module calls this once."""
    if kind.code in KINDS:
        raise ValueError(f"the kind {kind.code} is registered already")
    KINDS[kind.code] = kind
