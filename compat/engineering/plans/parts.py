"""The shelf cut into parts that share no drawer, so that each can be tabled alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np

from compat.engineering.plans.costs import NEVER, Line, Weights
from compat.engineering.plans.needs import Need
from compat.engineering.plans.problem import StockRow
from compat.engineering.plans.spacer_line import SpacerLine
from compat.engineering.plans.ways import Heights, Rest, Ways
from compat.engineering.shims import Size

_MOST_MODES = 600


@dataclass(frozen=True)
class SpacerDrawer:
    """Rows of one drawer that a spacer may use; `paid` where the drawer is open already."""

    drawer: str
    rows: tuple[StockRow, ...]
    paid: bool


@dataclass
class Mode:
    """One set of shared drawers opened for the stacks and one rest of the rows that are scarce.

    Inside a mode the heights of the stacks and the spacer are independent of each other: that is what modes are for.
    """

    opened: frozenset[str]
    rest: Mapping[str, int]
    heights: Heights
    line: Line
    spacer: SpacerLine | None = None


@dataclass
class Part:
    """Sizes that share drawers, with the spacer rows of those drawers.

    `line` is the cheapest cost for every height over nominal whatever the mode; `spacers` the least that a spacer of
    every total adds to it.
    """

    modes: list[Mode]
    drawers: tuple[SpacerDrawer, ...]
    line: Line
    spacers: np.ndarray[tuple[int], np.dtype[np.int64]] | None = None
    slack: list[int] = field(default_factory=list)

    @property
    def mixed(self) -> bool:
        return bool(self.drawers)

    def add_spacers(self, high_um: int, weights: Weights) -> None:
        """Table the spacers of every mode up to a total."""
        least = np.full(high_um + 1, NEVER, dtype=np.int64)
        for mode in self.modes:
            line = SpacerLine.start(high_um)
            for drawer in self.drawers:
                opening = 0 if drawer.paid or drawer.drawer in mode.opened else weights.drawer
                line = line.with_drawer(drawer.rows, opening, mode.rest, weights)
            mode.spacer = line
            slack = min(cost - self.line.at(over) for over, (cost, _) in mode.heights.items())
            np.minimum(least, line.costs + slack, out=least)
        self.spacers = least


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
    ways: Sequence[Ways], shared: Sequence[str], drawers: Sequence[SpacerDrawer], weights: Weights
) -> tuple[Part, bool] | None:
    """One part from the ways of its sizes, and whether all its modes are in it; None where a size has no way."""
    if not all(ways):
        return None
    unions = {0}
    whole = True
    for size_ways in ways:
        unions = {union | opened for union in unions for opened, _ in size_ways}
        if len(unions) > _MOST_MODES:
            every = 0
            for union in unions:
                every |= union
            ordered = sorted(unions, key=lambda union: (union.bit_count(), union))
            unions, whole = {*ordered[: _MOST_MODES // 2], every}, False
    modes: list[Mode] = []
    joined: dict[int, tuple[int, tuple[tuple[str, int, int], ...]]] = {}
    for union in sorted(unions, key=lambda union: (union.bit_count(), union)):
        opened = frozenset(drawer for bit, drawer in enumerate(shared) if union >> bit & 1)
        choices = [_inside(size_ways, union) for size_ways in ways]
        for combination in product(*(choice.items() for choice in choices)):
            heights: Heights = {0: (len(opened) * weights.drawer, ())}
            rest: dict[str, int] = {}
            for size_rest, size_heights in combination:
                heights = _sum(heights, size_heights)
                rest.update(size_rest)
            if not drawers:  # without spacer rows only the heights matter, so one mode holds them all
                for over, way in heights.items():
                    joined[over] = min(joined.get(over, way), way)
            elif len(modes) < _MOST_MODES:
                modes.append(Mode(opened, rest, heights, _line(heights)))
            else:
                whole = False
    if not drawers:
        modes = [Mode(frozenset(), {}, joined, _line(joined))] if joined else []
    if not modes:
        return None
    best: dict[int, int] = {}
    for mode in modes:
        for over, (cost, _) in mode.heights.items():
            best[over] = min(best.get(over, cost), cost)
    return Part(modes, tuple(drawers), Line.of(best)), whole


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
