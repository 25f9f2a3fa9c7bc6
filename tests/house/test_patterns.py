"""No regular expression can stall a worker: none takes more than a few passes over the text that it is given."""

from __future__ import annotations

import ast
import functools

import pytest

from compat.engineering.threads import designation
from inventory.catalogue.kinds.registry import KINDS, Word
from inventory.common.sizes import words
from tests.house.patterns import SEARCHING, Pattern, Unknown, faults, patterns
from tests.house.project import every_node, modules


def _given() -> list[str]:
    """The patterns that fields of the API and kinds of part are given by name."""
    found = []
    for path in modules("inventory", "compat"):
        for node in every_node(path):
            if isinstance(node, ast.keyword) and node.arg == "pattern" and isinstance(node.value, ast.Constant):
                found.append(node.value.value)
            if isinstance(node, ast.FunctionDef) and node.name == "__init__":
                names = [one.arg for one in node.args.kwonlyargs]
                if "pattern" in names:
                    default = node.args.kw_defaults[names.index("pattern")]
                    found += [default.value] if isinstance(default, ast.Constant) else []
    return [text for text in found if isinstance(text, str)]


@functools.cache
def known() -> dict[str, list[str]]:
    """Those of expressions that only the running program knows. Found when a test asks: it takes seconds."""
    return {
        "inventory/common/sizes/tokens.py pattern": [
            pattern for name in dir(words) if name.endswith("_WORDS") for pattern, _ in getattr(words, name)
        ],
        "inventory/documents/fields.py pattern": _given(),
        "inventory/catalogue/kinds/registry.py self.pattern": [
            one.pattern for kind in KINDS.values() for one in kind.sizes if isinstance(one, Word) and one.pattern
        ],
    }


def test_no_pattern_takes_more_than_a_few_passes_over_a_text() -> None:
    found = [(one, fault) for one in patterns(known()) for fault in faults(one)]
    assert [f"{one.place}: {fault}: {one.text}" for one, fault in found] == []


def test_every_pattern_is_looked_at() -> None:
    places = {one.place.rpartition(":")[0] for one in patterns(known())}
    written = {
        str(path.relative_to(path.parents[len(path.parts) - 2]))
        for path in modules("inventory", "compat")
        if "import re\n" in path.read_text()
    }
    assert written and {path.rpartition("/")[2] for path in written} == {path.rpartition("/")[2] for path in places}
    assert all(known().values())
    with pytest.raises(Unknown):
        list(patterns({}))


@pytest.mark.parametrize(
    ("text", "use"),
    [
        (r"\s*(?:mm)?(?:\s*[;\t:]\s*|\s+)\d", "fullmatch"),
        (r"a*a*b", "match"),
        (r"(?:a{1,9}){1,9}b", "match"),
        (r"(?:a+b|a)*+c", "match"),
        (r"(?=.*x)a", "match"),
        (r"(?:(?=a*+b)a)*+", "match"),
        (r"\s+$", "search"),
        (r"\s++$", "search"),
        (r"(?=\s*+x)", "sub"),
        (r"x{0,1000}y", "match"),
    ],
)
def test_a_pattern_that_goes_back_is_found(text: str, use: str) -> None:
    assert faults(Pattern("here", text, frozenset({use})))


@pytest.mark.parametrize(
    ("text", "use"),
    [
        (r"[0-9]{1,6}+(?:\.[0-9]{1,20}+)?+\s*+mm", "fullmatch"),
        (r"\d++(?:\.\d++)?+|[^\d\s]++", "findall"),
        (r"(?=[^0-9]*+[0-9])[a-z0-9]*+", "match"),
        (r"[ ,]{0,9}LH", "search"),
    ],
)
def test_a_pattern_that_does_not_is_left_alone(text: str, use: str) -> None:
    assert not faults(Pattern("here", text, frozenset({use})))


def test_what_is_searched_for_in_a_designation_is_looked_for_in_a_short_text() -> None:
    assert designation.LONGEST <= 64
    assert "search" in SEARCHING
