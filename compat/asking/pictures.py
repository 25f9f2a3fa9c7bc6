"""What each size of a question means: one picture a question, a letter at each size."""

from __future__ import annotations

from typing import Any

from compat.asking.question import Question
from compat.asking.requests import letters_of
from compat.engineering.drawing.shapes import Drawing, finished

WIDTH = 340.0


def picture_of(question: Question[Any]) -> Drawing:
    """The picture of a question, not to scale. Data: `letters` {path: letter}, `to_scale` False.

    Raises ValueError for a question that the desk does not offer. Source: ISO 129-1 for the lines; the proportions are
    invented.
    """
    if question.desk is None or question.desk.picture is None:
        raise ValueError(f"{question.slug} has no picture")
    letters = letters_of(question.request)
    return finished(question.desk.picture(letters), width=WIDTH, data={"letters": dict(letters), "to_scale": False})
