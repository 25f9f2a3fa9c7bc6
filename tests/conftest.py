"""What every test can use, and what the database needs between two tests."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from pytest_django import DjangoDbBlocker

hypothesis.settings.register_profile("repeatable", deadline=None, derandomize=True)
hypothesis.settings.register_profile("exploring", deadline=None, max_examples=1000)
hypothesis.settings.load_profile("repeatable")


def pytest_configure() -> None:
    """Passwords of tests are hashed fast: a slow hash protects nothing here and costs a second for each sign-in. Static
    files are looked for when they are asked for, not all of them for every client that a test makes."""
    from django.conf import settings

    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.WHITENOISE_AUTOREFRESH = True


@pytest.fixture(scope="session")
def django_db_modify_db_settings(request: pytest.FixtureRequest, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The test database is a real file on SQLite too, because threads and processes must share it; and on both engines
    a copy of one that is migrated already."""
    from django.conf import settings
    from django.db import connection

    from tests import prepared

    for database in settings.DATABASES.values():
        if database["ENGINE"].endswith("sqlite3"):
            database.setdefault("TEST", {})["NAME"] = str(Path(database["NAME"]).with_name("test.sqlite3"))
    # Only now: the workers' suffix goes behind the name.
    request.getfixturevalue("django_db_modify_db_settings_parallel_suffix")

    creation: Any = connection.creation
    created: Callable[..., str] = creation._create_test_db

    def copied(*how: Any, **words: Any) -> str:
        name = created(*how, **words)
        prepared.copy(name)
        return name

    with pytest.MonkeyPatch.context() as patch:
        if connection.vendor == "postgresql":
            with django_db_blocker.unblock():
                patch.setitem(connection.settings_dict["TEST"], "TEMPLATE", prepared.shelf())
        else:
            patch.setattr(creation, "_create_test_db", copied)
        yield


@pytest.fixture(scope="session", autouse=True)
def flush_past_the_ledger_guard() -> Iterator[None]:
    """Lets Django empty the tables after a transactional test: the guard stands aside for that and is put back.

    Only the emptying between tests is changed; a test that calls `flush` itself meets the guard.
    """
    from django.test import TransactionTestCase

    original: Callable[..., None] = TransactionTestCase._fixture_teardown  # type: ignore[attr-defined]  # Django's private method

    def emptied(case: Any) -> None:
        from inventory.stock import triggers

        databases = case._databases_names(include_mirrors=False)
        for using in databases:
            triggers.remove(using)
        try:
            original(case)
        finally:
            for using in databases:
                triggers.install(using)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", emptied)
        yield


@pytest.fixture
def database_url(transactional_db: None) -> str:
    """The DATABASE_URL under which another process reaches this test's database and sees what is committed there."""
    from django.db import connection

    name = str(connection.settings_dict["NAME"])
    if connection.vendor == "sqlite":
        return f"sqlite:///{name}"
    return f"{os.environ['DATABASE_URL'].rpartition('/')[0]}/{name}"


class HeldClock:
    """A clock that stands until it is told to go on."""

    def __init__(self, start: datetime) -> None:
        self.time = start

    def now(self) -> datetime:
        return self.time

    def set(self, time: datetime) -> None:
        self.time = time

    def advance(self, **parts: float) -> datetime:
        """Goes on by a timedelta's parts (`minutes=15`); gives the new time."""
        self.time += timedelta(**parts)
        return self.time


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> HeldClock:
    """Holds the project's clock at a Monday morning."""
    from inventory.common import clock as the_clock

    held = HeldClock(datetime(2030, 3, 4, 9, 0, tzinfo=UTC))
    monkeypatch.setattr(the_clock, "now", held.now)
    return held
