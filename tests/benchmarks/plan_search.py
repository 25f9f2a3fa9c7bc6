"""The plan search against CP-SAT on the same written order, and its time on a big shelf."""

from __future__ import annotations

import random
import statistics
import time

from compat.engineering.plans.problem import Lip, Position, Problem, Role, StockRow
from compat.engineering.plans.solve import Result, solve
from compat.engineering.shims import Size
from tests.benchmarks.figures import Figure, timed
from tests.engineering.cases_plans import random_problem
from tests.engineering.oracle_plans import best_score

CASES = 100
BIG_CASES = 20
BORES_UM = (8_000, 10_000, 12_000, 14_000, 16_000)
ODS_MM = range(18, 46)
THICKNESS_UM = (80, 100, 110, 120, 150, 200, 250, 300, 400)


def run(seed: int) -> list[Figure]:
    """100 random cases against CP-SAT (one worker, its solve time only); 20 big ones for time alone."""
    same, own, other = 0, [], []
    for number in range(CASES):
        problem = random_problem(seed * CASES + number)
        result, seconds = _timed(problem)
        score, oracle_seconds = best_score(problem)
        same += tuple(result.best.score) == score
        own.append(seconds)
        other.append(oracle_seconds)
    ratio = statistics.median(theirs / ours for theirs, ours in zip(other, own, strict=True))
    big = [_timed(big_problem(seed * BIG_CASES + number)) for number in range(BIG_CASES)]
    proven = sum(result.proven for result, _ in big)
    median_ms = statistics.median(seconds for _, seconds in big) * 1000
    slowest_ms = max(seconds for _, seconds in big) * 1000
    return [
        Figure("same optimum as CP-SAT", same, f"of {CASES} cases", f"{CASES}", same == CASES),
        Figure("CP-SAT time over own time, median", round(ratio, 1), "times", "above 1", ratio > 1),
        Figure("big case, proven best", proven, f"of {BIG_CASES} cases", f"{BIG_CASES}", proven == BIG_CASES),
        timed("big case, median", median_ms, "ms", 60, why="all that a plan may take"),
        timed("big case, slowest", slowest_ms, "ms", 150, why="all that a plan may take"),
    ]


def _timed(problem: Problem) -> tuple[Result, float]:
    start = time.perf_counter()
    result = solve(problem)
    return result, time.perf_counter() - start


def big_problem(seed: int) -> Problem:
    """24 positions, 5 of them with nothing of their size, on 1,260 sizes less those in 5,000 rows less theirs.

    Most drawers hold one row; one row in fifty lies in one of 40 mixed trays.
    """
    random_ = random.Random(seed)
    sizes = [Size(od * 1000, t, bore) for bore in BORES_UM for od in ODS_MM for t in THICKNESS_UM]
    positions = _positions(random_)
    short = {position.key for position in random_.sample([p for p in positions if p.role is Role.TAPER], 4)}
    short.add(random_.choice([p for p in positions if p.role is Role.CLAMP]).key)
    short_sizes = {position.size for position in positions if position.key in short}
    rows = []
    for number in range(5_000):
        size = sizes[number % len(sizes)]
        if size in short_sizes:
            continue
        drawer = f"tray-{random_.randrange(40)}" if random_.random() < 0.02 else f"drawer-{number}"
        mean = size.thickness_um + random_.randint(-4, 4)
        take_off = random_.random() < 0.1
        rows.append(
            StockRow(f"row-{number}", size, random_.randint(1, 40), mean, drawer, random_.randint(0, 700), take_off)
        )
    height = sum(position.quantity * position.size.thickness_um for position in positions)
    clamp = positions[-1].size.od_um
    return Problem(
        rows=rows,
        positions=positions,
        spread_um=dict.fromkeys(sizes, 2),
        lip=Lip(height + 100, height + 900, clamp, clamp + 8_000, 12_000),
        allow_take_offs=True,
        curve_limit_ppm=150_000,
        height_limit_um=400,
    )


def _positions(random_: random.Random) -> list[Position]:
    """Two sides of twelve lines, each diameter smaller than the one before it, every size once."""
    positions: list[Position] = []
    for side, first in (("compression", 45), ("rebound", 42)):
        for index in range(12):
            role = Role.FACE if index == 0 else Role.CLAMP if index == 11 else Role.TAPER
            size = Size((first - 2 * index) * 1000, random_.choice((100, 150, 200, 250, 300)), 12_000)
            positions.append(Position(f"{side}-{index}", size, random_.randint(1, 3), role))
    return positions
