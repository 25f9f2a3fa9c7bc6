"""The pictures of what to measure, those of a question's room and the others."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from compat.asking.pictures import picture_of
from compat.asking.requests import letters_of
from compat.asking.rooms import questions
from compat.engineering.drawing import letters, measuring
from compat.engineering.drawing.shapes import Drawing, Shape

_DESKS = {slug: question.desk for slug, question in questions().items() if question.desk}
QUESTIONS: Mapping[str, Mapping[str, str]] = {
    **letters.QUESTIONS,
    **{slug: letters_of(questions()[slug].request) for slug in _DESKS},
}
PICTURES: Mapping[str, Callable[[Mapping[str, str]], list[Shape]]] = {
    **measuring.PICTURES,
    **{slug: desk.picture for slug, desk in _DESKS.items()},
}


def measuring_picture(question: str) -> Drawing:
    """The picture of a question."""
    return picture_of(questions()[question]) if question in _DESKS else measuring.measuring_picture(question)
