"""The plan search: the best plan in the written order, and the next ones with other stand-ins."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from compat.engineering.plans.alike import gathered
from compat.engineering.plans.allocate import Allocations
from compat.engineering.plans.bent.allocations import BentAllocations, responses_of
from compat.engineering.plans.bent.response import Response
from compat.engineering.plans.draw import Drawer
from compat.engineering.plans.problem import STOOD_IN, Problem
from compat.engineering.plans.shelf import Shelf
from compat.engineering.plans.solution import Solution, solution_of

_MOST_TABLED = 400  # allocations tried in full until the best plan stands
_MOST_TABLED_MORE = 40  # and for the alternatives after that
_MOST_ALIKE = 6  # plans ranked by curves, which are often as near as each other: the least changes of height come first


@dataclass(frozen=True)
class Result:
    """`best` and up to the asked number of `alternatives`, which use other stand-ins, in the written order.

    `proven`: no plan is better than `best`; False where a budget has stopped the search. `responses`: the curves of
    the sides that plans with stand-ins were ranked by; empty where they were ranked by sum t^3. `solved`: how many
    curves were solved until the best plan stood; those for alternatives after that are not among them.
    """

    best: Solution
    alternatives: tuple[Solution, ...]
    proven: bool
    responses: tuple[Response, ...] = ()
    solved: int = 0


def _never() -> bool:
    return False


def solve(problem: Problem, *, alternatives: int = 2, out_of_time: Callable[[], bool] = _never) -> Result:
    """The best plan for a problem by the order in `order.ORDER`, and some alternatives.

    problem: any size; an empty shelf and no positions are answered too. alternatives: how many at most, 0 or more;
    the best plan is the same whatever their number.
    Allocations come in the order of criteria 1-4, so the search ends as soon as the next one can only be worse.
    out_of_time: asked between curves, where stand-ins are ranked by them; once it says so no more are solved. Without
    it the same problem always gives the same result. Every search inside has a budget; what it leaves out only makes
    `proven` False. Raises ValueError where pieces or days are too many to be counted in 64 bits.
    """
    rows = gathered(problem)
    found = _solved(rows.shelf, alternatives, out_of_time)
    shared = [rows.shared_out(solution) for solution in (found.best, *found.alternatives)]
    return replace(found, best=shared[0], alternatives=tuple(shared[1:]), proven=found.proven and not rows.cut)


def _solved(shelf: Shelf, alternatives: int, out_of_time: Callable[[], bool]) -> Result:
    """The same on rows that the search can tell apart."""
    problem = shelf.problem
    responses = responses_of(shelf) if problem.sides else None
    if responses is None:
        plain = Shelf(replace(problem, sides=())) if problem.sides else shelf
        return _searched(plain, Allocations(plain), (), alternatives)
    found = _searched(shelf, BentAllocations(shelf, responses, out_of_time), tuple(responses), alternatives)
    if found.best.score.missing and not found.best.stand_ins and not found.proven:
        # so much is short that no choice of the predicted ones has the pieces: within one diameter there may be one
        plain = Shelf(replace(problem, sides=(), roles=STOOD_IN))
        other = _searched(plain, Allocations(plain), (), alternatives)
        if other.best.score.missing < found.best.score.missing:
            return replace(other, proven=False)
    return found


def _searched(
    shelf: Shelf, allocations: Allocations | BentAllocations, responses: tuple[Response, ...], alternatives: int
) -> Result:
    drawer = Drawer(shelf)
    found: dict[object, Solution] = {}
    settled: bool | None = None
    tabled_then = solved = 0
    for allocation in allocations:
        better = sorted(s.score for s in found.values() if s.score.tier < allocation.tier)
        if better and settled is None:
            settled, tabled_then = not (allocations.cut or drawer.cut), drawer.tabled
            solved = _solved_by(responses)
        if len(better) > alternatives:
            break
        if responses and len(found) >= _MOST_ALIKE:
            drawer.cut = True
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
        settled, solved = not (allocations.cut or drawer.cut), _solved_by(responses)
    return Result(best, tuple(others[: max(alternatives, 0)]), settled, responses, solved)


def _solved_by(responses: tuple[Response, ...]) -> int:
    return sum(response.solved for response in responses)
