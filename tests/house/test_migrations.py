"""The migrations say what the models say, and the set-up passes its own checks."""

from __future__ import annotations

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from inventory.common import guarding
from inventory.stock import triggers

pytestmark = pytest.mark.django_db


def test_no_migration_is_missing(capsys: pytest.CaptureFixture[str]) -> None:
    try:
        call_command("makemigrations", check=True, dry_run=True, interactive=False)
    except SystemExit:
        pytest.fail(f"the models have changed; run makemigrations:\n{capsys.readouterr().out}")


def test_the_history_is_one_line() -> None:
    loader = MigrationLoader(connection)
    assert loader.detect_conflicts() == {}
    assert len(loader.graph.leaf_nodes("inventory")) == 1


def test_the_checks_find_nothing() -> None:
    call_command("check", databases=["default"], fail_level="WARNING")


def test_a_missing_trigger_is_found() -> None:
    assert guarding.wrong() == {}
    triggers.remove()
    assert set(guarding.wrong()) >= set(triggers.SQLITE if connection.vendor == "sqlite" else triggers.POSTGRESQL)
    triggers.install()
    assert guarding.wrong() == {}
