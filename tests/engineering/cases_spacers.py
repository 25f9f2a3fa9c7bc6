"""Random shelves and windows for the spacer search, the same ones for the same seed."""

from __future__ import annotations

import random
from dataclasses import dataclass

from compat.engineering.pieces import Piece

NOMINAL_UM = (80, 100, 110, 120, 150, 200, 250, 300, 400)


@dataclass(frozen=True)
class SpacerCase:
    rows: tuple[Piece, ...]
    low_um: int
    high_um: int
    target_um: float


def random_case(seed: int, most_rows: int) -> SpacerCase:
    """A shelf of 1..most_rows lots; every fourth case has few pieces, every fifth a window of 0..3
    micrometres, every eighth at most 4 lots. Every third shelf keeps several lots in one drawer."""
    random_ = random.Random(seed)
    count = random_.randint(1, 4 if seed % 8 == 0 else most_rows)
    most_pieces = 2 if seed % 4 == 0 else 40
    rows = tuple(
        Piece(
            f"lot-{number}",
            max(1, random_.choice(NOMINAL_UM) + random_.randint(-8, 8)),
            random_.randint(0, most_pieces),
            random_.choice((0, random_.randint(0, 2000))),
            f"drawer-{number % max(2, count // 3) if seed % 3 == 0 else number}",
        )
        for number in range(count)
    )
    low = random_.randint(0, 1400)
    high = low + (random_.randint(0, 3) if seed % 5 == 0 else random_.randint(0, 300))
    return SpacerCase(rows, low, high, (low + high) / 2)


def workshop_case(seed: int) -> SpacerCase:
    """One lot of each of five stock thicknesses, and a window that some of them fill."""
    random_ = random.Random(seed)
    rows = tuple(
        Piece(f"lot-{nominal}", nominal + random_.randint(-2, 2), random_.randint(5, 40))
        for nominal in (80, 100, 150, 200, 300)
    )
    low = random_.randint(500, 2500)
    high = low + random_.randint(200, 600)
    return SpacerCase(rows, low, high, (low + high) / 2)
