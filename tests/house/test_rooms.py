"""The rooms of questions: each declares one, none leans on another, and what follows from a declaration is there."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from compat.asking.requests import blanks_of, letters_of, serializer_of, told_of
from compat.asking.rooms import questions
from tests.compat.questions.rooms import tried
from tests.house.project import ROOT
from tests.house.question_pages import rewritten

HERE = ROOT / "compat" / "questions"
ROOMS = sorted(one.parent.name for one in HERE.glob("*/__init__.py"))
ASKS_OTHERS = {"inspection"}


def imported(file: Path) -> set[str]:
    """The modules that a file imports, and the names from them as if they were modules."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{one.name}" for one in node.names)}
        elif isinstance(node, ast.Import):
            found |= {one.name for one in node.names}
    return found


def test_every_room_declares_a_question_of_its_name() -> None:
    assert len(ROOMS) > 5
    assert {slug.replace("-", "_") for slug in questions()} == set(ROOMS)


@pytest.mark.parametrize("room", [one for one in ROOMS if one not in ASKS_OTHERS])
def test_a_room_leans_on_no_other(room: str) -> None:
    others = {f"compat.questions.{one}" for one in ROOMS if one != room}
    files = list((HERE / room).glob("*.py"))
    assert files
    wrong = {file.name: bad for file in files if (bad := imported(file) & others)}
    assert not wrong


def test_what_several_rooms_tell_knows_no_room() -> None:
    rooms = {f"compat.questions.{one}" for one in ROOMS}
    shared = list(HERE.glob("told_*.py"))
    assert shared and not any(imported(file) & rooms for file in shared)


def test_the_machine_knows_no_question_by_name() -> None:
    files = list((ROOT / "compat" / "asking").glob("*.py"))
    assert files
    for file in files:
        names = [one for one in imported(file) if one.startswith("compat.questions")]
        assert not names, file


@pytest.mark.parametrize("slug", sorted(questions()))
def test_what_is_typed_and_lettered_are_fields_of_the_request(slug: str) -> None:
    request = questions()[slug].request
    fields = set(serializer_of(request)().fields)
    assert fields == set(told_of(request))
    for path in (*(blank.path for blank in blanks_of(request)), *letters_of(request)):
        assert path.split(".")[0] in fields


@pytest.mark.parametrize("slug", sorted(questions()))
def test_what_is_tried_on_a_question_and_its_page_stand_where_they_are_looked_for(slug: str) -> None:
    assert slug in tried()
    page = (ROOT / "docs" / "reference" / "questions" / f"{slug}.md").read_text()
    assert page.startswith(f"# {slug}\n\n`POST /fit/{slug}`, for: ")
    for heading in ("Request", "Values", 'What "fits" means'):
        assert f"\n## {heading}\n" in page
    assert page == rewritten(page, questions()[slug]), "python -m tests.house.rewrite_questions"
    told = re.findall(r"(?m)^\| `(.*)` \| (.*) \|$", page.partition("\n## What may be left out\n")[2])
    assert told == list(tried()[slug].choices.items())


def test_nothing_is_tried_on_a_question_that_is_not_there() -> None:
    assert set(tried()) == set(questions())


def test_what_all_questions_share_names_none_of_them() -> None:
    """But for the word for a saved stack, which one question is called as well."""
    compat = ROOT / "compat"
    files = [*(compat / "asking").glob("*.py"), *(compat / "pages" / "fit").glob("*.py")]
    files += [compat / "questions" / "asks.py", compat / "texts" / "rendering.py"]
    files += [compat / "urls.py", compat / "api" / "fit.py"]
    assert len(files) > 10
    for file in files:
        words = {node.value for node in ast.walk(ast.parse(file.read_text())) if isinstance(node, ast.Constant)}
        assert words & set(questions()) <= {"stack"}, file
    for name in ("_answer", "_fit_answer", "_verdict", "fit_desk", "fit_question"):
        text = (compat / "templates" / "compat" / f"{name}.html").read_text()
        assert not [slug for slug in questions() if f'"{slug}"' in text or f"'{slug}'" in text], name
