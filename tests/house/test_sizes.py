"""Modules stay small enough to be read in one go; migrations and tests are not counted."""

from __future__ import annotations

import statistics

from tests.house.project import modules, place

MOST_LINES = 350
MEDIAN_LINES = 100


def lines() -> dict[str, int]:
    return {place(path): len(path.read_text().splitlines()) for path in modules()}


def test_no_module_is_longer_than_350_lines() -> None:
    assert {name: count for name, count in lines().items() if count > MOST_LINES} == {}


def test_the_median_module_is_shorter_than_100_lines() -> None:
    # Empty __init__.py files would make the figure look better than it is.
    assert statistics.median(count for count in lines().values() if count) < MEDIAN_LINES
