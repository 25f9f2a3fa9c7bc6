"""All ways to take what is needed of one size from its rows, the cheapest for every height."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from compat.engineering.plans.costs import Weights
from compat.engineering.plans.needs import Need
from compat.engineering.plans.problem import StockRow

_MOST_STATES = 20_000
MOST_STEPS = 200_000  # of all walks of one search together; a step is a split of a row tried on a state

Picks = tuple[tuple[str, int, int], ...]  # (row, pieces in height, other pieces)
Rest = tuple[tuple[str, int], ...]  # pieces left on the rows where a spacer could want more than is left
Heights = dict[int, tuple[int, Picks]]  # by height over nominal: cost and picks
Ways = dict[tuple[int, Rest], Heights]  # by the shared drawers opened (bits) and the rest


# pieces in height, other pieces, used ones of either, height over nominal, shared drawers opened, rest
_State = tuple[int, int, int, int, int, int, Rest]


class TooManyWays(Exception):
    """The budget of states or of steps is spent."""


@dataclass(slots=True)
class Steps:
    """How many steps the walks of one search may still make: a shelf full of lots of one size has no end of ways."""

    left: int = MOST_STEPS
    of_one: int = 0

    def begin(self) -> None:
        """One walk more: it may take a quarter of what is left, so that others are not left without any."""
        self.of_one = self.left // 4

    def taken(self, number: int) -> bool:
        """Takes so many; False where the walk has not so many left."""
        if number > self.of_one:
            return False
        self.of_one -= number
        self.left -= number
        return True


def ways_of(
    rows: Sequence[StockRow],
    need: Need,
    bits: Mapping[str, int],
    tight: frozenset[str],
    paid: frozenset[str],
    weights: Weights,
    steps: Steps,
) -> tuple[Ways, bool]:
    """The ways of one size, and whether they are all: where `steps` are spent, only the usual ones.

    bits: one bit for every drawer that others share; its opening is paid elsewhere, any other drawer is paid here
    unless it is in `paid`. tight: keys of rows whose rest matters to the spacer.
    """

    def price(row: StockRow, number: int) -> int:
        opening = 0 if row.drawer in bits or row.drawer in paid else weights.drawer
        return opening + number * row.newer_days * weights.day

    steps.begin()
    try:
        return _walk(rows, need, bits, tight, price, _every(need), steps), True
    except TooManyWays:
        ways: Ways = {}
        orders: list[Callable[[StockRow], tuple[int, int, str]]] = [
            lambda row: (0, row.newer_days, row.key),
            lambda row: (0, -row.available, row.key),
            lambda row: (0, row.mean_um, row.key),
            lambda row: (0, -row.mean_um, row.key),
        ]
        for order in orders:
            in_order = sorted(rows, key=order)
            for key, heights in _walk(in_order, need, bits, tight, price, _greedy(in_order, need), None).items():
                into = ways.setdefault(key, {})
                for over, way in heights.items():
                    into[over] = min(into.get(over, way), way)
        return ways, False


Splits = Callable[[StockRow], list[tuple[int, int]]]


def _every(need: Need) -> Splits:
    """Every split of a row between the pieces in height and the others."""

    def splits(row: StockRow) -> list[tuple[int, int]]:
        height, other = need.height, need.other
        if row.take_off:
            height, other = height - need.height_new, other - need.other_new
        return [
            (first, second)
            for first in range(min(height, row.available) + 1)
            for second in range(min(other, row.available - first) + 1)
        ]

    return splits


def _greedy(rows: Sequence[StockRow], need: Need) -> Splits:
    """One split of every row: must-be-new pieces from new rows in order, then the rest from used rows, then new."""
    left = {row.key: row.available for row in rows}
    taken = {row.key: [0, 0] for row in rows}
    new, used = [row for row in rows if not row.take_off], [row for row in rows if row.take_off]
    free = (need.height - need.height_new, need.other - need.other_new)
    for column, number, sources in (
        (0, need.height_new, new),
        (1, need.other_new, new),
        (0, free[0], used + new),
        (1, free[1], used + new),
    ):
        lacking = number
        for row in sources:
            here = min(lacking, left[row.key])
            left[row.key] -= here
            taken[row.key][column] += here
            lacking -= here

    return lambda row: [(taken[row.key][0], taken[row.key][1])]


def _walk(
    rows: Sequence[StockRow],
    need: Need,
    bits: Mapping[str, int],
    tight: frozenset[str],
    price: Callable[[StockRow, int], int],
    splits: Splits,
    steps: Steps | None,
) -> Ways:
    """Row by row; two ways that agree on all that matters later keep the cheaper, then the first by its picks."""
    states: dict[_State, tuple[int, Picks]] = {(0, 0, 0, 0, 0, 0, ()): (0, ())}
    free_height, free_other = need.height - need.height_new, need.other - need.other_new
    still = sum(row.available for row in rows)
    for row in rows:
        still -= row.available
        after: dict[_State, tuple[int, Picks]] = {}
        off, bit, tight_row = row.mean_um - row.size.thickness_um, bits.get(row.drawer, 0), row.key in tight
        choices: list[tuple[int, int, int, Picks]] = [
            (first, second, price(row, first + second), ((row.key, first, second),))
            if first or second
            else (0, 0, 0, ())
            for first, second in splits(row)
        ]
        if steps is not None and not steps.taken(len(states) * len(choices)):
            raise TooManyWays
        for (height, other, used_height, used_other, over, opened, rest), (cost, picks) in states.items():
            most_height, most_other = need.height - height, need.other - other
            lacking = most_height + most_other - still
            if row.take_off:
                most_height = min(most_height, free_height - used_height)
                most_other = min(most_other, free_other - used_other)
            for first, second, more, pick in choices:
                number = first + second
                if number < lacking or first > most_height or second > most_other:
                    continue
                reached = (
                    height + first,
                    other + second,
                    used_height + first * row.take_off,
                    used_other + second * row.take_off,
                    over + first * off,
                    opened | bit if number else opened,
                    (*rest, (row.key, row.available - number)) if tight_row and number else rest,
                )
                way = (cost + more, picks + pick)
                known = after.get(reached)
                if known is None or way < known:
                    after[reached] = way
                    if len(after) > _MOST_STATES:
                        raise TooManyWays
        states = after
    ways: Ways = {}
    for (height, other, _, _, over, opened, rest), way in states.items():
        if height == need.height and other == need.other:
            heights = ways.setdefault((opened, rest), {})
            heights[over] = min(heights.get(over, way), way)
    return ways
