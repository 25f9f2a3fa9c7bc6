"""One allocation on the shelf with some drawers settled beforehand: tables, then the cheapest way to given heights."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import as_strided

from compat.engineering.plans.costs import NEVER, Costs, Line, Places
from compat.engineering.plans.needs import Need
from compat.engineering.plans.parts import Mode, Part, SpacerDrawer, groups_of
from compat.engineering.plans.problem import StockRow
from compat.engineering.plans.spacer_line import SpacerLine
from compat.engineering.plans.tables import Tables
from compat.engineering.plans.targets import Targets
from compat.engineering.plans.ways import Picks
from compat.engineering.plans.window import Window
from compat.engineering.shims import Size

_MOST_NODES = 4_000
_FEW = 16  # places of a table, up to which one by one is quicker than all in one go
_CELLS = 200_000  # of the sums that are made in one go


@dataclass(frozen=True)
class Chosen:
    """What to take: for the stacks by row (in height, other), for the spacer by row; the height over nominal and the
    total of the spacer that this makes."""

    cost: int
    over: int
    total_um: int
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

    def spacer_totals(self, window: Window) -> Places:
        """Totals of a spacer inside the window that can be made, were the stacks to leave enough; 0 alone where none is
        needed."""
        if not window.needed:
            return np.zeros(1, dtype=np.int64)
        costs = self._spacers_after[0][window.add_min : window.add_max + 1]
        return window.add_min + np.flatnonzero(costs < NEVER)

    def cheapest(self, targets: Targets, below: int = NEVER) -> Chosen | None:
        """The cheapest choice that meets one of these targets, None unless it costs less than `below`."""
        self._best, self._found = below, None
        self._nodes = 0
        own = self._lines[0].best_with(self._heights_after[0], targets.overs)
        self._keep_or_go_on([], targets, own, self._spacers_after[0][targets.totals], self._lines[0], None)
        if self._found is None:
            return None
        return self._read_back(*self._found)

    _best: int
    _found: tuple[list[Mode], int, int] | None

    def _keep_or_go_on(
        self, modes: list[Mode], targets: Targets, own: Costs, of_spacers: Costs, heights: Line, spacers: Costs | None
    ) -> None:
        """own, of_spacers: the least cost of each height and of each spacer total with these modes."""
        cost = targets.cheapest(own, of_spacers)
        if cost >= self._best:
            return
        if len(modes) < len(self._mixed):
            self._try(modes, heights, spacers, targets)
        else:
            self._best, self._found = cost, (modes, *targets.best(own, of_spacers))

    def _try(self, modes: list[Mode], heights: Line, spacers: Costs | None, targets: Targets) -> None:
        """Depth first over the modes of the mixed parts; a branch ends where the rest at its best is no better."""
        self._nodes += 1
        if self._nodes > _MOST_NODES:
            self.whole = False
            return
        depth = len(modes)
        rest = heights.joined(self._heights_after[depth + 1])
        after = self._spacers_after[depth + 1]
        of_rest = after if spacers is None else _joined(spacers, after)
        children = []
        for index, mode in enumerate(self._mixed[depth].modes):
            own = mode.line.best_with(rest, targets.overs)
            if int(own.min()) >= self._best:
                continue
            of_spacers = _best_at(mode.spacer.costs, of_rest, targets.totals)
            bound = targets.cheapest(own, of_spacers)
            if bound < self._best:
                children.append((bound, index, own, of_spacers))
        deeper = depth + 1 < len(self._mixed)
        for bound, index, own, of_spacers in sorted(children, key=lambda entry: entry[:2]):
            if bound >= self._best:
                break
            mode = self._mixed[depth].modes[index]
            line, both = heights, spacers
            if deeper:
                line = heights.joined(mode.line)
                both = mode.spacer.costs if spacers is None else _joined(spacers, mode.spacer.costs)
            self._keep_or_go_on([*modes, mode], targets, own, of_spacers, line, both)

    def _read_back(self, modes: list[Mode], over: int, total_um: int) -> Chosen:
        met = over, total_um
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
        return Chosen(self._best, *met, tuple(picks), spacer)


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
    places = np.flatnonzero(second < NEVER)
    if len(places) < _FEW:
        for index in places.tolist():
            part = result[index:]
            np.minimum(part, first[: size - index] + second[index], out=part)
        return result
    # a row of `shifted` for each shift of the first: many at once, in one go
    framed = np.full(2 * size - 1, NEVER, dtype=np.int64)
    framed[size - 1 :] = first
    shifted = as_strided(framed, (size, size), framed.strides * 2, writeable=False)
    together = max(_CELLS // size, 1)
    for start in range(0, len(places), together):
        here = places[start : start + together]
        sums = shifted[size - 1 - here]
        sums += second[here, None]
        np.minimum(result, sums.min(axis=0), out=result)
    return result


def _best_at(first: Costs, second: Costs, totals: Places) -> Costs:
    """The cheapest sum for each of these totals, a part of it here and the rest there; NEVER where there is none."""
    if np.count_nonzero(first < NEVER) > np.count_nonzero(second < NEVER):
        first, second = second, first
    own = np.flatnonzero(first < NEVER)
    if not len(own):
        return np.full(len(totals), NEVER, dtype=np.int64)
    best: Costs = (Line(0, second).at_all(totals - own[:, None]) + first[own][:, None]).min(axis=0)
    return np.minimum(best, NEVER)
