"""Small problems for the search by curves, and every plan of them solved: to 8 positions and 40 sizes."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, product

import numpy as np

from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.band import most_lift_mm
from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import follow
from compat.engineering.bending.plates import Array
from compat.engineering.bending.stack import Groups, Layer, Mount
from compat.engineering.plans.problem import BentSide, Position, Problem, Role, StockRow
from compat.engineering.shims import Size

BORE_UM = 12_000
THICKNESS_UM = (100, 150, 200, 250, 300)
REACH_UM = 2_000
STEP_PPM = 2_500
MOST_SOLVED = 1_500
Shims = tuple[tuple[Size, int], ...]


def size(od_mm: int, thickness_um: int) -> Size:
    return Size(od_mm * 1000, thickness_um, BORE_UM)


def bent_problem(seed: int) -> Problem:
    """Two sides of up to four positions; one or two sizes of their tapers are short; some have a limit of height."""
    random_ = random.Random(seed)
    positions: list[Position] = []
    sides: list[BentSide] = []
    for side in ("compression", "rebound"):
        face = random_.choice((34, 36, 38, 40))
        ods = sorted(random_.sample(range(22, face - 1, 2), 2), reverse=True)
        here = [Position(f"{side}-0", size(face, random_.choice((100, 150, 200))), random_.randint(1, 4), Role.FACE)]
        if random_.random() < 0.4 and ods[-1] > 24:
            here.append(Position(f"{side}-x", size(22, random_.choice((100, 150))), 1, Role.CROSSOVER))
        here += [
            Position(f"{side}-{od}", size(od, random_.choice(THICKNESS_UM)), random_.randint(1, 3), Role.TAPER)
            for od in ods
        ]
        here.append(Position(f"{side}-c", size(20, 300), 1, Role.CLAMP))
        positions += here
        sides.append(BentSide(tuple(p.key for p in here), Mount(9.0, 12.0, 11.0, face / 2 - 1.5)))
    asked: dict[Size, int] = {}
    for position in positions:
        asked[position.size] = asked.get(position.size, 0) + position.quantity
    tapers = sorted({p.size for p in positions if p.role is Role.TAPER})
    short = random_.sample(tapers, min(len(tapers), random_.randint(1, 2)))
    stock = {one: asked[one] - (one in short) for one in asked}
    near = {p.size.od_um // 1000 + step for p in positions if p.size in short for step in (-2, -1, 0, 1, 2)}
    for od, thickness in product(sorted(near), THICKNESS_UM):
        if len(stock) < 40 and random_.random() < 0.35 and size(od, thickness) not in stock:
            stock[size(od, thickness)] = random_.randint(1, 4)
    rows = [
        StockRow(f"row-{place}", one, number, one.thickness_um, f"drawer-{place}")
        for place, (one, number) in enumerate(stock.items())
        if number
    ]
    return Problem(
        rows=rows,
        positions=positions,
        spread_um=dict.fromkeys(stock, 0),
        curve_limit_ppm=random_.choice((50_000, 150_000, 400_000)),
        height_limit_um=random_.choice((None, None, 50, 150)),
        sides=sides,
        reach_um=REACH_UM,
    )


@dataclass(frozen=True)
class Truth:
    """The best of every plan: missing pieces, positions with stand-ins, and the worst and the sum of the scores."""

    missing: int
    stand_ins: int
    worst_ppm: int
    sum_ppm: int

    @property
    def in_steps(self) -> tuple[int, int, int]:
        return self.missing, self.stand_ins, self.worst_ppm // STEP_PPM


def every_plan(problem: Problem) -> list[Truth] | None:
    """Every plan with the fewest missing pieces and positions with stand-ins, solved; None where there are too many.

    Written from docs/reference/best-plan.md without the search: rows at nominal thickness, no lip.
    """
    asked: dict[Size, list[Position]] = {}
    for position in problem.positions:
        asked.setdefault(position.size, []).append(position)
    free: dict[Size, int] = {}
    for row in problem.rows:
        free[row.size] = free.get(row.size, 0) + row.available
    short: dict[Size, int] = {}
    for one, positions in asked.items():
        wanted = sum(position.quantity for position in positions)
        short[one] = max(0, wanted - free.get(one, 0))
        free[one] = max(0, free.get(one, 0) - wanted)
    by_count: dict[tuple[int, int], list[dict[str, int]]] = {}
    for falls in product(*(_falls(number, asked[one]) for one, number in short.items() if number)):
        replaced = {key: number for one in falls for key, number in one.items() if number}
        missing = sum(short.values()) - sum(replaced.values())
        by_count.setdefault((missing, len(replaced)), []).append(replaced)
    for (missing, count), frames in sorted(by_count.items()):
        found = _of_frames(problem, frames, free)
        if found is None:
            return None
        if found:
            return [Truth(missing, count, worst, total) for worst, total in found]
    return []


def _falls(missing: int, positions: list[Position]) -> Iterator[dict[str, int]]:
    """How stand-ins can take over 0..missing pieces of one size at its taper positions."""
    tapers = [position for position in positions if position.role is Role.TAPER]
    for numbers in product(*(range(position.quantity + 1) for position in tapers)):
        if sum(numbers) <= missing:
            yield {position.key: number for position, number in zip(tapers, numbers, strict=True)}


def _of_frames(
    problem: Problem, frames: list[dict[str, int]], free: Mapping[Size, int]
) -> list[tuple[int, int]] | None:
    by_key = {position.key: position for position in problem.positions}
    found: list[tuple[int, int]] = []
    solved: dict[object, int | None] = {}
    for replaced in frames:
        if not replaced:
            found.append((0, 0))
            continue
        choices = [list(_swaps(problem, by_key[key], number, free)) for key, number in replaced.items()]
        if np.prod([float(len(one)) for one in choices]) > MOST_SOLVED:
            return None
        for chosen in product(*choices):
            pieces = dict(zip(replaced, chosen, strict=True))
            if not _there(chosen, free) or not _within_height(problem, by_key, replaced, pieces):
                continue
            scores = [_score(problem, side, by_key, replaced, pieces, solved) for side in problem.sides]
            known = [score for score in scores if score is not None]
            if len(known) == len(scores) and max(known) <= problem.curve_limit_ppm:
                found.append((max(known), sum(known)))
    return found


def _swaps(problem: Problem, position: Position, missing: int, free: Mapping[Size, int]) -> Iterator[Shims]:
    side = next(side for side in problem.sides if position.key in side.positions)
    order = [next(p for p in problem.positions if p.key == key) for key in side.positions]
    at = order.index(position)
    high = max(order[at - 1].size.od_um, position.size.od_um)
    low = min(order[at + 1].size.od_um, position.size.od_um)
    sizes = [
        one
        for one, number in free.items()
        if number
        and one != position.size
        and abs(one.od_um - position.size.od_um) <= problem.reach_um
        and low <= one.od_um <= high
    ]
    most = 4 * missing
    for one in sizes:
        yield from (((one, number),) for number in range(1, min(free[one], most) + 1))
    for one, two in combinations(sizes, 2):
        for first, second in product(range(1, free[one] + 1), range(1, free[two] + 1)):
            if first + second <= most:
                yield ((one, first), (two, second))


def _there(chosen: tuple[Shims, ...], free: Mapping[Size, int]) -> bool:
    used: dict[Size, int] = {}
    for shims in chosen:
        for one, number in shims:
            used[one] = used.get(one, 0) + number
    return all(number <= free[one] for one, number in used.items())


def _within_height(
    problem: Problem, by_key: Mapping[str, Position], replaced: Mapping[str, int], pieces: Mapping[str, Shims]
) -> bool:
    if problem.height_limit_um is None:
        return True
    change = sum(number * one.thickness_um for shims in pieces.values() for one, number in shims)
    change -= sum(number * by_key[key].size.thickness_um for key, number in replaced.items())
    return abs(change) <= problem.height_limit_um


@lru_cache(maxsize=8)
def _asked(mount: Mount, shims: Shims) -> tuple[float, Array, Array]:
    """The lift to which a side is solved as asked, ten lifts up to it, and the pressures there."""
    groups = Groups.of([Layer(one.od_um / 1000, one.thickness_um / 1000, number) for one, number in shims])
    path = follow(contacts_of(groups, mount), most_lift_mm(groups))
    end = float(path.lift_mm[-1]) * (0.98 if path.stopped else 1)
    lifts = np.geomspace(end / 20, end, 10)
    return end, lifts, path.pressures_at(lifts)


def _score(
    problem: Problem,
    side: BentSide,
    by_key: Mapping[str, Position],
    replaced: Mapping[str, int],
    pieces: Mapping[str, Shims],
    solved: dict[object, int | None],
) -> int | None:
    key = (side.positions, tuple(sorted((k, v, replaced[k]) for k, v in pieces.items() if k in side.positions)))
    if key not in solved:
        asked = [by_key[one] for one in side.positions]
        built: list[Layer] = []
        for position in asked:
            exact = position.quantity - replaced.get(position.key, 0)
            here = [(position.size, exact), *pieces.get(position.key, ())]
            here.sort(key=lambda pair: (-pair[0].od_um, -pair[0].thickness_um))
            built += [Layer(one.od_um / 1000, one.thickness_um / 1000, number) for one, number in here if number]
        end, lifts, wanted = _asked(side.mount, tuple((p.size, p.quantity) for p in asked))
        given = None
        if any(one in replaced for one in side.positions):
            try:
                given = follow(contacts_of(Groups.of(built), side.mount), end).pressures_at(lifts)
            except NotSolved:  # one in tens of thousands: no plan has a score by it
                solved[key] = None
                return None
        scale = np.maximum(wanted, 0.05 * wanted[-1])
        off = 0.0 if given is None else float((abs(given - wanted) / scale).max())
        solved[key] = round(1e6 * off) if np.isfinite(off) else None
    return solved[key]
