"""The spacer search against CP-SAT: same optimum, and how much faster."""

from __future__ import annotations

import statistics
import time

from compat.engineering.pieces import SpacerChoice
from compat.engineering.spacers import find_spacer, steps_off
from tests.benchmarks.figures import Figure, timed
from tests.engineering.cases_spacers import SpacerCase, random_case
from tests.engineering.oracle_spacers import Optimum, best_spacer

CASES = 200
MOST_ROWS = 400
REPEATS = 3


def run(seed: int) -> list[Figure]:
    """200 random shelves of up to 400 lots; CP-SAT has one worker and only its solve time counts."""
    same, own, other = 0, [], []
    for number in range(CASES):
        case = random_case(seed * CASES + number, MOST_ROWS)
        choice, seconds = _timed(case)
        optimum, oracle_seconds = best_spacer(case)
        same += optimum == _optimum(case, choice)
        own.append(seconds)
        other.append(oracle_seconds)
    ratio = statistics.median(theirs / ours for theirs, ours in zip(other, own, strict=True))
    median_ms = statistics.median(own) * 1000
    return [
        Figure("same optimum as CP-SAT", same, f"of {CASES} cases", f"{CASES}", same == CASES),
        Figure("CP-SAT time over own time, median", round(ratio, 1), "times", "at least 10", ratio >= 10),
        timed("own time, median", median_ms, "ms", 2, digits=3),
        timed("own time, slowest", max(own) * 1000, "ms", 20, digits=3),
    ]


def _timed(case: SpacerCase) -> tuple[SpacerChoice | None, float]:
    """The choice and the shortest of a few times: the machine's other work only ever adds."""
    best = float("inf")
    for _ in range(REPEATS):
        start = time.perf_counter()
        choice = find_spacer(case.rows, case.low_um, case.high_um, case.target_um)
        best = min(best, time.perf_counter() - start)
    return choice, best


def _optimum(case: SpacerCase, choice: SpacerChoice | None) -> Optimum | None:
    if choice is None:
        return None
    off = abs(2 * choice.total_um - round(2 * case.target_um))
    return steps_off(off), choice.pieces, choice.drawers, choice.preference
