"""A problem that was searched is remembered by all that it says, and by nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

import pytest

from compat.engineering.bending.stack import Mount
from compat.engineering.plans.problem import BentSide, Lip, Position, Problem, Role, StockRow
from compat.engineering.plans.solve import Result, solve
from compat.engineering.shims import Size
from compat.plans import searched as module
from compat.plans.searched import KEPT, searched

FACE, TAPER, CLAMP = Size(40_000, 200, 12_000), Size(34_000, 150, 12_000), Size(22_000, 300, 12_000)
OTHER = Size(34_000, 100, 12_000)
SIDES = (BentSide(("main.compression.1", "main.compression.2", "main.compression.3"), Mount(9.0, 12.0, 11.0, 18.5)),)
BASE = Problem(
    rows=[
        StockRow("1", FACE, 5, 201, "A"),
        StockRow("2", TAPER, 1, 150, "B"),
        StockRow("3", OTHER, 30, 101, "C"),
        StockRow("4", CLAMP, 5, 300, "D"),
    ],
    positions=[
        Position("main.compression.1", FACE, 1, Role.FACE),
        Position("main.compression.2", TAPER, 3, Role.TAPER),
        Position("main.compression.3", CLAMP, 1, Role.CLAMP),
    ],
    spread_um={FACE: 2, TAPER: 2, OTHER: 2, CLAMP: 2},
    curve_limit_ppm=400_000,
    sides=SIDES,
    reach_um=2_000,
)
# One change in each field, and in each thing that a row of the shelf says.
CHANGED: dict[str, Any] = {
    "rows": [*BASE.rows[:2], replace(BASE.rows[2], available=29), BASE.rows[3]],
    "positions": [*BASE.positions[:1], replace(BASE.positions[1], quantity=2), BASE.positions[2]],
    "spread_um": {**BASE.spread_um, OTHER: 3},
    "lip": Lip(500, 1_500, 22_000, 30_000, 12_000),
    "allow_stand_ins": False,
    "allow_take_offs": True,
    "curve_limit_ppm": 300_000,
    "height_limit_um": 400,
    "sides": (BentSide(SIDES[0].positions, Mount(9.0, 12.5, 11.0, 18.5)),),
    "reach_um": 1_000,
    "roles": frozenset({Role.TAPER, Role.CLAMP}),
    "solves": 59,
}


@pytest.fixture
def searches(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Problem]]:
    """The problems that were searched for, with nothing remembered before."""
    found: list[Problem] = []

    def counted(problem: Problem, **words: Any) -> Result:
        found.append(problem)
        return solve(problem, **words)

    module._remembered.cache_clear()
    monkeypatch.setattr(module, "solve", counted)
    yield found
    module._remembered.cache_clear()


def test_equal_problems_are_searched_once(searches: list[Problem]) -> None:
    first, again = searched(BASE), searched(replace(BASE, rows=list(BASE.rows), spread_um=dict(BASE.spread_um)))
    assert len(searches) == 1
    assert first == again
    assert first.solved is not None and first.scores and first.curves


def test_every_field_has_its_change() -> None:
    assert set(CHANGED) == {field.name for field in fields(Problem)}


@pytest.mark.parametrize("name", CHANGED)
def test_a_change_in_any_field_is_searched_anew(searches: list[Problem], name: str) -> None:
    changed = replace(BASE, **{name: CHANGED[name]})
    searched(BASE)
    found = searched(changed)
    assert len(searches) == 2
    assert found.best == solve(changed, alternatives=module.ALTERNATIVES).best


@pytest.mark.parametrize(
    "change", [{"key": "9"}, {"size": FACE}, {"mean_um": 103}, {"drawer": "Z"}, {"newer_days": 3}, {"take_off": True}]
)
def test_a_change_in_a_row_is_searched_anew(searches: list[Problem], change: dict[str, Any]) -> None:
    searched(BASE)
    searched(replace(BASE, rows=[*BASE.rows[:2], replace(BASE.rows[2], **change), BASE.rows[3]]))
    assert len(searches) == 2


def test_a_search_that_ends_by_a_clock_is_never_remembered(searches: list[Problem]) -> None:
    for _ in range(2):
        searched(BASE, lambda: False)
    searched(BASE)
    assert len(searches) == 3


def test_only_so_many_are_kept(searches: list[Problem]) -> None:
    for limit in range(KEPT + 1):
        searched(replace(BASE, allow_stand_ins=False, curve_limit_ppm=limit))
    searched(replace(BASE, allow_stand_ins=False, curve_limit_ppm=0))
    assert len(searches) == KEPT + 2
