"""A run of the tests depends on nothing in the caller's environment, and knows which tests need a database."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from types import SimpleNamespace

import pytest
from django.conf import settings

from tests import environment
from tests.house.project import ROOT

SHOW = "import os, tests.environment; print(sorted(name for name in os.environ if name.startswith('SHIMSHELF_')))"
SHOW_URL = "import os, tests.environment; print(os.environ['DATABASE_URL'])"


def fresh(code: str, **variables: str) -> subprocess.CompletedProcess[str]:
    """Runs code in a process that is not part of a run of tests yet."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("SHIMSHELF_", "PYTEST_"))}
    return subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env={**clean, **variables}, capture_output=True, text=True
    )


def test_settings_of_the_caller_do_not_reach_the_tests() -> None:
    shown = fresh(SHOW, SHIMSHELF_DEMO="yes", SHIMSHELF_HOLD_MINUTES="1").stdout
    assert shown.strip() == str(sorted(["SHIMSHELF_SECRET_KEY", environment.DATABASE, environment.ENGINE]))


def test_the_callers_own_database_is_never_used() -> None:
    shown = fresh(SHOW_URL, DATABASE_URL="postgresql://shop.example/stock").stdout
    assert shown.startswith("sqlite:////")
    assert "shelf-test-" in shown


def test_an_unknown_engine_is_refused() -> None:
    done = fresh(SHOW, SHIMSHELF_TEST_ENGINE="mysql")
    assert done.returncode != 0
    assert "is one of sqlite, postgresql, not 'mysql'" in done.stderr


def test_the_temporary_database_goes_with_its_process() -> None:
    folder = fresh(SHOW_URL).stdout.strip().removeprefix("sqlite:///").rpartition("/")[0]
    assert folder
    assert not os.path.exists(folder)


def test_the_key_is_new_for_every_run() -> None:
    assert os.environ["SHIMSHELF_SECRET_KEY"] == settings.SECRET_KEY
    show = "import tests.environment; from inventory.project import settings; print(settings.SECRET_KEY)"
    assert len({fresh(show).stdout, fresh(show).stdout, settings.SECRET_KEY}) == 3


def test_a_test_without_database_is_told_from_others(request: pytest.FixtureRequest) -> None:
    assert not environment.uses_database(request.node)


@pytest.mark.django_db
def test_a_mark_makes_it_a_database_test(request: pytest.FixtureRequest) -> None:
    assert environment.uses_database(request.node)


@pytest.mark.usefixtures("database_url")
def test_a_fixture_behind_a_fixture_makes_it_a_database_test(request: pytest.FixtureRequest) -> None:
    assert environment.uses_database(request.node)


def test_the_linear_algebra_keeps_to_one_thread_unless_told() -> None:
    """Set before numpy is imported, since it is read then and never again."""
    program = (
        "import os, sys; import inventory.project; print('numpy' in sys.modules, os.environ['OPENBLAS_NUM_THREADS'])"
    )
    for told, expected in (({}, "1"), ({"OPENBLAS_NUM_THREADS": "3"}, "3")):
        own = {name: value for name, value in os.environ.items() if name != "OPENBLAS_NUM_THREADS"}
        done = subprocess.run(
            [sys.executable, "-c", program], cwd=ROOT, env={**own, **told}, capture_output=True, text=True, check=True
        )
        assert done.stdout.split() == ["False", expected]


@pytest.mark.parametrize("name", environment.COMPUTED)
def test_what_is_left_out_on_the_second_engine_prepares_no_rows(name: str) -> None:
    text = (ROOT / name).read_text()
    assert not re.search(r"factories|\.objects\b|use_case|saved_damper|lay_in|\b(?:damper|shelf): str\b", text)


def variant(test: str, **params: object) -> SimpleNamespace:
    ids = "-".join(str(one) for one in params.values())
    found = SimpleNamespace(nodeid=f"{test}[{ids}]" if params else test)
    if params:
        found.callspec = SimpleNamespace(params=params)
    return found


def kept(*items: SimpleNamespace) -> list[str]:
    return [one.nodeid for one in environment.once_each(items)]  # type: ignore[arg-type]  # their ids are enough


def test_one_variant_of_a_page_stands_for_all_and_for_each_address_one() -> None:
    typed = [variant("tests/counter/test_lots.py::test_a", typed=text) for text in "abc"]
    pages = [variant("tests/counter/test_access.py::test_b", address=one, typed=text) for one in "pq" for text in "ab"]
    alone = variant("tests/api/test_jobs.py::test_c")
    assert kept(*typed, *pages, alone, alone) == [typed[0].nodeid, pages[0].nodeid, pages[2].nodeid, alone.nodeid]


def test_a_route_is_tried_by_who_may_use_it() -> None:
    roles = [variant("tests/api/test_roles.py::test_a", role=one, route="GET /x") for one in ("clerk", "lead", "tuner")]
    assert kept(*roles) == [roles[1].nodeid]


@pytest.mark.parametrize("file", ["tests/inventory/test_ledger.py", *environment.SEARCHING])
def test_every_variant_of_what_reaches_the_statements_is_tried(file: str) -> None:
    items = [variant(f"{file}::test_a", size=size) for size in (1, 2)]
    assert kept(*items) == [one.nodeid for one in items]
    assert (ROOT / file).exists()


def test_the_longest_tests_come_first_and_exist() -> None:
    texts = "".join(file.read_text() for file in (ROOT / "tests").glob("*/test_*.py"))
    assert all(f"def {name.partition('[')[0]}(" in texts for name in environment.LONGEST)
    items = [SimpleNamespace(name=name) for name in ("test_a", *reversed(environment.LONGEST), "test_b")]
    names = [item.name for item in sorted(items, key=environment.longest_first)]  # type: ignore[arg-type]  # a name is enough
    assert names == [*environment.LONGEST, "test_a", "test_b"]
