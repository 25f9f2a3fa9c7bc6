"""The reference cannot fall behind: each error code, setting and command has its heading, and no heading is stale."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable

import pytest

from inventory.common.errors import ERRORS
from tests.house.project import ROOT, files, imports, tree

REFERENCE = ROOT / "docs" / "reference"
SETTINGS = ROOT / "inventory" / "project" / "settings.py"
READERS = {"text", "whole", "yes", "words", "folder"}


def error_codes() -> set[str]:
    return set(ERRORS)


def settings_read() -> set[str]:
    """The names in env.text("NAME") and its like."""
    return {
        node.args[0].value
        for node in ast.walk(tree(SETTINGS))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in READERS
        and ast.unparse(node.func.value) == "env"
        and isinstance(node.args[0], ast.Constant)
        and isinstance(node.args[0].value, str)
    }


def commands() -> set[str]:
    return {
        path.stem
        for path in files()
        if path.parent.parts[-2:] == ("management", "commands") and path.suffix == ".py" and path.stem[0] != "_"
    }


def headings(name: str) -> set[str]:
    """What stands between backticks in the headings of a page."""
    page = REFERENCE / name
    assert page.exists(), f"docs/reference/{name} is not written yet"
    lines = [line for line in page.read_text().splitlines() if line.startswith("#")]
    return {word for line in lines for word in re.findall(r"`([^`]+)`", line)}


PAGES = [("errors.md", error_codes), ("settings.md", settings_read), ("commands.md", commands)]


@pytest.mark.parametrize(("page", "known"), PAGES)
def test_every_name_has_a_heading(page: str, known: Callable[[], set[str]]) -> None:
    missing = sorted(known() - headings(page))
    assert not missing, f"docs/reference/{page} needs a heading, in backticks, for: {', '.join(missing)}"


@pytest.mark.parametrize(("page", "known"), PAGES)
def test_no_heading_names_what_is_gone(page: str, known: Callable[[], set[str]]) -> None:
    stale = sorted(headings(page) - known())
    assert not stale, f"docs/reference/{page} has headings for what does not exist: {', '.join(stale)}"


def test_the_settings_are_read_through_env_alone() -> None:
    assert not {"os", "os.environ", "os.getenv"} & set(imports(SETTINGS))
    assert {"SHIMSHELF_SECRET_KEY", "DATABASE_URL", "SHIMSHELF_DATA"} <= settings_read()


@pytest.mark.parametrize("code", sorted(ERRORS))
def test_an_error_says_what_happened_in_a_title_and_what_to_do_in_a_sentence(code: str) -> None:
    kind = ERRORS[code]
    assert re.fullmatch(r"[a-z][a-z_]+", code)
    assert 400 <= kind.status <= 599
    assert kind.title
    assert not kind.title.endswith(".")
    assert "{" not in kind.title
    assert kind.text
