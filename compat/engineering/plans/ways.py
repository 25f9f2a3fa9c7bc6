"""All ways to take what is needed of one size from its rows, the cheapest for every height."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from compat.engineering.plans.costs import Weights
from compat.engineering.plans.needs import Need
from compat.engineering.plans.problem import StockRow

_MOST_STATES = 20_000

Picks = tuple[tuple[str, int, int], ...]  # (row, pieces in height, other pieces)
Rest = tuple[tuple[str, int], ...]  # pieces left on the rows where a spacer could want more than is left
Heights = dict[int, tuple[int, Picks]]  # by height over nominal: cost and picks
Ways = dict[tuple[int, Rest], Heights]  # by the shared drawers opened (bits) and the rest


class _State(NamedTuple):
    height: int
    other: int
    used_height: int
    used_other: int
    over: int
    opened: int
    rest: Rest


class TooManyWays(Exception):
    """The budget of states is spent."""


def ways_of(
    rows: Sequence[StockRow],
    need: Need,
    bits: Mapping[str, int],
    tight: frozenset[str],
    paid: frozenset[str],
    weights: Weights,
) -> tuple[Ways, bool]:
    """The ways of one size, and whether they are all.

    bits: one bit for every drawer that others share; its opening is paid elsewhere, any other drawer is paid here
    unless it is in `paid`. tight: keys of rows whose rest matters to the spacer.
    """

    def price(row: StockRow, number: int) -> int:
        opening = 0 if row.drawer in bits or row.drawer in paid else weights.drawer
        return opening + number * row.newer_days * weights.day

    try:
        return _walk(rows, need, bits, tight, price, _every(need)), True
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
            for key, heights in _walk(in_order, need, bits, tight, price, _greedy(in_order, need)).items():
                into = ways.setdefault(key, {})
                for over, way in heights.items():
                    into[over] = min(into.get(over, way), way)
        return ways, False


Options = Callable[[StockRow, _State], Iterator[tuple[int, int]]]


def _every(need: Need) -> Options:
    """Every split of a row between the pieces in height and the others."""

    def options(row: StockRow, state: _State) -> Iterator[tuple[int, int]]:
        height, other = need.height - state.height, need.other - state.other
        if row.take_off:
            height = min(height, need.height - need.height_new - state.used_height)
            other = min(other, need.other - need.other_new - state.used_other)
        for first in range(min(height, row.available) + 1):
            for second in range(min(other, row.available - first) + 1):
                yield first, second

    return options


def _greedy(rows: Sequence[StockRow], need: Need) -> Options:
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
        for row in sources:
            here = min(number, left[row.key])
            left[row.key] -= here
            taken[row.key][column] += here
            number -= here

    def options(row: StockRow, state: _State) -> Iterator[tuple[int, int]]:
        yield taken[row.key][0], taken[row.key][1]

    return options


def _walk(
    rows: Sequence[StockRow],
    need: Need,
    bits: Mapping[str, int],
    tight: frozenset[str],
    price: Callable[[StockRow, int], int],
    options: Options,
) -> Ways:
    """Row by row; two ways that agree on all that matters later keep the cheaper, then the first by its picks."""
    states: dict[_State, tuple[int, Picks]] = {_State(0, 0, 0, 0, 0, 0, ()): (0, ())}
    still = sum(row.available for row in rows)
    for row in rows:
        still -= row.available
        after: dict[_State, tuple[int, Picks]] = {}
        nominal = row.size.thickness_um
        for state, (cost, picks) in states.items():
            lacking = need.pieces - state.height - state.other - still
            for first, second in options(row, state):
                number = first + second
                if number < lacking:
                    continue
                rest = (*state.rest, (row.key, row.available - number)) if row.key in tight else state.rest
                reached = _State(
                    state.height + first,
                    state.other + second,
                    state.used_height + first * row.take_off,
                    state.used_other + second * row.take_off,
                    state.over + first * (row.mean_um - nominal),
                    state.opened | (bits.get(row.drawer, 0) if number else 0),
                    rest,
                )
                way = (cost + price(row, number), (*picks, (row.key, first, second))) if number else (cost, picks)
                if reached not in after or way < after[reached]:
                    after[reached] = way
                    if len(after) > _MOST_STATES:
                        raise TooManyWays
        states = after
    ways: Ways = {}
    for state, way in states.items():
        if state.height == need.height and state.other == need.other:
            heights = ways.setdefault((state.opened, state.rest), {})
            heights[state.over] = min(heights.get(state.over, way), way)
    return ways
