"""Random problems for the plan search, the same ones for the same seed, small enough for an independent solver."""

from __future__ import annotations

import random

from compat.engineering.plans.problem import Lip, Position, Problem, Role, StockRow
from compat.engineering.shims import Size

BORE_UM = 12_000
THICKNESS_UM = (100, 150, 200, 250, 300)


def size_of(od_mm: int, thickness_um: int) -> Size:
    return Size(od_mm * 1000, thickness_um, BORE_UM)


def random_problem(seed: int) -> Problem:
    """Two sides that share sizes, lots over several drawers, take-offs, drawers with several sizes.

    Every third problem has one tray for many rows, every fourth a scarce shelf, every fifth a window that is hard or
    impossible to meet; curve and height limits, the lip rule and take-offs come and go.
    """
    random_ = random.Random(seed)
    ods = sorted(random_.sample(range(20, 44, 2), random_.randint(3, 5)), reverse=True)
    positions = _positions(random_, ods)
    scarce = seed % 4 == 0
    rows: list[StockRow] = []
    for od in [*ods, ods[-1] + 1]:
        for thickness in random_.sample(THICKNESS_UM, random_.randint(2, 5)):
            _add_lots(random_, rows, size_of(od, thickness), scarce)
    for position in positions:
        if random_.random() < 0.8 and all(row.size != position.size for row in rows):
            _add_lots(random_, rows, position.size, scarce)
    if seed % 3 == 0:
        rows = [
            StockRow(r.key, r.size, r.available, r.mean_um, "tray", r.newer_days, r.take_off)
            if random_.random() < 0.4
            else r
            for r in rows
        ]
    asked = sum(p.quantity * p.size.thickness_um for p in positions if p.in_height)
    add, half = random_.choice((0, random_.randint(150, 700))), random_.randint(70, 260)
    if seed % 5 == 0:
        half = random_.randint(5, 40)
    middle = asked + add
    lip = Lip(middle - half, middle + half, ods[-1] * 1000, random_.choice(ods[:2]) * 1000, BORE_UM)
    sizes = {row.size for row in rows} | {position.size for position in positions}
    return Problem(
        rows=rows,
        positions=positions,
        spread_um={size: random_.randint(1, 3) for size in sorted(sizes) if random_.random() < 0.9},
        lip=None if random_.random() < 0.2 else lip,
        allow_stand_ins=random_.random() < 0.9,
        allow_take_offs=random_.random() < 0.6,
        curve_limit_ppm=random_.choice((20_000, 100_000, 300_000, 600_000)),
        height_limit_um=random_.choice((None, None, 20, 100)),
    )


def _positions(random_: random.Random, ods: list[int]) -> list[Position]:
    positions = []
    for side in ("compression", "rebound"):
        roles = [Role.FACE, *[Role.TAPER] * random_.randint(1, 2), Role.CLAMP]
        if random_.random() < 0.3:
            roles.insert(1, Role.CROSSOVER)
        places = sorted(random_.choices(ods, k=len(roles)), reverse=True)
        for index, (role, od) in enumerate(zip(roles, places, strict=True)):
            size = size_of(od, random_.choice(THICKNESS_UM))
            positions.append(Position(f"{side}-{index}", size, random_.randint(1, 3), role))
    if random_.random() < 0.3:
        size = random_.choice(positions).size
        positions.append(Position("also-0", size, random_.randint(1, 2), Role.ALSO, in_height=False))
    if random_.random() < 0.3:
        size = size_of(random_.choice(ods), random_.choice(THICKNESS_UM))
        positions.append(Position("base-0", size, random_.randint(1, 2), Role.TAPER, in_height=False))
    return positions


def _add_lots(random_: random.Random, rows: list[StockRow], size: Size, scarce: bool) -> None:
    for _ in range(random_.randint(1, 3)):
        rows.append(
            StockRow(
                f"row-{len(rows)}",
                size,
                random_.randint(0, 2 if scarce else random_.choice((2, 5, 20))),
                size.thickness_um + random_.randint(-4, 4),
                f"drawer-{random_.randint(0, 25)}",
                random_.choice((0, random_.randint(0, 400))),
                random_.random() < 0.25,
            )
        )
