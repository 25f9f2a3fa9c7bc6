"""Hands are faster than the server: what is typed on the bench stands there as it was typed, whatever the network does."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from inventory.people.roles import Role
from tests.browser import slow
from tests.browser.conftest import Opens
from tests.browser.watch import Watch

EMPTY = "/bench?damper=QU-46-A"
# Sixteen sizes are compared by their curves: a busy computer takes its time for that.
PATIENCE_MS = 30_000
# Eight sizes a side, no two alike, so that a key in a wrong field shows.
EIGHT = {
    "compression": "40 0.15 4,24 0.1 1,38 0.15 1,36 0.2 2,34 0.15 3,32 0.1 1,30 0.2 2,22 0.3 1",
    "rebound": "36 0.2 3,22 0.1 1,34 0.15 2,32 0.15 1,30 0.1 4,28 0.2 1,26 0.15 2,20 0.3 1",
}


def eight(side: str) -> list[list[str]]:
    """[[diameter, thickness, count], ...] of a side."""
    return [row.split() for row in EIGHT[side].split(",")]


def rows_of(page: Page, side: str) -> list[list[str]]:
    """What stands in the rows of a side, the empty one behind them left out."""
    read = """side => [...document.querySelectorAll(`[name^=main-${side}-][name$=-od]`)].map(od =>
        ["od", "thickness", "count"].map(cell => document.querySelector(`[name=${od.name.replace("od", cell)}]`).value)
    )"""
    rows: list[list[str]] = page.evaluate(read, side)
    assert rows[-1] == ["", "", ""], "an empty row stands behind the last one"
    return rows[:-1]


def type_rows(page: Page, side: str, rows: list[list[str]], delay_ms: int) -> None:
    """Types rows without a look at the page, as one reads a caliper: cell, Enter, cell, Enter."""
    page.locator(f"[name=main-{side}-0-od]").focus()
    for row in rows:
        for cell in row:
            page.keyboard.type(cell, delay=delay_ms)
            page.keyboard.press("Enter")


@pytest.mark.parametrize("key_ms", [60, 20])
@pytest.mark.parametrize("added_ms", [0, 120, 300, 800])
def test_eight_rows_a_side_stand_there_as_they_were_typed(bench: Opens, added_ms: int, key_ms: int) -> None:
    page = bench(Role.TUNER)
    page.goto(EMPTY)
    with slow.added(added_ms):
        for side in EIGHT:
            type_rows(page, side, eight(side), key_ms)
        for side in EIGHT:
            assert rows_of(page, side) == eight(side)
        expect(page.locator("#answer .verdict-word")).to_be_visible(timeout=PATIENCE_MS)
        expect(page.locator("[data-old]")).to_have_count(0, timeout=PATIENCE_MS)
    for side in EIGHT:
        assert rows_of(page, side) == eight(side), "the answer changes nothing that was typed"


@pytest.mark.parametrize("key_ms", [60, 20])
def test_eight_rows_a_side_stand_there_without_a_network(bench: Opens, console: Watch, key_ms: int) -> None:
    page = bench(Role.TUNER)
    page.goto(EMPTY)
    page.context.set_offline(True)
    for side in EIGHT:
        type_rows(page, side, eight(side), key_ms)
    for side in EIGHT:
        assert rows_of(page, side) == eight(side)
    expect(page.locator("#answer")).to_contain_text("No connection")
    console.take()
    page.context.set_offline(False)
    expect(page.locator("#answer .verdict-word")).to_be_visible(timeout=PATIENCE_MS)
    console.take()
