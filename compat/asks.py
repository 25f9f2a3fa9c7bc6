"""The fit questions by name: one check and one way into the engine, for the API and for the pages."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from rest_framework.serializers import Serializer

from compat import curves, rendering
from compat import stack_question as questions
from compat.asked.fit import (
    CurveCalibrationIn,
    StackCurveIn,
    StackIn,
)
from compat.asking.question import Question
from compat.asking.requests import checked as checked
from compat.asking.requests import made, serializer_of
from compat.asking.rooms import questions as questions_of_rooms
from compat.engineering.answers import Answer
from inventory.dampers.document import ShaftEnd
from inventory.documents.outside import outside

Asked = dict[str, Any]


def ask(question: str, body: Mapping[str, Any]) -> dict[str, Any]:
    """The answer document to a request as it came. Raises DomainError `invalid` with the paths of what is wrong."""
    return answer_to(question, checked(QUESTIONS[question][0], body))


def answer_to(question: str, asked: Asked) -> dict[str, Any]:
    """The answer document to a checked request. Raises DomainError `invalid` for what the engine cannot take."""
    return rendering.answer(QUESTIONS[question][1](dict(asked)))


def ask_stack(body: Mapping[str, Any], *, shaft_end: ShaftEnd | None) -> dict[str, Any]:
    """The answer document to a stack on a valve that is described, at the lip of a damper's shaft.

    Raises DomainError `invalid` as `ask` does.
    """
    return rendering.answer(_stack(checked(StackIn, body), shaft_end))


def _stack(asked: Asked, shaft_end: ShaftEnd | None = None) -> Answer:
    damper, valve, stacks = asked.pop("damper", None), asked.pop("valve"), asked.pop("stacks")
    return questions.ask_stack(damper=damper, fields=outside(asked), valve=valve, stacks=stacks, shaft_end=shaft_end)


def _of_room(question: Question[Any]) -> tuple[type[Serializer[Any]], Callable[[Asked], Answer]]:
    return serializer_of(question.request), lambda asked: question.answer(made(question.request, asked))


QUESTIONS: dict[str, tuple[type[Serializer[Any]], Callable[[Asked], Answer]]] = {
    **{slug: _of_room(question) for slug, question in questions_of_rooms().items()},
    "stack": (StackIn, _stack),
    "stack-curve": (StackCurveIn, curves.ask_stack_curve),
    "curve-calibration": (CurveCalibrationIn, curves.ask_curve_calibration),
}
