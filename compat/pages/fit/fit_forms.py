"""The fit questions as the desk offers them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from compat.asking import question as asking
from compat.asking import requests
from compat.asking.blanks import Blank
from compat.asking.rooms import questions
from compat.asking.words import ABOUT

HEADLINES = {"fits": "It fits", "does_not_fit": "Does not fit", "cannot_tell": "Cannot tell yet"}


@dataclass(frozen=True, slots=True)
class Question:
    """A fit question as the desk offers it."""

    room: asking.Question[Any]
    desk: asking.Desk

    @property
    def slug(self) -> str:
        return self.room.slug

    @property
    def blanks(self) -> tuple[Blank, ...]:
        return requests.blanks_of(self.room.request)

    @property
    def letters(self) -> Mapping[str, str]:
        """Which letter of which picture stands for which field."""
        return requests.letters_of(self.room.request)

    @property
    def part_kind(self) -> str:
        """The kind of part that tells something of it; empty where none does."""
        return self.room.part.kind if self.room.part else ""

    @property
    def of_model(self) -> bool:
        """Whether a damper model tells anything of it."""
        return self.room.model is not None

    @property
    def names_valve(self) -> bool:
        """Whether the request itself says on which valve."""
        return any(blank.path == "valve" for blank in self.blanks)

    @property
    def values_page(self) -> str:
        """The template of an answer's figures: the room's own, or the one that all questions without one share."""
        return _figures_of(self.room)

    @property
    def beside_page(self) -> str:
        """The same of the question whose figures stand under the answer; empty where none does."""
        return _figures_of(questions()[self.desk.beside.question]) if self.desk.beside else ""

    def headline(self, verdict: str) -> str:
        """The large word of a verdict."""
        return {**HEADLINES, **self.room.headlines}[verdict]


def _figures_of(room: asking.Question[Any]) -> str:
    return "compat/values/_shown.html" if room.values else f"{room.room}/values.html"


OFFERED = sorted(
    (Question(one, one.desk) for one in questions().values() if one.desk is not None),
    key=lambda one: (ABOUT.index(one.desk.about), one.desk.place),
)
QUESTIONS = {one.slug: one for one in OFFERED if not one.desk.page}  # asked by a form of fields
