"""A shelf with thousands of lots of one size is planned from as surely, and in as few steps, as one with a few."""

from __future__ import annotations

import random
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any

import pytest

from compat.engineering.plans import alike, tables
from compat.engineering.plans.alike import MOST_ROWS, gathered
from compat.engineering.plans.problem import Lip, Position, Problem, Role, StockRow
from compat.engineering.plans.shelf import Shelf
from compat.engineering.plans.solution import Draw
from compat.engineering.plans.solve import _solved, solve
from compat.engineering.plans.ways import MOST_STEPS, Steps
from compat.engineering.shims import Size
from tests.engineering.cases_plans import random_problem

SIZES = ((32, 150), (28, 150), (26, 150), (22, 100), (32, 100), (24, 100))
ASKED = (
    *(("c1", 36, 200, 2, Role.FACE), ("c2", 22, 100, 1, Role.CROSSOVER), ("c3", 32, 150, 4, Role.TAPER)),
    *(("c4", 28, 200, 3, Role.TAPER), ("c5", 20, 300, 1, Role.CLAMP), ("r1", 34, 200, 2, Role.FACE)),
    *(("r2", 22, 100, 1, Role.CROSSOVER), ("r3", 32, 150, 5, Role.TAPER), ("r4", 26, 150, 3, Role.TAPER)),
    ("r5", 20, 300, 1, Role.CLAMP),
)
MANY = 10**9
# Where the lots lie, how thick they are beside nominal, how old they are, how many sizes they are of, and whether
# another size is short.
SHELVES: dict[str, tuple[int, Sequence[int], Sequence[int], int, bool]] = {
    "one drawer, alike": (1, (0,), (0,), 1, False),
    "a drawer each, alike": (MANY, (0,), (0,), 1, False),
    "a drawer each, of all ages": (MANY, (0,), range(900), 1, False),
    "a drawer each, none alike": (MANY, range(-4, 5), range(900), 1, False),
    "one tray, none alike": (1, range(-4, 5), range(900), 1, False),
    "forty trays, six sizes": (40, range(-4, 5), range(900), 6, False),
    "a drawer each, six sizes": (MANY, range(-4, 5), range(900), 6, False),
    "one tray, one size short": (1, range(-4, 5), range(900), 6, True),
    "a drawer each, one size short": (MANY, range(-4, 5), range(900), 6, True),
}


def full_shelf(lots: int, shelf: str) -> Problem:
    """Both sides of a stack that needs spacers, on a shelf with so many lots of what it asks for."""
    drawers, means, days, sizes, short = SHELVES[shelf]
    draw = random.Random(shelf)
    positions = [Position(key, Size(od * 1000, um, 12_000), quantity, role) for key, od, um, quantity, role in ASKED]
    rows = [
        StockRow(f"a-{number}", position.size, 20, position.size.thickness_um, f"D-{number}")
        for number, position in enumerate(positions)
        if not (short and position.key == "c4")
    ]
    for number in range(lots):
        od, um = SIZES[number % sizes]
        size, drawer = Size(od * 1000, um, 12_000), f"X-{draw.randrange(drawers)}"
        pieces = 3 if len(days) == 1 else draw.choice((1, 2, 5))
        rows.append(StockRow(f"b-{number:05}", size, pieces, um + draw.choice(means), drawer, draw.choice(days)))
    lip = Lip(4_600, 5_000, 20_000, 36_000, 12_000)
    return Problem(rows=rows, positions=positions, lip=lip, spread_um=dict.fromkeys((row.size for row in rows), 2))


def calls_in(work: Callable[[], Any]) -> int:
    """How many functions it calls: a measure of work that no other program on the machine changes."""
    number = 0

    def note(frame: Any, event: str, arg: Any) -> None:
        nonlocal number
        number += event in ("call", "c_call")

    sys.setprofile(note)
    try:
        work()
    finally:
        sys.setprofile(None)
    return number


@pytest.mark.parametrize("shelf", sorted(SHELVES))
def test_a_full_shelf_takes_no_more_steps_than_its_lots_are_read_in(shelf: str) -> None:
    """Work that grows with the square of the lots would be 36 times as much on six times as many."""
    few, many = (calls_in(lambda lots=lots: solve(full_shelf(lots, shelf))) for lots in (500, 3_000))  # type: ignore[misc]  # called at once
    assert many < 12 * few
    assert many < 3_000_000


