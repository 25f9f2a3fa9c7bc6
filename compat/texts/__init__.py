"""Text for people, by code. The engine says what it found; the words are here and nowhere else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from types import ModuleType

from compat.asking import rooms
from compat.texts import (
    common,
    lip,
    parts,
    plan,
    seals,
    wear,
)

SHARED = (common, lip, plan, parts, seals, wear)


def modules() -> tuple[ModuleType, ...]:
    """Where the words stand: here, and in the room of each question."""
    return (*SHARED, *rooms.texts())


class _Gathered(Mapping[str, str]):
    """The tables of one name of all modules as one, gathered when it is first read: a question's room reads this one
    while it is imported. Raises ValueError where two disagree on a code."""

    def __init__(self, name: str) -> None:
        self.name = name

    @cached_property
    def table(self) -> dict[str, str]:
        found: dict[str, str] = {}
        tables: Iterable[Mapping[str, str]] = (getattr(module, self.name, {}) for module in modules())
        for table in tables:
            for code, text in table.items():
                if found.setdefault(code, text) != text:
                    raise ValueError(f"two texts for {code} in {self.name}")
        return found

    def __getitem__(self, code: str) -> str:
        return self.table[code]

    def __iter__(self) -> Iterator[str]:
        return iter(self.table)

    def __len__(self) -> int:
        return len(self.table)


TEXTS, METHODS, REFUSALS = _Gathered("TEXTS"), _Gathered("METHODS"), _Gathered("REFUSALS")
SOURCES, CAUTIONS = _Gathered("SOURCES"), _Gathered("CAUTIONS")
CONFIRM = plan.CONFIRM
