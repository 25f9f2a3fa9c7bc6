"""What of the shelf wants to be looked at: found from its own end on, without sorting the whole shelf first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.common.transactions import use_case
from inventory.receiving.checking import drawers_to_count, lots_to_measure
from inventory.receiving.services import count_balance
from tests import factories, people

pytestmark = pytest.mark.django_db


def counted(lot: str, drawer: str) -> None:
    use_case(lambda: count_balance(lot=lot, drawer=drawer, counted=5, actor=people.clerk()))


def test_drawers_never_counted_come_first_by_code_then_the_longest_ago() -> None:
    shim = factories.shim()
    for drawer in ("C-1", "A-1", "B-1", "D-1"):
        factories.stocked(shim, 5, lot=f"L-{drawer}", drawer=drawer)
    counted("L-B-1", "B-1")
    counted("L-A-1", "A-1")
    assert [drawer.code for drawer in drawers_to_count(9)] == ["C-1", "D-1", "B-1", "A-1"]
    assert [drawer.code for drawer in drawers_to_count(3)] == ["C-1", "D-1", "B-1"]
    assert [bool(drawer.last_count) for drawer in drawers_to_count(9)] == [False, False, True, True]  # type: ignore[attr-defined]
    counted("L-B-1", "B-1")
    assert [drawer.code for drawer in drawers_to_count(9)] == ["C-1", "D-1", "A-1", "B-1"]


def test_an_emptied_drawer_is_not_counted_and_its_count_is_none_of_what_lies_there() -> None:
    shim = factories.shim()
    factories.stocked(shim, 5, lot="L-1", drawer="A-1")
    factories.stocked(shim, 5, lot="L-2", drawer="A-1")
    use_case(lambda: count_balance(lot="L-1", drawer="A-1", counted=0, actor=people.clerk()))
    (drawer,) = drawers_to_count(9)
    assert drawer.last_count is None, "what was counted there is gone"  # type: ignore[attr-defined]
    use_case(lambda: count_balance(lot="L-2", drawer="A-1", counted=0, actor=people.clerk()))
    assert drawers_to_count(9) == []


@pytest.mark.parametrize("find", [lots_to_measure, drawers_to_count])
def test_the_first_of_many_are_found_without_sorting_them_all(find: Callable[[int], list[Any]]) -> None:
    if connection.vendor != "sqlite":
        pytest.skip("SQLite says so of a statement before any row is there; PostgreSQL decides by its statistics")
    shim = factories.shim()
    for number in range(3):
        factories.stocked(shim, 5, lot=f"L-{number}", drawer=f"A-{number}")
    with CaptureQueriesContext(connection) as sent:
        assert len(find(2)) == 2
    (one,) = sent.captured_queries
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {one['sql']}")
        plan = [row[3] for row in cursor.fetchall()]
    assert not [step for step in plan if "TEMP B-TREE" in step], plan
