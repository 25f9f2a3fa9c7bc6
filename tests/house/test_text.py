"""The reference cannot fall behind: each error code, setting and command has its heading, and no heading is stale."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable

import pytest

from compat import texts
from compat.engineering.plans.order import ORDER
from inventory.common.errors import ERRORS
from tests.house.project import ROOT, every_node, files, imports, tree

REFERENCE = ROOT / "docs" / "reference"
SETTINGS = ROOT / "inventory" / "project" / "settings.py"
READERS = {"text", "whole", "yes", "words", "folder", "one_of"}


def error_codes() -> set[str]:
    return set(ERRORS)


def findings() -> set[str]:
    return set(texts.TEXTS) | set(texts.REFUSALS)


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


PAGES = [
    ("errors.md", error_codes),
    ("settings.md", settings_read),
    ("commands.md", commands),
    ("findings.md", findings),
]


@pytest.mark.parametrize(("page", "known"), PAGES)
def test_every_name_has_a_heading(page: str, known: Callable[[], set[str]]) -> None:
    missing = sorted(known() - headings(page))
    assert not missing, f"docs/reference/{page} needs a heading, in backticks, for: {', '.join(missing)}"


@pytest.mark.parametrize(("page", "known"), PAGES)
def test_no_heading_names_what_is_gone(page: str, known: Callable[[], set[str]]) -> None:
    stale = sorted(headings(page) - known())
    assert not stale, f"docs/reference/{page} has headings for what does not exist: {', '.join(stale)}"


def refused() -> set[str]:
    """The codes that the engine refuses with, where they are written out."""
    return {
        node.args[0].value
        for path in files()
        if "engineering" in path.parts and "tests" not in path.parts and path.suffix == ".py"
        for node in every_node(path)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in ("Refused", "CannotBend", "ThreadError")
        and isinstance(node.args[0], ast.Constant)
        and isinstance(node.args[0].value, str)
    }


def test_every_refusal_of_the_engine_has_its_sentence() -> None:
    codes = refused()
    assert {"side_unknown", "stack_on_stop", "thread_not_understood"} <= codes
    assert codes <= set(texts.REFUSALS) | set(texts.TEXTS)


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


def paragraphs(page: str) -> dict[str, str]:
    """{name in a heading: the paragraph under it, on one line}."""
    text = (REFERENCE / page).read_text()
    found = re.findall(r"^#+ `([a-z0-9_]+)`\n\n(.*?)(?=\n\n|\Z)", text, re.MULTILINE | re.DOTALL)
    return {name: " ".join(paragraph.split()) for name, paragraph in found}


def test_the_page_of_findings_says_what_the_findings_say() -> None:
    said = {code: " ".join(text.split()) for code, text in {**texts.TEXTS, **texts.REFUSALS}.items()}
    assert paragraphs("findings.md") == said


def test_the_written_order_of_plans_is_one_text() -> None:
    assert " ".join(ORDER.split()) in " ".join((REFERENCE / "best-plan.md").read_text().split())
