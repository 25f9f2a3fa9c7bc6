"""What each size of a question means: one picture a question, a letter for each field. Proportions are invented."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from compat.engineering.drawing.letters import QUESTIONS
from compat.engineering.drawing.measuring_valve import stack_shapes
from compat.engineering.drawing.shapes import Drawing, Shape, finished

WIDTH = 340.0
PICTURES: Mapping[str, Callable[[Mapping[str, str]], list[Shape]]] = {
    "stack": stack_shapes,
}


def measuring_picture(question: str) -> Drawing:
    """The picture of a fit question, a letter at each size. Data: `letters` {field: letter}, `to_scale` False.

    Raises ValueError for a question without a picture. Source: ISO 129-1 for the lines; the proportions are invented.
    """
    if question not in PICTURES:
        raise ValueError(f"there is a picture for {', '.join(PICTURES)}, not for {question}")
    letters = QUESTIONS[question]
    return finished(PICTURES[question](letters), width=WIDTH, data={"letters": dict(letters), "to_scale": False})
