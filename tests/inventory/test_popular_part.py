"""A part that everybody wants: what it takes to hold it does not grow with how often it was held before."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connection

from inventory.common.transactions import use_case
from inventory.holds.models import Hold, HoldLine, Purpose
from inventory.holds.requests import Wanted
from inventory.holds.services import make_hold
from inventory.stock import replay
from inventory.stock.models import Balance, Movement
from tests import factories, people
from tests.environment import ENGINE

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(os.environ[ENGINE] != "postgresql", reason="PostgreSQL tells how much it reads"),
]
HISTORY, TIMES = 60, 100  # of fewer rows the planner reads the table and no index
MOST = 1.5


def held_and_given_back(times: int) -> None:
    """So many holds of the one balance that are over: each with its line and two movements."""
    person = people.storefront().client
    assert person is not None
    balance = Balance.objects.get()
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO inventory_hold (purpose, state, client_id, created_at, expires_at)"
            " SELECT 'web', 'released', %s, now(), now() - interval '1 day' FROM generate_series(1, %s)",
            [person.pk, times],
        )
        cursor.execute(
            "INSERT INTO inventory_holdline (hold_id, balance_id, quantity, asked)"
            " SELECT id, %s, 0, 1 FROM inventory_hold WHERE state = 'released'"
            " AND NOT EXISTS (SELECT 1 FROM inventory_holdline WHERE hold_id = inventory_hold.id)",
            [balance.pk],
        )
        cursor.execute(
            "INSERT INTO inventory_movement (balance_id, version, on_hand_delta, held_delta, on_hand, held, client_id,"
            " reason, cause_kind, cause_id, posting, at, currency, transaction)"
            " SELECT %s, %s + step, 0, step %% 2 * 2 - 1, %s, %s + step %% 2, %s, 'held', 'hold', step::text,"
            " gen_random_uuid(), now(), '', 0 FROM generate_series(1, 2 * %s) AS step",
            [balance.pk, balance.version, balance.on_hand, balance.held, person.pk, times],
        )
        cursor.execute("VACUUM ANALYZE")


def read_to_hold() -> tuple[float, float]:
    """What PostgreSQL reads to hold a piece: blocks, and rows, of every question of the transaction."""
    blocks = rows = 0.0

    def explaining(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        nonlocal blocks, rows
        if sql.startswith("SELECT"):
            with context["connection"].connection.cursor() as beside:
                beside.execute(f"EXPLAIN (ANALYZE, BUFFERS, FORMAT JSON) {sql}", params)
                (found,) = beside.fetchone()
            plan = (found if isinstance(found, list) else json.loads(found))[0]["Plan"]
            blocks += plan["Shared Hit Blocks"] + plan["Shared Read Blocks"]
            rows += sum(_rows(plan))
        return execute(sql, params, many, context)

    with connection.execute_wrapper(explaining):
        wanted = [Wanted(1, part="S-1")]
        made = use_case(lambda: make_hold(lines=wanted, purpose=Purpose.WEB, actor=people.storefront()))
    assert HoldLine.objects.get(hold=made.hold).quantity == 1
    return blocks, rows


def _rows(plan: dict[str, Any]) -> Iterator[float]:
    """Rows that each step gave on or passed over."""
    yield (plan["Actual Rows"] + plan.get("Rows Removed by Filter", 0)) * plan["Actual Loops"]
    for step in plan.get("Plans", ()):
        yield from _rows(step)


def grows() -> tuple[float, float]:
    """By what factor blocks and rows grow where the history is a hundred times as long."""
    factories.stocked(factories.shim(number="S-1"), 50)
    held_and_given_back(HISTORY)
    read_to_hold()  # what is planned and looked up once for a connection
    few = read_to_hold()
    held_and_given_back(HISTORY * (TIMES - 1))
    many = read_to_hold()
    assert Movement.objects.count() == 1 + 2 * HISTORY * TIMES + 3
    assert replay.faults() == []
    return many[0] / few[0], many[1] / few[1]


def test_holding_a_popular_part_reads_as_much_after_a_hundred_times_the_history() -> None:
    blocks, rows = grows()
    assert blocks <= MOST and rows <= MOST, (blocks, rows)


def test_without_the_indexes_of_what_lives_it_would_read_the_history() -> None:
    living = {"hold_line_living", "hold_lapsing_now", "hold_holding"}
    found = [(model, index) for model in (Hold, HoldLine) for index in model._meta.indexes if index.name in living]
    assert len(found) == len(living)
    with connection.schema_editor() as editor:
        for model, index in found:
            editor.remove_index(model, index)
    try:
        blocks, rows = grows()
    finally:
        with connection.schema_editor() as editor:
            for model, index in found:
                editor.add_index(model, index)
    assert blocks > MOST and rows > MOST, (blocks, rows)
