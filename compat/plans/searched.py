"""What the search finds for a problem, with the curves of what it found; equal problems are searched once.

A bench asks the same thing again and again: to show a plan, to keep it, to draw its curves, when it is opened anew. The
key is the whole problem - every row of the shelf that it may draw on, with its pieces - and the search has neither
clock nor chance, so what is remembered is what would be found. KEPT problems are, without the curves' own systems.

The best plan is the same with others beside it and without: who shows it alone does not wait for them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any

from compat.engineering.plans.problem import Problem
from compat.engineering.plans.solution import Solution
from compat.engineering.plans.solve import Result, solve
from compat.plans import curves
from compat.plans.curves import Scores

ALTERNATIVES = 5
KEPT = 32


@dataclass(frozen=True, slots=True)
class Searched:
    """The best plan and others, each with the figures of its sides by position; whether no plan is better; the rows of
    the best one's curves. solved: how many curves the search has solved until the best plan stood; None where it did
    not rank by curves."""

    best: Solution
    scores: Scores
    alternatives: tuple[tuple[Solution, Scores], ...]
    proven: bool
    curves: list[curves.CurveOfSide]
    solved: int | None


def searched(
    problem: Problem, out_of_time: Callable[[], bool] | None = None, *, alternatives: int = ALTERNATIVES
) -> Searched:
    """The plans for a problem; with a clock to end by they are searched for every time. Raises as solve() does."""
    if out_of_time is not None:
        return _with_curves(problem, solve(problem, alternatives=alternatives, out_of_time=out_of_time))
    return _remembered(tuple(_hashable(getattr(problem, field.name)) for field in fields(problem)), alternatives)


def _hashable(value: Any) -> Any:
    return tuple(value.items()) if isinstance(value, Mapping) else tuple(value) if isinstance(value, list) else value


@lru_cache(maxsize=KEPT)
def _remembered(content: tuple[Any, ...], alternatives: int) -> Searched:
    told = dict(zip((field.name for field in fields(Problem)), content, strict=True))
    problem = Problem(**{**told, "spread_um": dict(told["spread_um"])})
    return _with_curves(problem, solve(problem, alternatives=alternatives))


def _with_curves(problem: Problem, result: Result) -> Searched:
    rows = {row.key: row for row in problem.rows}
    sides = curves.sides_of(result.responses, result.best, rows)
    others = [(one, curves.scores_of(curves.sides_of(result.responses, one, rows))) for one in result.alternatives]
    solved = result.solved if result.responses else None
    scores = curves.scores_of(sides)
    return Searched(result.best, scores, tuple(others), result.proven, curves.curves_of(sides), solved)
