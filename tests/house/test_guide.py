"""A question that is added by the guide of DEVELOPERS.md, in a copy of the project: nothing else is edited, and form,
picture, API, law and reference are there.

The toy asks whether the wall of a sleeve is thick enough.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.project import ROOT

COPIED = ("compat", "inventory", "tests", "docs", "pyproject.toml", "manage.py", "start.py", "requirements.lock")
WRITTEN = {
    "compat/questions/sleeve_wall/__init__.py": '''"""Is the wall of this sleeve thick enough?"""

from __future__ import annotations

from compat.asking.fields import length, measured, request
from compat.asking.question import Desk, Question, Value
from compat.asking.words import SHIMS
from compat.engineering.answers import Answer, ask, stop
from compat.engineering.corners import judged
from compat.engineering.units import Range
from compat.questions.sleeve_wall.picture import wall_shapes


@request
class SleeveWall:
    """Is the wall of this sleeve thick enough?"""

    od_mm: Range | None = measured("Outer diameter", least_um=1, letter="A", group="The sleeve")
    bore_mm: Range | None = measured("Bore of the sleeve", least_um=1, letter="B", group="The sleeve")
    least_mm: float | None = length("Least wall", help="The shop's own figure.", group="The sleeve")


def answer(asked: SleeveWall) -> Answer:
    """The wall is half of what the outer diameter is larger."""
    if asked.od_mm is None or asked.bore_mm is None or asked.least_mm is None:
        return Answer("sleeve-wall", (ask("sleeve_size_missing"),), {"wall_mm": None})
    wall = (asked.od_mm - asked.bore_mm).times(0.5)
    thin, perhaps = stop("sleeve_too_thin"), ask("sleeve_may_be_thin")
    found = judged(wall - Range.exact(asked.least_mm), never=thin, perhaps=perhaps)
    return Answer("sleeve-wall", tuple(found), {"wall_mm": wall}, ("sleeve_sheet",), ("makers_instructions",))


QUESTION = Question(
    "sleeve-wall",
    "Is the wall of this sleeve thick enough?",
    SleeveWall,
    answer,
    desk=Desk(
        about=SHIMS,
        place=9,
        title="Is the wall of this sleeve thick enough?",
        needs="A caliper.",
        picture=wall_shapes,
        picture_title="What to measure on a sleeve",
    ),
    values=(Value("wall_mm", "Its wall"),),
)
''',
    "compat/questions/sleeve_wall/texts.py": '''"""Texts of the sleeve's wall."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "sleeve_size_missing": "Measure the sleeve outside and inside, and say the least wall.",
    "sleeve_too_thin": "The wall is thinner than the least.",
    "sleeve_may_be_thin": "The wall may be thinner than the least. Measure more closely.",
}

METHODS: dict[str, str] = {"sleeve-wall": "Half of the outer diameter less the bore."}

SOURCES: dict[str, str] = {"sleeve_sheet": "The shop's own sheet of sleeves"}
''',
    "compat/questions/sleeve_wall/picture.py": '''"""The sizes of a sleeve: an end view."""

from __future__ import annotations

from collections.abc import Mapping

from compat.engineering.drawing.dimensions import across, letter
from compat.engineering.drawing.shapes import Circle, Shape


def wall_shapes(letters: Mapping[str, str]) -> list[Shape]:
    """Two circles, and a size at each."""
    shapes: list[Shape] = [Circle("outline", 90, 90, radius) for radius in (60, 40)]
    shapes += across(30, 150, 180, letter(letters["od_mm"]), 90)
    return [*shapes, *across(50, 130, 205, letter(letters["bore_mm"]), 90)]
''',
    "tests/compat/questions/sleeve_wall/__init__.py": "",
    "tests/compat/questions/sleeve_wall/tried.py": '''"""What is tried on `sleeve-wall`."""

from __future__ import annotations

import random

from tests.compat.questions.readings import Json, about
from tests.compat.questions.rooms import EVERYONE

MAY = EVERYONE
BARE: Json = {}


def can_fit(draw: random.Random) -> Json:
    """A sleeve with room to spare."""
    return {"od_mm": about(draw, draw.uniform(20, 22), 0.02), "bore_mm": about(draw, 12, 0.02), "least_mm": 3}
''',
    "tests/compat/questions/sleeve_wall/test_sleeve_wall.py": '''"""The sleeve's wall at the desk and over the API."""

from __future__ import annotations

import pytest
from django.test import Client

