"""Every question that has a room in `compat.questions`, found by being there."""

from __future__ import annotations

import pkgutil
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import import_module
from types import ModuleType
from typing import Any

from compat.asking.question import Question

ROOMS = "compat.questions"


@cache
def questions() -> Mapping[str, Question[Any]]:
    """{slug: question}. Raises TypeError for a room that declares none, ValueError where two have one slug."""
    found: dict[str, Question[Any]] = {}
    for room in _rooms():
        question = getattr(room, "QUESTION", None)
        if not isinstance(question, Question):
            raise TypeError(f"{room.__name__} declares no QUESTION")
        if found.setdefault(question.slug, question) is not question:
            raise ValueError(f"two rooms declare {question.slug}")
    return found


def texts() -> Iterator[ModuleType]:
    """The words of every room."""
    return (import_module(f"{room}.texts") for room in _names())


def _rooms() -> Iterator[ModuleType]:
    return (import_module(name) for name in _names())


def _names() -> list[str]:
    return [f"{ROOMS}.{one.name}" for one in pkgutil.iter_modules(import_module(ROOMS).__path__) if one.ispkg]
