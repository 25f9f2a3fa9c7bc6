"""The table of fields on the page of every question.

It follows from the request that the question declares; the rest of the page, docs/reference/questions/NAME.md,
is written by hand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from rest_framework import serializers

from compat.asking.question import Question
from compat.asking.requests import blanks_of, serializer_of
from compat.asking.rooms import questions
from inventory.documents.fields import Flag, Measured, MeasuredNumber, Millimetres, Number, Quantity

PAGES = Path(__file__).parents[2] / "docs" / "reference" / "questions"
FIELDS, NEXT = "\n## Fields\n", "\n## Values\n"
HEAD = "| field | called at the desk | takes |\n|---|---|---|\n"


def table(question: Question[Any]) -> str:
    """A row of each field: its path, what the desk calls it, and what it takes."""
    called = {re.sub(r"\.\d+", "[]", blank.path): blank.label for blank in blanks_of(question.request)}
    rows = _rows(serializer_of(question.request)(), "")
    return HEAD + "".join(f"| `{path}` | {called.get(path, '')} | {takes} |\n" for path, takes in rows)


def rewritten(page: str, question: Question[Any]) -> str:
    """The page with the table as it is now, before the heading of the values."""
    before, after = page.split(NEXT, 1)
    return f"{before.split(FIELDS)[0].rstrip()}\n{FIELDS}\n{table(question)}{NEXT}{after}"


def _rows(form: serializers.Serializer[Any], before: str) -> Iterator[tuple[str, str]]:
    for name, field in form.fields.items():
        one: Any = field
        several = isinstance(one, serializers.ListSerializer | serializers.ListField)
        path, inner = f"{before}{name}{'[]' if several else ''}", one.child if several else one
        if isinstance(inner, serializers.Serializer):
            yield from _rows(inner, f"{path}.")
        else:
            yield path, _takes(inner) + (", needed" if one.required else "")


def _takes(field: Any) -> str:
    match field:
        case MeasuredNumber():
            return f"{field.least:g} to {field.most:g}, or a range"
        case Measured():
            return f"{field.least:g} to {field.most:g} mm, or a range"
        case Millimetres():
            return f"{field.least_um / 1000:g} to {field.most_um / 1000:g} mm"
        case Quantity():
            return f"1 to {field.most}"
        case Number():
            return f"{field.least:g} to {field.most:g}"
        case Flag():
            return "true or false"
        case serializers.ChoiceField():
            return ", ".join(f"`{word}`" for word in field.choices)
        case _:
            return "a text"


def pages() -> Mapping[Path, str]:
    """{page: what it should say} of every question with a room."""
    found = {PAGES / f"{slug}.md": question for slug, question in questions().items()}
    return {page: rewritten(page.read_text(), question) for page, question in found.items()}
