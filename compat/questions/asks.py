"""The fit questions by name: one check and one way into the engine, for the API and for the pages."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from rest_framework.serializers import Serializer

from compat.asking.question import Document, Question
from compat.asking.requests import checked as checked
from compat.asking.requests import made, passed, serializer_of
from compat.asking.rooms import questions
from compat.engineering.answers import Answer
from compat.texts import rendering
from inventory.dampers.document import DamperDocument

Shown = dict[str, Any]  # an answer document


def ask(slug: str, body: Document) -> Shown:
    """The answer document to a request as it came. Raises DomainError `invalid` with the paths of what is wrong."""
    question = questions()[slug]
    return rendering.answer(question.answer(made(question.request, passed(question.request, body))))


def ask_on(slug: str, body: Document, model: DamperDocument) -> Shown:
    """The same where sizes of the request were taken from a damper model, whose document tells more."""
    question = questions()[slug]
    if question.on_model is None:
        return ask(slug, body)
    return rendering.answer(question.on_model(made(question.request, passed(question.request, body)), model))


def _of_room(question: Question[Any]) -> tuple[type[Serializer[Any]], Callable[[Document], Answer]]:
    return serializer_of(question.request), lambda told: question.answer(made(question.request, told))


# {slug: (the API's check, the answer to what passed it)}
QUESTIONS = {slug: _of_room(question) for slug, question in questions().items()}