@pytest.mark.parametrize("shelf", sorted(SHELVES))
def test_the_search_looks_at_so_many_rows_of_a_size_and_keeps_to_its_steps(
    shelf: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[Steps] = []

    class Counted(Steps):
        def __init__(self) -> None:
            super().__init__()
            made.append(self)

    monkeypatch.setattr(tables, "Steps", Counted)
    problem = full_shelf(3_000, shelf)
    rows = gathered(problem).problem.rows
    for size in {row.size for row in rows}:
        here = [row for row in rows if row.size == size]
        # As many as are looked at, or as many lots of one piece as could be drawn of the size.
        assert len(here) <= max(MOST_ROWS, 60 + 5_000 // min(row.mean_um for row in here))
    found = solve(problem)
    assert made and all(0 <= one.left <= MOST_STEPS for one in made)
    assert found.best.score.missing == 0
    assert _free(problem, found.best.draws) == []


def test_lots_alike_are_planned_like_one_lot_and_drawn_in_the_order_of_the_shelf() -> None:
    problem = full_shelf(2_000, "one drawer, alike")
    own = [row for row in problem.rows if row.key.startswith("b-")]
    one = replace(own[0], available=sum(row.available for row in own))
    found, as_one = solve(problem), solve(replace(problem, rows=[*problem.rows[: -len(own)], one]))
    assert found.proven and as_one.proven
    assert found.best.score == as_one.best.score
    drawn = [draw for draw in found.best.draws if draw.row.startswith("b-")]
    assert _in_all(drawn) == _in_all([draw for draw in as_one.best.draws if draw.row == one.key])
    assert [draw.row for draw in drawn] == sorted(draw.row for draw in drawn)
    full = [draw.row for draw in drawn if sum(other.quantity for other in drawn if other.row == draw.row) == 3]
    assert set(full) >= {draw.row for draw in drawn[:-1]} - {drawn[-1].row}


@pytest.mark.parametrize("seed", range(60))
def test_no_plan_is_lost_by_gathering(seed: int) -> None:
    """Every lot cut into lots of a piece or two, some of them older, some in drawers of their own: what is best stays
    best."""
    problem, draw = random_problem(seed), random.Random(seed)
    rows: list[StockRow] = []
    for row in problem.rows:
        left = min(row.available, 5)
        while left:
            here = min(left, draw.choice((1, 2)))
            drawer = draw.choice((row.drawer, row.drawer, f"own-{len(rows)}"))
            days = row.newer_days + draw.choice((0, 0, 1))
            rows.append(replace(row, key=f"{len(rows):04}", available=here, drawer=drawer, newer_days=days))
            left -= here
    cut = replace(problem, rows=rows)
    found, plainly = solve(cut), _solved(Shelf(cut), 2, lambda: False)
    if plainly.proven:
        assert found.best.score <= plainly.best.score
    if found.proven:
        assert found.best.score <= plainly.best.score
    if found.proven and plainly.proven:
        assert found.best.score == plainly.best.score
    assert _free(cut, found.best.draws) == []


def test_some_of_those_cases_are_gathered_and_proven() -> None:
    """So that the tests above compare something."""
    problem = full_shelf(300, "a drawer each, of all ages")
    assert len(gathered(problem).problem.rows) < len(problem.rows) / 3
    assert solve(problem).proven


def test_where_too_many_lots_differ_the_plan_is_found_and_not_called_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(alike, "MOST_ROWS", 4)
    problem = full_shelf(200, "one tray, none alike")
    assert gathered(problem).cut
    found = solve(problem)
    assert not found.proven
    assert found.best.score.missing == 0


def test_new_pieces_are_not_short_because_take_offs_fill_the_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(alike, "MOST_ROWS", 4)
    size = Size(34_000, 200, 12_000)
    rows = [StockRow(f"u-{n}", size, 9, 200 + n, f"U-{n}", 0, True) for n in range(40)]
    rows += [StockRow(f"n-{n}", size, 1, 200, f"N-{n}", 500 + n) for n in range(9)]
    asked = [Position("face", size, 9, Role.FACE)]
    found = solve(Problem(rows=rows, positions=asked, allow_take_offs=True))
    assert found.best.score.missing == 0


def _free(problem: Problem, draws: Iterable[Draw]) -> list[str]:
    """The rows of which more is drawn than they hold."""
    left = {row.key: row.available for row in problem.rows}
    for draw in draws:
        left[draw.row] -= draw.quantity
    return [key for key, number in left.items() if number < 0]


def _in_all(draws: Iterable[Draw]) -> dict[str, int]:
    found: dict[str, int] = {}
    for draw in draws:
        found[draw.place] = found.get(draw.place, 0) + draw.quantity
    return found
