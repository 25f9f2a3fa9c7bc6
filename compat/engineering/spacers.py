"""Spacer shims under the base plate: which pieces of the shelf add up to a height."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

MAX_HEIGHT_UM = 50_000  # no shaft end takes more; it also bounds time and memory
MAX_PREFERENCE = 1_000_000
_NEVER = 1 << 60

_Costs = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Piece:
    """`available` like pieces of one lot in one drawer, each `thickness_um` thick (measured mean).

    `preference` is the cost of using one of them, 0 or more: the shop's wish in numbers, such as days newer than the
    oldest lot. Raises ValueError outside these ranges.
    """

    key: str
    thickness_um: int
    available: int
    preference: int = 0

    def __post_init__(self) -> None:
        if self.thickness_um <= 0:
            raise ValueError(f"piece {self.key}: a thickness is above zero, not {self.thickness_um}")
        if self.available < 0:
            raise ValueError(f"piece {self.key}: available is 0 or more, not {self.available}")
        if not 0 <= self.preference <= MAX_PREFERENCE:
            raise ValueError(f"piece {self.key}: preference is 0..{MAX_PREFERENCE}, not {self.preference}")


@dataclass(frozen=True, slots=True)
class SpacerChoice:
    """Pieces that add up to `total_um`: (key, quantity) in the order the rows were given."""

    total_um: int
    pieces: int
    preference: int
    taken: tuple[tuple[str, int], ...]


def find_spacer(rows: Sequence[Piece], low_um: int, high_um: int, target_um: float) -> SpacerChoice | None:
    """The best spacer with a total inside the window, or None where no choice of pieces ends there.

    rows: what may be used, any number, keys all different. low_um..high_um: the window, whole micrometres, both ends
    included, high_um at most MAX_HEIGHT_UM. target_um: the wished total, whole or half micrometres (rounded to that).
    Best is: nearest the target, then fewest pieces, then the smallest sum of preferences, then the smaller total.
    Using nothing is a choice with total 0. Exact: a bounded knapsack over whole micrometres.
    Raises ValueError for a window above MAX_HEIGHT_UM or a key that occurs twice.
    """
    totals = _nearest_totals(rows, low_um, high_um, target_um, 2)
    if not totals:
        return None
    distances = [abs(2 * total - round(2 * target_um)) for total in totals]
    equally_near = [total for total, distance in zip(totals, distances, strict=True) if distance == distances[0]]
    choices = _cheapest(rows, equally_near)
    return min(choices, key=lambda choice: (choice.pieces, choice.preference, choice.total_um))


def alternatives(
    rows: Sequence[Piece], low_um: int, high_um: int, target_um: float, count: int = 3
) -> list[SpacerChoice]:
    """Up to `count` other totals inside the window, nearest the target first, each with its best pieces.

    Arguments and errors as for `find_spacer`; the choice that it gives back is left out.
    """
    best = find_spacer(rows, low_um, high_um, target_um)
    if best is None or count <= 0:
        return []
    totals = _nearest_totals(rows, low_um, high_um, target_um, count + 1)
    return _cheapest(rows, [total for total in totals if total != best.total_um][:count])


def _nearest_totals(rows: Sequence[Piece], low_um: int, high_um: int, target_um: float, count: int) -> list[int]:
    """Up to `count` totals that can be made inside the window, nearest the target first, the smaller one on a tie."""
    if high_um > MAX_HEIGHT_UM:
        raise ValueError(f"a spacer window ends at {MAX_HEIGHT_UM} um at most, not {high_um}")
    if len({row.key for row in rows}) != len(rows):
        raise ValueError("a row key occurs twice")
    if high_um < max(low_um, 0):
        return []
    reachable = _reachable(rows, high_um) >> max(low_um, 0) << max(low_um, 0)
    middle = min(max(round(2 * target_um) // 2, 0), high_um)
    below, above = reachable & ((2 << middle) - 1), reachable >> (middle + 1) << (middle + 1)
    totals: list[int] = []
    while (below or above) and len(totals) < count:
        lower = below.bit_length() - 1
        upper = (above & -above).bit_length() - 1
        if below and (not above or abs(2 * lower - 2 * target_um) <= abs(2 * upper - 2 * target_um)):
            totals.append(lower)
            below ^= 1 << lower
        else:
            totals.append(upper)
            above ^= 1 << upper
    return totals


def _reachable(rows: Sequence[Piece], high_um: int) -> int:
    """The totals 0..high_um that some choice of pieces makes: bit n of the number stands for n micrometres."""
    by_thickness: dict[int, int] = {}
    for row in rows:
        by_thickness[row.thickness_um] = by_thickness.get(row.thickness_um, 0) + row.available
    reachable, inside = 1, (2 << high_um) - 1
    for thickness, available in by_thickness.items():
        left, step = min(available, high_um // thickness), 1
        while left > 0:  # steps 1, 2, 4, ... and a rest make every number of pieces up to `left`
            step = min(step, left)
            reachable |= (reachable << step * thickness) & inside
            left -= step
            step *= 2
    return reachable


def _cheapest(rows: Sequence[Piece], totals: Sequence[int]) -> list[SpacerChoice]:
    """For each of these reachable totals the choice with fewest pieces, then the smallest sum of preferences.

    Pieces of one thickness are alike but for their preference, so the cheapest go first. One table per thickness
    holds, for every total, the cost as a single number: pieces above, preferences below.
    """
    highest = max(totals, default=0)
    by_thickness: dict[int, list[Piece]] = {}
    for row in sorted(rows, key=lambda row: row.preference):
        if row.available and row.thickness_um <= highest:
            by_thickness.setdefault(row.thickness_um, []).append(row)
    groups = sorted(by_thickness.items(), reverse=True)
    most = highest // groups[-1][0] if groups else 0
    unit = 1 + MAX_PREFERENCE * most
    table: _Costs = np.full(highest + 1, _NEVER, dtype=np.int64)
    table[0] = 0
    tables = [table]
    prices = [_prices(group, highest // thickness, unit) for thickness, group in groups]
    for (thickness, _), price in zip(groups, prices, strict=True):
        before, table = table, table.copy()
        for number in range(1, len(price)):
            shifted = before[: highest + 1 - number * thickness] + price[number]
            np.minimum(table[number * thickness :], shifted, out=table[number * thickness :])
        tables.append(table)
    return [_read_back(rows, groups, prices, tables, total, unit) for total in totals]


def _prices(group: Sequence[Piece], most: int, unit: int) -> list[int]:
    """Cost of taking 0, 1, 2, ... pieces of one thickness, at most `most`; the group is sorted cheapest first."""
    prices = [0]
    for row in group:
        for _ in range(min(row.available, most + 1 - len(prices))):
            prices.append(prices[-1] + unit + row.preference)
    return prices


def _read_back(
    rows: Sequence[Piece],
    groups: Sequence[tuple[int, list[Piece]]],
    prices: Sequence[list[int]],
    tables: Sequence[_Costs],
    total_um: int,
    unit: int,
) -> SpacerChoice:
    """Walk the tables backwards from a total to the pieces that make it."""
    cost = int(tables[-1][total_um])
    left, cost_left, taken = total_um, cost, dict[str, int]()
    for index in range(len(groups) - 1, -1, -1):
        thickness, group = groups[index]
        number = next(
            number
            for number, price in enumerate(prices[index])
            if number * thickness <= left and int(tables[index][left - number * thickness]) + price == cost_left
        )
        left -= number * thickness
        cost_left -= prices[index][number]
        for row in group:
            if number:
                taken[row.key] = min(row.available, number)
                number -= taken[row.key]
    in_order = tuple((row.key, taken[row.key]) for row in rows if row.key in taken)
    return SpacerChoice(total_um, cost // unit, cost % unit, in_order)
