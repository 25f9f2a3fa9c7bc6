"""A set-up that would lose stock fails at start, with the cure."""

from __future__ import annotations

import os

import pytest
from django.core.management import call_command
from django.core.management.base import SystemCheckError
from django.db import connection

from inventory import checks
from tests.environment import ENGINE

on_sqlite = pytest.mark.skipif(os.environ[ENGINE] != "sqlite", reason="a setting of SQLite")
on_postgresql = pytest.mark.skipif(os.environ[ENGINE] != "postgresql", reason="a setting of PostgreSQL")


def found() -> list[str | None]:
    return [error.id for error in checks.database_is_set_up_for_a_ledger(databases=["default"])]


@pytest.mark.django_db
def test_the_set_up_of_the_tests_is_right() -> None:
    assert found() == []


@pytest.mark.django_db
def test_nothing_is_checked_without_a_database() -> None:
    assert checks.database_is_set_up_for_a_ledger() == []


@on_sqlite
@pytest.mark.django_db
@pytest.mark.parametrize("mode", ["DEFERRED", "EXCLUSIVE", None])
def test_sqlite_must_begin_immediate(mode: str | None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connection, "transaction_mode", mode)
    (error,) = checks.database_is_set_up_for_a_ledger(databases=["default"])
    assert error.id == "shelf.E003"
    assert "IMMEDIATE" in str(error.hint)
    with pytest.raises(SystemCheckError, match="begin IMMEDIATE"):
        call_command("check", databases=["default"])


@on_sqlite
@pytest.mark.django_db
def test_sqlite_must_fire_triggers_of_replaced_rows() -> None:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA recursive_triggers=OFF")
        try:
            assert found() == ["shelf.E004"]
        finally:
            cursor.execute("PRAGMA recursive_triggers=ON")
    assert found() == []


@on_postgresql
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("level", ["repeatable read", "serializable"])
def test_postgresql_must_read_what_is_committed(level: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"SET default_transaction_isolation = '{level}'")
        try:
            (error,) = checks.database_is_set_up_for_a_ledger(databases=["default"])
            assert (error.id, level in str(error.msg)) == ("shelf.E005", True)
        finally:
            cursor.execute("SET default_transaction_isolation = 'read committed'")
    assert found() == []


@pytest.mark.django_db
def test_another_engine_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connection, "vendor", "mysql")
    assert found() == ["shelf.E001"]
