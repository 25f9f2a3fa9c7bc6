"""Every regular expression of the project, and what of it could take longer than a few passes over a text.

Python's engine goes back: where one repeat can give a sign to the next, a text that does not match is tried in as many
ways as there are to share it out. A possessive repeat (`*+`) or an atomic group gives nothing back.
"""

from __future__ import annotations

import ast
import importlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from re import _constants, _parser  # type: ignore[attr-defined]  # as the engine itself reads a pattern
from typing import Any

from tests.house.project import ROOT, every_node, modules, place

FUNCTIONS = {"compile", "match", "fullmatch", "search", "sub", "subn", "split", "findall", "finditer"}
SEARCHING = {"search", "sub", "subn", "split", "findall", "finditer"}  # begin anew at every sign of the text
MOST_REPEATS = 64  # a backtracking repeat may have
MOST_WAYS = 10_000  # to share a text out between the repeats of one pattern
_GIVING = {_constants.MAX_REPEAT, _constants.MIN_REPEAT}
_KEEPING = {_constants.POSSESSIVE_REPEAT}
_ASSERTING = {_constants.ASSERT, _constants.ASSERT_NOT}


@dataclass(frozen=True)
class Pattern:
    """A pattern, where it stands, and how it is used."""

    place: str
    text: str
    uses: frozenset[str]


class Unknown(Exception):
    """A pattern that is not written where it is compiled."""


def patterns(known: dict[str, list[str]]) -> Iterator[Pattern]:
    """All patterns of the packages. `known`: those of expressions that only the running program knows, by
    `folder/module.py expression`. Raises Unknown for another such expression."""
    used = _methods()
    for path in modules("inventory", "compat"):
        names = dict(name for node in every_node(path) for name in _named(node))
        for node in every_node(path):
            if not _is_regex(node):
                continue
            assert isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
            here = node.func.attr
            uses = used.get(names.get(id(node), ""), SEARCHING) if here == "compile" else {here}
            for text in _texts(path, node, known):
                yield Pattern(place(path, node), text, frozenset(uses))


def faults(pattern: Pattern) -> list[str]:
    """What could make it slow, in words; empty where it is linear in the length of the text."""
    parsed = _parser.parse(pattern.text)
    found: list[str] = []
    ways = _ways(parsed, found, endless=False)
    if ways > MOST_WAYS:
        found.append(f"may be shared out in {ways} ways")
    if pattern.uses & SEARCHING and not all(_begins_and_ends(one) for one in _branches(parsed)):
        found.append("is looked for from every sign, and may run to the end before it fails")
    return found


def _ways(parsed: Any, found: list[str], *, endless: bool) -> int:
    """In how many ways one attempt may go back; faults go into `found`. `endless`: inside an endless repeat."""
    ways = 1
    for op, value in parsed:
        if op in _GIVING | _KEEPING:
            least, most, body = value
            without_end = most == _constants.MAXREPEAT
            if without_end and endless:
                found.append("an endless repeat stands in another")
            inner = _ways(body, found, endless=endless or without_end)
            if op in _KEEPING:
                _few(inner, found)
                continue
            if most > MOST_REPEATS:
                found.append(f"a repeat of up to {most} can give back")
                most = MOST_REPEATS
            ways *= sum(inner**number for number in range(least, min(most, 20) + 1)) + max(0, most - max(least, 20))
        elif op is _constants.ATOMIC_GROUP:
            _few(_ways(value, found, endless=endless), found)
        elif op in _ASSERTING:
            _few(_ways(value[1], found, endless=endless), found)
        elif op is _constants.SUBPATTERN:
            ways *= _ways(value[-1], found, endless=endless)
        elif op is _constants.BRANCH:
            ways *= sum(_ways(one, found, endless=endless) for one in value[1])
        else:
            assert not isinstance(value, _parser.SubPattern), f"{op} is not known here"
    return ways


def _few(ways: int, found: list[str]) -> None:
    if ways > MOST_WAYS:
        found.append(f"an inner part may be shared out in {ways} ways")


def _begins_and_ends(parsed: Any) -> bool:
    """Whether a search is linear: nothing in it is endless, or it begins with an endless repeat and cannot fail after
    its first sign."""
    items = list(parsed)
    if not _has_endless(items):
        return True
    (op, value), *rest = items
    begins = op in _KEEPING and value[0] <= 1 and not _has_endless(value[2])
    return begins and all(one in _GIVING | _KEEPING and inner[0] == 0 for one, inner in rest)


def _has_endless(parsed: Any) -> bool:
    for op, value in parsed:
        if op in _GIVING | _KEEPING and (value[1] == _constants.MAXREPEAT or _has_endless(value[2])):
            return True
        if op is _constants.ATOMIC_GROUP and _has_endless(value):
            return True
        if op in _ASSERTING and _has_endless(value[1]):
            return True
        if op is _constants.SUBPATTERN and _has_endless(value[-1]):
            return True
        if op is _constants.BRANCH and any(_has_endless(one) for one in value[1]):
            return True
    return False


def _branches(parsed: Any) -> list[Any]:
    items = list(parsed)
    if len(items) == 1 and items[0][0] is _constants.BRANCH:
        return list(items[0][1][1])
    return [items]


def _is_regex(node: ast.AST) -> bool:
    return (
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and isinstance(node.func.value, ast.Name)
        and node.func.value.id == "re"
        and node.func.attr in FUNCTIONS
    )


def _named(node: ast.AST) -> Iterator[tuple[int, str]]:
    """(what stands right of an assignment, the name left of it)."""
    if isinstance(node, ast.Assign):
        yield from ((id(node.value), one.id) for one in node.targets if isinstance(one, ast.Name))


def _methods() -> dict[str, set[str]]:
    """{name of a compiled pattern: the methods that are called on it}, by name over all modules."""
    found: dict[str, set[str]] = {}
    for path in modules("inventory", "compat"):
        for node in every_node(path):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.attr in FUNCTIONS:
                found.setdefault(node.value.id, set()).add(node.attr)
    return found


def _texts(path: Path, node: ast.Call, known: dict[str, list[str]]) -> list[str]:
    written = ast.unparse(node.args[0])
    key = f"{path.relative_to(ROOT)} {written}"
    if key in known:
        return known[key]
    name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    try:
        value = eval(compile(ast.Expression(node.args[0]), str(path), "eval"), vars(importlib.import_module(name)))
    except NameError as error:
        raise Unknown(f"{key}: {error}") from None
    assert isinstance(value, str), key
    re.compile(value)
    return [value]