from tests import people
from tests.api.conftest import caller, ok
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db
SLEEVE = {"od_mm": "22.0", "bore_mm": "12.0", "least_mm": "3"}


def test_the_desk_offers_it_draws_it_and_says_what_is_wrong_beside_the_field(client: Client) -> None:
    browser = signed_in(client, people.tuner())
    assert "Is the wall of this sleeve thick enough?" in browser.get("/fit").content.decode()
    page = browser.get("/fit/sleeve-wall").content.decode()
    assert "<svg" in page and "What to measure on a sleeve" in page
    for label in ("Outer diameter", "Bore of the sleeve", "Least wall"):
        assert label in page
    said = browser.post("/fit/sleeve-wall", {**SLEEVE, "bore_mm": "wide"}).content.decode()
    assert 'aria-invalid="true"' in said
    answered = browser.post("/fit/sleeve-wall", SLEEVE).content.decode()
    assert "It fits" in answered and "Its wall" in answered and "own sheet of sleeves" in answered


def test_the_api_answers_it(db: None) -> None:
    answer = ok(caller(people.storefront()).ask("/fit/sleeve-wall", {"od_mm": 17, "bore_mm": 12, "least_mm": 3}))
    assert answer["verdict"] == "does_not_fit"
    assert answer["values"]["wall_mm"]["nominal"] == 2.5
''',
    "docs/reference/questions/sleeve-wall.md": """# sleeve-wall

`POST /fit/sleeve-wall`, for: clerk, tuner, lead, storefront.

## Request

`od_mm`, `bore_mm` and `least_mm`.

## Values

`wall_mm`.

## What "fits" means

The wall is no thinner than the least at every corner.
""",
}
GENERATED = {"docs/reference/findings.md", "docs/reference/questions/sleeve-wall.md", "tests/api/openapi.json"}
REWRITES = ("tests.house.rewrite_questions", "tests.house.rewrite_findings", "tests.api.rewrite_openapi")
TRIED = (
    *("tests/compat/questions/sleeve_wall", "tests/house/test_rooms.py", "tests/house/test_text.py"),
    *("tests/api/test_openapi.py", "tests/api/test_roles.py", "tests/law"),
)
OWN = ("SHIMSHELF_", "PYTEST_", "DJANGO_", "DATABASE_")  # what this run says to itself
KINDS = {".py", ".md", ".json", ".html", ".toml"}


def run(copy: Path, *words: str) -> str:
    """What a command of the copy says. Fails with it when it does not end well."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(OWN)}
    done = subprocess.run([sys.executable, *words], cwd=copy, env=kept, capture_output=True, text=True)
    assert done.returncode == 0, f"{' '.join(words)}\n{done.stdout[-4_000:]}\n{done.stderr[-2_000:]}"
    return done.stdout


def texts(folder: Path) -> dict[str, str]:
    """{path: text} of all that people and the program write."""
    files = (one for one in folder.rglob("*") if one.suffix in KINDS and ".pytest_cache" not in one.parts)
    return {str(one.relative_to(folder)): one.read_text() for one in files}


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The project without what git leaves out."""
    to = tmp_path / "copy"
    to.mkdir()
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, to / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, to / name)
    return to


def test_a_question_added_by_the_guide_is_there_everywhere_and_nothing_else_was_edited(copy: Path) -> None:
    before = texts(copy)
    for name, text in WRITTEN.items():
        (copy / name).parent.mkdir(parents=True, exist_ok=True)
        (copy / name).write_text(text)
    for module in REWRITES:
        run(copy, "-m", module)
    after = texts(copy)
    assert {name for name, text in after.items() if before.get(name) != text} == {*WRITTEN, *GENERATED}
    for name in ("compat/questions/sleeve_wall/__init__.py", "compat/questions/sleeve_wall/texts.py"):
        assert after[name] == WRITTEN[name]
    assert "### `sleeve_too_thin`" in after["docs/reference/findings.md"]
    assert (
        "| `od_mm` | Outer diameter | 0.001 to 1000 mm, or a range |"
        in after["docs/reference/questions/sleeve-wall.md"]
    )
    assert '/fit/sleeve-wall"' in after["tests/api/openapi.json"]
    said = run(copy, "-m", "pytest", "-q", "--no-header", "-p", "no:cacheprovider", "-k", "sleeve or document", *TRIED)
    assert " passed" in said and "sleeve" in run(
        copy, "-m", "pytest", "-q", "--collect-only", "-k", "sleeve", "tests/law", "tests/api/test_roles.py"
    )
