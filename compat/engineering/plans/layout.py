"""One allocation on the shelf with some drawers settled beforehand: tables, then the cheapest way to given heights."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from compat.engineering.plans.costs import NEVER, Costs, Line
from compat.engineering.plans.needs import Need
from compat.engineering.plans.parts import Mode, Part, SpacerDrawer, groups_of
from compat.engineering.plans.problem import StockRow
from compat.engineering.plans.spacer_line import SpacerLine
from compat.engineering.plans.tables import Tables
from compat.engineering.plans.ways import Picks
from compat.engineering.shims import Size

_MOST_NODES = 4_000


@dataclass(frozen=True)
class Chosen:
    """What to take: for the stacks by row (in height, other), for the spacer by row."""

    cost: int
    picks: Picks
    spacer: Mapping[str, int]


def shared_drawers(
    needs: Mapping[Size, Need],
    rows: Mapping[Size, Sequence[StockRow]],
    spacer: Sequence[StockRow],
    paid: frozenset[str],
) -> list[str]:
    """Drawers that more than one row could open: their opening is decided for all of those rows at once."""
    used: dict[str, int] = {}
    for size in needs:
        for row in rows[size]:
            used[row.drawer] = used.get(row.drawer, 0) + 1
    for_spacer = {row.drawer for row in spacer}
    return [drawer for drawer, number in used.items() if drawer not in paid and (number > 1 or drawer in for_spacer)]


class Layout:
    """The tables of one allocation. `paid` drawers are open at no further cost, `shut` ones stay shut.

    rows: what may be drawn from open drawers, by needed size. spacer: rows for the spacer, `high_um` its largest total
    worth a look. `possible` is False where a need cannot be met; `whole` is False where a budget has left ways out.
    """

    def __init__(
        self,
        needs: Mapping[Size, Need],
        rows: Mapping[Size, Sequence[StockRow]],
        spacer: Sequence[StockRow],
        high_um: int,
        paid: frozenset[str],
        shut: frozenset[str],
        tables: Tables,
        base: SpacerLine | None = None,
    ) -> None:
        self.weights, self.whole, self.possible = tables.weights, True, True
        self._nodes = 0
        shared = shared_drawers(needs, rows, spacer, paid)
        plain: list[Part] = []
        self._mixed: list[Part] = []
        units = _units(spacer, paid)
        groups = groups_of(needs, rows, shared)
        owned, units = _owned(units, groups)
        for (sizes, drawers), own in zip(groups, owned, strict=True):
            made = tables.part({size: needs[size] for size in sizes}, drawers, own, high_um, paid, shut)
            if made is None:
                self.possible = False
                return
            part, whole = made
            self.whole = self.whole and whole
            (self._mixed if part.mixed else plain).append(part)
        self._plain, self._lines = plain, tables.lines(plain)
        self._free = base or SpacerLine.start(high_um)
        for unit in units:
            self._free = tables.spacer(self._free, unit)
        # What the mixed parts from an index on can do at best, together with everything that is not mixed
        self._heights_after, self._spacers_after = [self._lines[-1]], [self._free.costs]
        for part in reversed(self._mixed):
            self._heights_after.append(self._heights_after[-1].joined(part.line))
            self._spacers_after.append(_joined(self._spacers_after[-1], part.spacers))
        self._heights_after.reverse()
        self._spacers_after.reverse()

    def overs(self) -> list[int]:
        """Heights over nominal that the stacks can have, in order."""
        line = self._heights_after[0]
        return [line.low + int(index) for index in np.flatnonzero(line.costs < NEVER)]

    def spacer_totals(self, low_um: int, high_um: int) -> list[int]:
        """Totals of a spacer inside the limits that can be made, were the stacks to leave enough."""
        costs = self._spacers_after[0][low_um : high_um + 1]
        return [low_um + int(index) for index in np.flatnonzero(costs < NEVER)]

    def cheapest(self, over: int, total_um: int, below: int = NEVER) -> Chosen | None:
        """The cheapest choice with this height over nominal and this spacer, None unless it costs less than `below`."""
        self._best, self._found = below, None
        self._nodes = 0
        self._try([], Line.start(), None, over, total_um)
        if self._found is None:
            return None
        return self._read_back(self._found, over, total_um)

    _best: int
    _found: list[Mode] | None

    def _try(self, modes: list[Mode], heights: Line, spacers: Costs | None, over: int, total_um: int) -> None:
        """Depth first over the modes of the mixed parts; a branch ends where the rest at its best is no better."""
        self._nodes += 1
        if self._nodes > _MOST_NODES:
            self.whole = False
            return
        depth = len(modes)
        if depth == len(self._mixed):
            cost = self._bound(depth, heights, spacers, over, total_um)
            if cost < self._best:
                self._best, self._found = cost, list(modes)
            return
        children = []
        for index, mode in enumerate(self._mixed[depth].modes):
            child = heights.joined(mode.line)
            if child.best_with(self._heights_after[depth + 1], over) >= self._best:
                continue
            both = mode.spacer.costs if spacers is None else _joined(spacers, mode.spacer.costs)
            bound = self._bound(depth + 1, child, both, over, total_um)
            if bound < self._best:
                children.append((bound, index, child, both))
        for bound, index, child, both in sorted(children, key=lambda entry: entry[:2]):
            if bound < self._best:
                self._try([*modes, self._mixed[depth].modes[index]], child, both, over, total_um)

    def _bound(self, depth: int, heights: Line, spacers: Costs | None, over: int, total_um: int) -> int:
        after = self._spacers_after[depth]
        if spacers is None:
            spacer_cost = int(after[total_um])
        else:
            spacer_cost = int((spacers[: total_um + 1] + after[: total_um + 1][::-1]).min())
        return heights.best_with(self._heights_after[depth], over) + spacer_cost

    def _read_back(self, modes: list[Mode], over: int, total_um: int) -> Chosen:
        picks, spacer = list[tuple[str, int, int]](), dict[str, int]()
        heights, spacers = self._lines[-1], self._free.costs
        stack: list[tuple[Line, Costs]] = []
        for mode in modes:
            stack.append((heights, spacers))
            heights, spacers = heights.joined(mode.line), _joined(spacers, mode.spacer.costs)
        for mode, (line, costs) in zip(reversed(modes), reversed(stack), strict=True):
            here = mode.line.split_with(line, over)
            picks.extend(mode.heights[here][1])
            over -= here
            sums = mode.spacer.costs[: total_um + 1] + costs[: total_um + 1][::-1]
            own = int(sums.argmin())
            spacer.update(mode.spacer.pieces(own, self.weights))
            total_um -= own
        for part, line in zip(reversed(self._plain), reversed(self._lines[:-1]), strict=True):
            here = part.line.split_with(line, over)
            picks.extend(part.modes[0].heights[here][1])
            over -= here
        spacer.update(self._free.pieces(total_um, self.weights))
        return Chosen(self._best, tuple(picks), spacer)


def _units(spacer: Sequence[StockRow], paid: frozenset[str]) -> list[SpacerDrawer]:
    """Spacer rows by drawer; in a drawer that is open anyway every row is on its own."""
    by_drawer: dict[str, list[StockRow]] = {}
    for row in spacer:
        if row.drawer not in paid:
            by_drawer.setdefault(row.drawer, []).append(row)
    closed = [SpacerDrawer(drawer, tuple(rows), False) for drawer, rows in by_drawer.items()]
    return closed + [SpacerDrawer(row.drawer, (row,), True) for row in spacer if row.drawer in paid]


def _owned(
    units: Sequence[SpacerDrawer], groups: Sequence[tuple[list[Size], list[str]]]
) -> tuple[list[list[SpacerDrawer]], list[SpacerDrawer]]:
    """The units that hang together with each group, through a shared drawer or a size, and those with none."""
    by_drawer = {drawer: index for index, (_, drawers) in enumerate(groups) for drawer in drawers}
    by_size = {size: index for index, (sizes, _) in enumerate(groups) for size in sizes}
    owned: list[list[SpacerDrawer]] = [[] for _ in groups]
    free: list[SpacerDrawer] = []
    for unit in units:
        indexes = [by_drawer[unit.drawer]] if unit.drawer in by_drawer else []
        indexes += [by_size[row.size] for row in unit.rows if row.size in by_size]
        (owned[min(indexes)] if indexes else free).append(unit)
    return owned, free


def _joined(first: Costs, second: Costs) -> Costs:
    """The cheapest sum for every total up to the length of both."""
    size = len(first)
    if np.count_nonzero(first < NEVER) < np.count_nonzero(second < NEVER):
        first, second = second, first
    result = np.full(size, NEVER, dtype=np.int64)
    for index in np.flatnonzero(second < NEVER).tolist():
        part = result[index:]
        np.minimum(part, first[: size - index] + second[index], out=part)
    return result
