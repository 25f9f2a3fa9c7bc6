"""The shelf cut into parts that share no drawer, so that each can be tabled alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from compat.engineering.plans.costs import NEVER, Costs, Line, Weights
from compat.engineering.plans.needs import Need
from compat.engineering.plans.problem import StockRow
from compat.engineering.plans.spacer_line import SpacerLine
from compat.engineering.plans.ways import Heights, Rest, Steps, Ways
from compat.engineering.shims import Size

_MOST_MODES = 600
_MODE_STEPS = 20  # what a mode takes, in steps of ways, and every row in its line of spacers


@dataclass(frozen=True)
class SpacerDrawer:
    """Rows of one drawer that a spacer may use; `paid` where the drawer is open already."""

    drawer: str
    rows: tuple[StockRow, ...]
    paid: bool


@dataclass(frozen=True)
class Mode:
    """One set of shared drawers opened for the stacks and one rest of the rows that are scarce.

    Inside a mode the heights of the stacks and the spacer are independent of each other: that is what modes are for.
    """

    heights: Heights
    line: Line
    spacer: SpacerLine


@dataclass(frozen=True)
class Part:
    """Sizes that share drawers, with the spacer rows of those drawers where it is `mixed`.

    `line` is the cheapest cost for every height over nominal whatever the mode; `spacers` the least that a spacer of
    every total adds to it.
    """

    modes: Sequence[Mode]
    mixed: bool
    line: Line
    spacers: Costs

    @classmethod
    def plain(cls, heights: Heights) -> Part:
        """Without spacer rows only the heights matter, so one mode holds them all."""
        line, no_spacer = _line(heights), SpacerLine.start(0)
        return cls([Mode(heights, line, no_spacer)], False, line, no_spacer.costs)

    @classmethod
    def of(cls, modes: Sequence[Mode]) -> Part:
        best: dict[int, int] = {}
        for mode in modes:
            for over, (cost, _) in mode.heights.items():
                best[over] = min(best.get(over, cost), cost)
        line = Line.of(best)
        spacers = np.full_like(modes[0].spacer.costs, NEVER)
        for mode in modes:
            slack = min(cost - line.at(over) for over, (cost, _) in mode.heights.items())
            np.minimum(spacers, mode.spacer.costs + slack, out=spacers)
        return cls(modes, True, line, spacers)


class _Spacers:
    """The spacer lines of the modes of one part, those that begin alike made once."""

    def __init__(self, drawers: Sequence[SpacerDrawer], high_um: int, weights: Weights) -> None:
        self._drawers, self._weights, self._start = drawers, weights, SpacerLine.start(high_um)
        self._made: dict[tuple[object, ...], SpacerLine] = {}  # by what the drawers so far cost to open and have left

    def line(self, opened: frozenset[str], rest: Mapping[str, int]) -> SpacerLine:
        line, so_far = self._start, tuple[object, ...]()
        for drawer in self._drawers:
            opening = 0 if drawer.paid or drawer.drawer in opened else self._weights.drawer
            so_far = (*so_far, opening, *(rest.get(row.key) for row in drawer.rows))
            line = self._made.get(so_far) or line.with_drawer(drawer.rows, opening, rest, self._weights)
            self._made[so_far] = line
        return line


def groups_of(
    needs: Mapping[Size, Need], rows: Mapping[Size, Sequence[StockRow]], shared: Sequence[str]
) -> list[tuple[list[Size], list[str]]]:
    """The sizes that hang together through shared drawers, each group with those drawers."""
    group: dict[Size, int] = {size: index for index, size in enumerate(needs)}
    sizes_in: dict[str, list[Size]] = {drawer: [] for drawer in shared}
    for size in needs:
        for row in rows[size]:
            if row.drawer in sizes_in:
                sizes_in[row.drawer].append(size)
    for sizes in sizes_in.values():
        joined = {group[size] for size in sizes}
        if len(joined) == 1:
            continue
        for size, number in group.items():
            if number in joined:
                group[size] = min(joined)
    result: dict[int, tuple[list[Size], list[str]]] = {}
    for size, number in group.items():
        result.setdefault(number, ([], []))[0].append(size)
    for drawer, sizes in sizes_in.items():
        result[group[sizes[0]]][1].append(drawer)
    return list(result.values())


def part_of(
    ways: Sequence[Ways],
    shared: Sequence[str],
    drawers: Sequence[SpacerDrawer],
    high_um: int,
    weights: Weights,
    steps: Steps,
) -> tuple[Part, bool] | None:
    """One part from the ways of its sizes, and whether all its modes are in it; None where a size has no way.

    drawers: the spacer rows that hang together with it; high_um: the largest spacer worth a look. Where `steps` are
    spent it has the modes found so far, and one at least.
    """
    if not all(ways):
        return None
    if len(ways) == 1 and not shared and not drawers:  # one size alone has one mode, as it is
        ((_, only),) = ways[0].items()
        return Part.plain(only), True
    unions, whole = _unions(ways)
    spacers = _Spacers(drawers, high_um, weights)
    modes: list[Mode] = []
    joined: Heights = {}
    steps.begin()
    of_mode = _MODE_STEPS * sum(len(drawer.rows) for drawer in drawers)
    for opened, combination in _combinations(ways, unions, shared):
        if drawers and modes and (len(modes) >= _MOST_MODES or not steps.taken(of_mode)):
            whole = False
            break
        heights: Heights = {0: (len(opened) * weights.drawer, ())}
        rest: dict[str, int] = {}
        for size_rest, size_heights in combination:
            heights = _sum(heights, size_heights)
            rest.update(size_rest)
        if drawers:
            modes.append(Mode(heights, _line(heights), spacers.line(opened, rest)))
        else:
            for over, way in heights.items():
                joined[over] = min(joined.get(over, way), way)
    if drawers:
        return (Part.of(modes), whole) if modes else None
    return (Part.plain(joined), whole) if joined else None


def _combinations(
    ways: Sequence[Ways], unions: Iterable[int], shared: Sequence[str]
) -> Iterator[tuple[frozenset[str], tuple[tuple[Rest, Heights], ...]]]:
    """Each union of shared drawers with each choice of the rests that its sizes can leave."""
    for union in unions:
        opened = frozenset(drawer for bit, drawer in enumerate(shared) if union >> bit & 1)
        choices = [_inside(size_ways, union).items() for size_ways in ways]
        yield from ((opened, combination) for combination in product(*choices))


def _unions(ways: Sequence[Ways]) -> tuple[list[int], bool]:
    """The sets of shared drawers (bits) that the sizes can open together, fewest first, and whether they are all."""
    unions, whole = {0}, True
    for size_ways in ways:
        unions = {union | opened for union in unions for opened, _ in size_ways}
        if len(unions) > _MOST_MODES:
            every = 0
            for union in unions:
                every |= union
            ordered = sorted(unions, key=lambda union: (union.bit_count(), union))
            unions, whole = {*ordered[: _MOST_MODES // 2], every}, False
    return sorted(unions, key=lambda union: (union.bit_count(), union)), whole


def _inside(ways: Ways, union: int) -> dict[Rest, Heights]:
    """The ways of a size that open no drawer outside the union, by their rest."""
    inside: dict[Rest, Heights] = {}
    for (opened, rest), heights in ways.items():
        if opened & ~union == 0:
            into = inside.setdefault(rest, {})
            for over, way in heights.items():
                into[over] = min(into.get(over, way), way)
    return inside


def _sum(first: Heights, second: Heights) -> Heights:
    total: Heights = {}
    for over, (cost, picks) in first.items():
        for other_over, (other_cost, other_picks) in second.items():
            way = (cost + other_cost, picks + other_picks)
            at = over + other_over
            if at not in total or way < total[at]:
                total[at] = way
    return total


def _line(heights: Heights) -> Line:
    return Line.of({over: cost for over, (cost, _) in heights.items()})
