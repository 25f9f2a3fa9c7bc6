"""The outlook of a problem against the plan search itself."""

from __future__ import annotations

from dataclasses import replace

import pytest

from compat.engineering.plans.outlook import outlook
from compat.engineering.plans.problem import Lip, Position, Problem, Role, StockRow
from compat.engineering.plans.solve import solve
from compat.engineering.shims import Size
from tests.engineering.cases_plans import random_problem

A, SPACER = Size(30_000, 200, 12_000), Size(24_000, 200, 12_000)


@pytest.mark.parametrize("seed", range(60))
def test_it_says_what_the_best_plan_would_miss(seed: int) -> None:
    """Without a lip and a limit of height, which only the choice of lots can settle."""
    problem = replace(random_problem(seed), lip=None, height_limit_um=None)
    found, best = outlook(problem), solve(problem).best
    assert sum(number for _, number in found.missing) == best.score.missing
    assert found.stand_ins == best.score.stand_ins
    assert found.no_spacer == ""
    assert sum(number for _, number in found.short) == best.score.missing + sum(s.missing for s in best.stand_ins)


def stack(*rows: StockRow, lip: Lip | None) -> Problem:
    return Problem(list(rows), [Position("taper", A, 3, Role.TAPER)], spread_um={A: 0}, lip=lip)


def row(size: Size, available: int) -> StockRow:
    return StockRow(f"{size.od_um}", size, available, size.thickness_um, f"drawer {size.od_um}")


def test_it_says_why_no_spacer_could_follow() -> None:
    needed = Lip(1_000, 1_200, 20_000, 26_000, 12_000)
    assert outlook(stack(row(A, 3), row(SPACER, 3), lip=needed)).no_spacer == ""
    assert outlook(stack(row(A, 3), lip=needed)).no_spacer == "no_such_shims"
    assert outlook(stack(row(A, 3), lip=Lip(100, 500, 20_000, 26_000, 12_000))).no_spacer == "too_tall"
    assert outlook(stack(row(A, 3), lip=Lip(500, 700, 20_000, 26_000, 12_000))).no_spacer == ""


def test_pieces_of_the_stack_are_no_spacers_at_once() -> None:
    """The two 22 x 0.2 lie in the stack, so nothing is left to lie under it (rule R3)."""
    face, taper, clamp = (Size(od, 200, 12_000) for od in (30_000, 22_000, 20_000))
    positions = [
        Position("face", face, 2, Role.FACE),
        Position("taper", taper, 2, Role.TAPER),
        Position("clamp", clamp, 1, Role.CLAMP),
    ]
    lip = Lip(1_150, 1_250, 20_000, 24_000, 12_000)
    rows = [row(face, 2), row(taper, 2), row(clamp, 1)]
    posed = Problem(rows, positions, spread_um={face: 0, taper: 0, clamp: 0}, lip=lip)
    assert outlook(posed).no_spacer == "no_such_shims" == solve(posed).best.no_spacer
    more = replace(posed, rows=[row(face, 2), row(taper, 3), row(clamp, 1)])
    assert outlook(more).no_spacer == "" == solve(more).best.no_spacer
