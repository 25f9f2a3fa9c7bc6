"""The long runs of tests/endurance, small: here each kind of fault comes once, there it comes for hours. Those of older
databases and of a copy put back take minutes however small they are; `start.py endure upgrade restore` has them."""

from __future__ import annotations

import os

import pytest

from tests.benchmarks.figures import Figure
from tests.concurrency.faulty import PLACES
from tests.endurance import holds, kills, upgrades
from tests.environment import ENGINE

pytestmark = pytest.mark.race


@pytest.fixture
def engine() -> str:
    """The engine of this run of the tests; each long run makes databases of its own there."""
    return os.environ[ENGINE]


def assert_all(figures: list[Figure]) -> None:
    assert figures
    assert [figure for figure in figures if not figure.ok] == []


def test_what_is_told_of_the_last_pieces_has_one_serial_explanation(engine: str) -> None:
    assert_all(holds.run(engine, holds=60, kill_every=50))


def test_nothing_is_lost_or_half_where_a_worker_or_the_server_dies_in_its_write(engine: str) -> None:
    servers = len(kills.SERVER_ENDS) if engine == "postgresql" else 0
    found = kills.run(engine, kills=len(PLACES) + servers, server_kills=servers)
    assert_all(found)


def test_migrating_beside_writers_loses_nothing(engine: str) -> None:
    assert_all(upgrades.run_newest(engine, writes=10))
