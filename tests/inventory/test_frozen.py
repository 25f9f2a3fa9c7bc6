"""What is written once stays as it was written, also for who writes SQL."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, connection, transaction

from inventory.common import frozen
from inventory.common.transactions import use_case
from inventory.dampers.document import DamperDocument
from inventory.dampers.services import create_damper, save_stack
from inventory.jobs.services import record_plan
from tests import people

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def written() -> None:
    """One row in each table."""
    actor = people.tuner()
    damper = use_case(lambda: create_damper(code="D", name="D", document=DamperDocument(valves=()), actor=actor))
    use_case(lambda: save_stack(damper=damper, valve="main", name="S", stacks={}, note="", actor=actor))
    use_case(
        lambda: record_plan(
            request={},
            answer={},
            claims=[],
            verdict="fits",
            complete=True,
            engine_version="1",
            job=None,
            actor=actor,
        )
    )


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("inventory_plan", "verdict = 'does_not_fit'"),
        ("inventory_plan", "answer = '{}'"),
        ("inventory_damperrevision", "number = number + 1"),
        ("inventory_stackrevision", "note = 'another'"),
    ],
)
def test_a_row_that_is_written_once_is_never_changed(table: str, change: str) -> None:
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"UPDATE {table} SET {change}")


def test_every_table_is_covered() -> None:
    assert set(frozen.TABLES) <= set(connection.introspection.table_names())
