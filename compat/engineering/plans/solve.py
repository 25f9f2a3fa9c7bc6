"""The plan search: the best plan in the written order, and the next ones with other stand-ins."""

from __future__ import annotations

from dataclasses import dataclass

from compat.engineering.plans.allocate import Allocations
from compat.engineering.plans.draw import Drawer
from compat.engineering.plans.problem import Problem
from compat.engineering.plans.shelf import Shelf
from compat.engineering.plans.solution import Solution, solution_of

_MOST_TABLED = 400  # allocations tried in full until the best plan stands
_MOST_TABLED_MORE = 40  # and for the alternatives after that


@dataclass(frozen=True)
class Result:
    """`best` and up to the asked number of `alternatives`, which use other stand-ins, in the written order.

    `proven`: no plan is better than `best`; False where a budget has stopped the search.
    """

    best: Solution
    alternatives: tuple[Solution, ...]
    proven: bool


def solve(problem: Problem, *, alternatives: int = 2) -> Result:
    """The best plan for a problem by the order in `order.ORDER`, and some alternatives.

    problem: any size; an empty shelf and no positions are answered too. alternatives: how many at most, 0 or more.
    Allocations come in the order of criteria 1-4, so the search ends as soon as the next one can only be worse.
    The same problem always gives the same result. Every search inside has a budget; what it leaves out only makes
    `proven` False. Raises ValueError where pieces or days are too many to be counted in 64 bits.
    """
    shelf = Shelf(problem)
    allocations, drawer = Allocations(shelf), Drawer(shelf)
    found: dict[object, Solution] = {}
    settled: bool | None = None
    tabled_then = 0
    for allocation in allocations:
        better = sorted(s.score for s in found.values() if s.score.tier < allocation.tier)
        if better and settled is None:
            settled, tabled_then = not (allocations.cut or drawer.cut), drawer.tabled
        if len(better) > alternatives:
            break
        # a plan without stand-ins always stands, so the search for it goes on past every other budget
        most = _MOST_TABLED if settled is None else _MOST_TABLED_MORE
        if drawer.tabled - tabled_then >= most and allocation.stand_ins:
            if settled is not None:
                break
            drawer.cut = True
            continue
        drawn = drawer.draw(allocation)
        if drawn is None:
            continue
        solution = solution_of(shelf, drawn)
        known = found.get(solution.choice)
        if known is None or solution.score < known.score:
            found[solution.choice] = solution
    if not found:
        drawn = drawer.draw(allocations.plain())
        if drawn is not None:  # it always stands
            found[()] = solution_of(shelf, drawn)
    best, *others = sorted(found.values(), key=lambda solution: solution.score)
    if settled is None:
        settled = not (allocations.cut or drawer.cut)
    return Result(best, tuple(others[: max(alternatives, 0)]), settled)
