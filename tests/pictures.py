"""The pictures of what to measure, by question."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from compat.asking.pictures import picture_of
from compat.asking.requests import letters_of
from compat.asking.rooms import questions
from compat.engineering.drawing.shapes import Drawing, Shape

PICTURES: Mapping[str, Callable[[Mapping[str, str]], list[Shape]]] = {
    slug: desk.picture for slug, one in questions().items() if (desk := one.desk) and desk.picture
}
QUESTIONS: Mapping[str, Mapping[str, str]] = {slug: letters_of(questions()[slug].request) for slug in PICTURES}


def measuring_picture(question: str) -> Drawing:
    """The picture of a question."""
    return picture_of(questions()[question])
