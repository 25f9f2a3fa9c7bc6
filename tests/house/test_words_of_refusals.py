"""What a request is refused with is said in the workshop's words: forms show the same sentences beside their fields."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from tests.house.project import ROOT

ROOMS = (
    "compat/asking",
    "compat/questions",
    "compat/plans",
    "inventory/api",
    "inventory/documents",
    "inventory/dampers",
)
FILES = sorted(path for room in ROOMS for path in (ROOT / room).rglob("*.py"))
FIELD = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b")


def said(call: ast.Call) -> list[str]:
    """The texts of a refusal, without the names of fields under which they stand and without its code."""
    found = []
    for argument in call.args:
        values = argument.values if isinstance(argument, ast.Dict) else [argument]
        found += [
            part.value
            for value in values
            for part in ast.walk(value)
            if isinstance(part, ast.Constant) and isinstance(part.value, str)
        ]
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_refusal_names_a_field_as_the_request_spells_it(path: Path) -> None:
    calls = [
        node
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "ValidationError"
    ]
    raw = [text for call in calls for text in said(call) if FIELD.search(text)]
    assert not raw, f"{path} says {raw}"


def test_the_search_finds_a_raw_name() -> None:
    call = ast.parse('ValidationError({"a_mm": ["give this or pitch_mm"]}, code="two_of_them")', mode="eval").body
    assert isinstance(call, ast.Call)
    assert [text for text in said(call) if FIELD.search(text)] == ["give this or pitch_mm"]
