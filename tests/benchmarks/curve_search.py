"""Plans ranked by curves: their time on a big shelf, and whether small ones find the best of every plan."""

from __future__ import annotations

import os
import time
from dataclasses import replace

import numpy as np

from compat.engineering.bending.stack import Mount
from compat.engineering.plans.problem import BentSide, Problem
from compat.engineering.plans.solve import solve
from tests.benchmarks.figures import Figure, timed
from tests.benchmarks.plan_search import big_problem
from tests.engineering.cases_bent import STEP_PPM, bent_problem, every_plan

BIG_CASES = 40
SMALL_CASES = 1_000
ALTERNATIVES = 5


def run(seed: int) -> list[Figure]:
    """40 big problems (24 positions, 5 shortages, 1,260 sizes) for time; 1,000 small ones against brute force."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {0})
    solve(bent(big_problem(seed)), alternatives=ALTERNATIVES)
    seconds = [_timed(bent(big_problem(seed * BIG_CASES + number))) for number in range(BIG_CASES)]
    p50_ms, p95_ms = (float(np.percentile(seconds, share)) * 1000 for share in (50, 95))
    compared, same, furthest = _small(seed)
    share = 100 * same / compared
    return [
        Figure("big case, median", round(p50_ms), "ms", "printed", True),
        timed("big case, 95 of 100", p95_ms, "ms", 400, digits=0),
        Figure("small cases compared", compared, "", f"{SMALL_CASES}", compared == SMALL_CASES),
        Figure("best of every plan found", round(share, 1), "%", "at least 97", share >= 97),
        Figure("furthest from the best", round(furthest, 2), "points", "at most 0.5", furthest <= 0.5),
    ]


def bent(problem: Problem) -> Problem:
    """The problem with a mount under each of its two sides."""
    sides = []
    for side in ("compression", "rebound"):
        positions = [position for position in problem.positions if position.key.startswith(side)]
        face = positions[0].size.od_um / 2000
        sides.append(BentSide(tuple(position.key for position in positions), Mount(9.0, 12.0, 11.0, face - 1.5)))
    return replace(problem, sides=tuple(sides), reach_um=2_000)


def _timed(problem: Problem) -> float:
    start = time.perf_counter()
    solve(problem, alternatives=ALTERNATIVES)
    return time.perf_counter() - start


def _small(seed: int) -> tuple[int, int, float]:
    """(compared, the same step as the best of every plan, points that the furthest one is off)."""
    compared, same, furthest, number = 0, 0, 0.0, seed * SMALL_CASES
    while compared < SMALL_CASES:
        problem = bent_problem(number)
        number += 1
        truth = every_plan(problem)
        if not truth:  # too many plans to solve them all, or none
            continue
        compared += 1
        best = min(truth, key=lambda one: one.in_steps)
        score = solve(problem, alternatives=ALTERNATIVES).best.score
        if (score.missing, score.stand_ins) != (best.missing, best.stand_ins):
            furthest = float("inf")
            continue
        same += score.worst_ppm // STEP_PPM == best.worst_ppm // STEP_PPM
        nearest = best.worst_ppm // STEP_PPM * STEP_PPM
        furthest = max(furthest, (score.worst_ppm - nearest) / 10_000)
    return compared, same, furthest
