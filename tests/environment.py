"""What the settings read, set before Django reads it: pytest loads this module first (`-p tests.environment`).

SHIMSHELF_TEST_ENGINE         sqlite (the default) or postgresql
SHIMSHELF_TEST_DATABASE_URL   the database to make test databases beside; without it, one that lives as long as the run

Every other SHIMSHELF_ variable of the caller is taken away, so that a run does not depend on who starts it. Workers of
pytest-xdist inherit the environment as the first process left it.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import secrets
import shutil
import tempfile
from collections.abc import Iterable
from pathlib import Path

import pytest

from tests import postgres

ENGINE = "SHIMSHELF_TEST_ENGINE"
DATABASE = "SHIMSHELF_TEST_DATABASE_URL"
ENGINES = ("sqlite", "postgresql")

DATABASE_FIXTURES = {"db", "transactional_db", "django_db_reset_sequences", "django_db_setup", "live_server"}
DATABASE_MARKS = ("django_db", "race")


def prepare() -> None:
    """Fills the environment; does nothing in a worker."""
    if "PYTEST_XDIST_WORKER" in os.environ:
        return
    engine = os.environ.setdefault(ENGINE, ENGINES[0])
    if engine not in ENGINES:
        raise pytest.UsageError(f"{ENGINE} is one of {', '.join(ENGINES)}, not {engine!r}.")
    for name in [name for name in os.environ if name.startswith("SHIMSHELF_") and name not in {ENGINE, DATABASE}]:
        del os.environ[name]
    os.environ["SHIMSHELF_SECRET_KEY"] = secrets.token_urlsafe(50)
    if DATABASE not in os.environ:
        os.environ[DATABASE] = temporary_file() if engine == "sqlite" else temporary_server()
    os.environ["DATABASE_URL"] = os.environ[DATABASE]


def temporary_file() -> str:
    """A SQLite file in a folder that goes when this process ends. A file, because threads and processes share it."""
    folder = Path(tempfile.mkdtemp(prefix="shelf-test-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return f"sqlite:///{folder / 'shelf.sqlite3'}"


def temporary_server() -> str:
    """A PostgreSQL that goes when this process ends."""
    stack = contextlib.ExitStack()
    url = stack.enter_context(postgres.running())
    atexit.register(stack.close)
    return url


# Answers of these are computed from what is asked: of the database they read who asks, as others do on both engines
# (tests/api/test_fit_nut.py counts the queries), and they prepare no rows.
COMPUTED = (
    "tests/api/test_fit_law.py",
    "tests/api/test_fit_seals.py",
    "tests/api/test_fit_thread.py",
    "tests/api/test_fit_torque.py",
    "tests/compat/questions/test_curves.py",
    "tests/compat/test_drawings.py",
)
# Thousands of variants of a question over the same few rows, which its own tests read on both engines.
VARIED = ("tests/law/test_corner_law.py",)


# Where a test has variants, they differ in what is sent or typed; the statements are the same. So on the second engine
# one stands for all of them, and where they are about several addresses or kinds, one for each of these.
EDGES = ("tests/api/", "tests/compat/", "tests/counter/")
ADDRESSED = ("address", "kind", "question", "route", "slug")
# But for these, whose variants are filters, orders, cursors, names and keys, which reach the statements.
SEARCHING = (
    "tests/api/test_conditionals.py",
    "tests/api/test_holds.py",
    "tests/api/test_idempotency.py",
    "tests/api/test_lists.py",
    "tests/api/test_names.py",
    "tests/counter/test_finding.py",
)


def asks_database(item: pytest.Item) -> bool:
    """Whether the test uses the database for more than to know who asks."""
    return uses_database(item) and item.nodeid.partition("::")[0] not in (*COMPUTED, *VARIED)


def uses_database(item: pytest.Item) -> bool:
    """Whether the test asks for the database, by a mark or by a fixture, directly or through another fixture."""
    fixtures: Iterable[str] = getattr(item, "fixturenames", ())
    return bool(DATABASE_FIXTURES & set(fixtures)) or any(item.get_closest_marker(mark) for mark in DATABASE_MARKS)


def once_each(items: Iterable[pytest.Item]) -> list[pytest.Item]:
    """The tests without the variants that another one stands for on the second engine."""
    kept: dict[tuple[str, ...], pytest.Item] = {}
    for item in items:
        called = getattr(item, "callspec", None)
        about: tuple[str, ...] = (item.nodeid,)
        if called is not None and item.nodeid.startswith(EDGES) and item.nodeid.partition("::")[0] not in SEARCHING:
            told = {name: str(value) for name, value in called.params.items()}
            about = (item.nodeid.partition("[")[0], *(told[name] for name in ADDRESSED if name in told))
            # The lead may do everything; what somebody may not do is refused before it reaches a table.
            if about in kept and told.get("role") != "lead":
                continue
        kept[about] = item
    return list(kept.values())


def pytest_addoption(parser: pytest.Parser) -> None:
    text = "run only the tests that ask something of the database: what differs between engines"
    parser.addoption("--database-only", action="store_true", help=text)


# These take the longest by far, so they come first: no worker is left alone with one at the end.
LONGEST = (
    "test_the_shelf_and_a_model_in_plain_python_never_differ",
    "test_no_verdict_becomes_fits_by_measuring_less[stack-curve]",
    "test_the_best_of_every_plan_is_found",
)


def longest_first(item: pytest.Item) -> int:
    """Its place among the longest tests; all others come behind, as they were."""
    return LONGEST.index(item.name) if item.name in LONGEST else len(LONGEST)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    items.sort(key=longest_first)
    if not config.getoption("--database-only"):
        return
    kept = once_each(item for item in items if asks_database(item))
    chosen = set(kept)
    config.hook.pytest_deselected(items=[item for item in items if item not in chosen])
    items[:] = kept


def pytest_report_header() -> str:
    return f"engine: {os.environ[ENGINE]}"


prepare()
