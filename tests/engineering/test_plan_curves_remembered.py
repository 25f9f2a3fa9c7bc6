"""Curves are remembered from one search to the next, and a search finds the same with them as without."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from compat.engineering.bending.path import Path, follow
from compat.engineering.plans.bent import remembered
from compat.engineering.plans.problem import Problem
from compat.engineering.plans.solve import Result, solve
from tests.engineering.cases_bent import bent_problem


@pytest.fixture
def walked(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Path]]:
    """The curves that were really solved for searches, with nothing remembered before."""
    found: list[Path] = []

    def noted(*told: Any, **words: Any) -> Path:
        path = follow(*told, **words)
        found.append(path)
        return path

    monkeypatch.setattr(remembered, "follow", noted)
    remembered.forget()
    yield found
    remembered.forget()


def said(result: Result) -> tuple[Any, ...]:
    return result.best, result.alternatives, result.proven, result.solved, [one.effort for one in result.responses]


@pytest.mark.parametrize("seed", range(10))
def test_a_search_finds_the_same_whatever_was_searched_before(seed: int, walked: list[Path]) -> None:
    """Also where its budget of curves ends it: what is remembered counts as if it were solved."""
    posed = replace(bent_problem(seed), solves=20)
    first = solve(posed, alternatives=5)
    anew = len(walked)
    again = solve(posed, alternatives=5)
    assert anew > 0 and len(walked) == anew
    other = replace(posed, curve_limit_ppm=posed.curve_limit_ppm // 2)
    then = said(solve(other))
    remembered.forget()
    assert said(again) == said(first)
    assert said(solve(other)) == then


def test_other_ways_take_no_curve_that_the_best_one_took(walked: list[Path]) -> None:
    posed = bent_problem(9)
    solve(posed, alternatives=0)
    alone = len(walked)
    solve(posed, alternatives=5)
    more = len(walked) - alone
    remembered.forget()
    walked.clear()
    solve(posed, alternatives=5)
    assert alone + more == len(walked)


def test_another_mount_or_another_stack_is_solved_anew(walked: list[Path]) -> None:
    posed = bent_problem(9)
    solve(posed)
    before = len(walked)

    def wider(problem: Problem) -> Problem:
        sides = [replace(side, mount=replace(side.mount, hub_radius_mm=12.1)) for side in problem.sides]
        return replace(problem, sides=tuple(sides))

    solve(wider(posed))
    assert len(walked) > before
    then = len(walked)
    solve(replace(posed, positions=[replace(one, quantity=one.quantity + 1) for one in posed.positions]))
    assert len(walked) > then


def test_only_so_many_are_kept(walked: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(remembered, "CURVES_KEPT", 5)
    result = solve(bent_problem(9))
    assert len(walked) > 10
    assert all(len(one._asked.solved) <= 5 for one in result.responses)


def test_a_curve_that_is_shared_cannot_be_changed(walked: list[Path]) -> None:
    result = solve(bent_problem(9))
    for one in result.responses:
        with pytest.raises(ValueError, match="read-only"):
            one.asked[0] = 1.0
        for solved in one._asked.solved.values():
            assert solved.pressures is None or not solved.pressures.flags.writeable
