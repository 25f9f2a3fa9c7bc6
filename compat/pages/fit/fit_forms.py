"""The fit questions as the desk offers them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from compat.asking import question as asking
from compat.asking.blanks import Blank
from compat.asking.requests import blanks_of, letters_of
from compat.asking.rooms import questions
from compat.asking.words import ABOUT, SHIMS
from compat.engineering.drawing.letters import QUESTIONS as LETTERS
from compat.pages.fit.shim_blanks import stack_blanks


@dataclass(frozen=True, slots=True)
class Question:
    """A fit question as the desk offers it."""

    slug: str
    title: str
    needs: str
    blanks: tuple[Blank, ...]
    about: str
    part_kind: str = ""
    takes: tuple[str, ...] = ()
    unless_said: Mapping[str, str] = field(default_factory=dict)
    of_model: bool = True  # whether a damper model tells anything of it
    sections: tuple[asking.Section, ...] = ()
    place: int = 0
    empty: Mapping[str, Any] = field(default_factory=dict)

    @property
    def values_page(self) -> str:
        """The template of an answer's figures: the room's own, or the one that all questions without one share."""
        if self.slug not in questions():
            return f"compat/values/_{self.slug}.html"
        return (
            "compat/values/_shown.html"
            if questions()[self.slug].values
            else f"{self.slug.replace('-', '_')}/values.html"
        )

    @property
    def letters(self) -> Mapping[str, str]:
        """Which letter of which picture stands for which field."""
        return LETTERS[self.slug] if self.slug in LETTERS else letters_of(questions()[self.slug].request)


def _of_room(question: asking.Question[Any], desk: asking.Desk) -> Question:
    return Question(
        question.slug,
        desk.title,
        desk.needs,
        blanks_of(question.request),
        desk.about,
        part_kind=question.part.kind if question.part else "",
        unless_said=desk.unless_said,
        empty=desk.empty,
        of_model=question.model is not None,
        takes=desk.takes,
        sections=desk.sections,
        place=desk.place,
    )


_ALL = (
    Question(
        "stack",
        "Is this stack sound on its valve?",
        "The stack line by line, face shim first, and a damper model or the valve's sizes.",
        stack_blanks(),
        SHIMS,
        takes=("stack",),
        place=2,
        empty={"stacks": {}},
    ),
    *(_of_room(question, question.desk) for question in questions().values() if question.desk),
)
QUESTIONS = {one.slug: one for one in sorted(_ALL, key=lambda one: (ABOUT.index(one.about), one.place))}
