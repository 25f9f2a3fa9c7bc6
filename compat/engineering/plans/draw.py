"""The best pieces for one allocation: criteria 6 and 7 first, as targets, then the cheapest way to meet one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, groupby

from compat.engineering.plans.allocate import Allocation
from compat.engineering.plans.costs import NEVER, Weights
from compat.engineering.plans.layout import Chosen, Layout, shared_drawers
from compat.engineering.plans.needs import Need, Needs, needs_of
from compat.engineering.plans.order import height_steps
from compat.engineering.plans.parts import groups_of
from compat.engineering.plans.problem import StockRow
from compat.engineering.plans.shelf import Shelf
from compat.engineering.plans.spacer_line import SpacerLine
from compat.engineering.plans.tables import Tables
from compat.engineering.plans.targets import Targets
from compat.engineering.plans.window import Window
from compat.engineering.shims import Size

_MOST_SHARED = 6  # drawers of one part; above it the busiest drawers are settled beforehand, open or shut
_MOST_HUBS = 4
_MOST_TARGETS = 60  # groups of targets tried until one can be drawn
_MOST_SPACER_UM = 20_000


@dataclass(frozen=True)
class Drawn:
    """The pieces for an allocation; `no_spacer` where one is needed or may be, and cannot be made."""

    allocation: Allocation
    needs: Needs
    no_spacer: bool
    chosen: Chosen


class Drawer:
    """Draws allocations of one shelf. `cut` says that a budget left something out; `tabled` counts the
    allocations tried."""

    def __init__(self, shelf: Shelf) -> None:
        self._shelf, self._problem = shelf, shelf.problem
        self.cut = False
        self.tabled = 0
        lip = self._problem.lip
        self._spacer_rows = shelf.spacer_rows(lip) if lip else []
        drawn = sum(position.quantity for position in self._problem.positions)
        newest = max((row.newer_days for row in shelf.rows), default=0)
        thinnest = min((row.mean_um for row in self._spacer_rows), default=_MOST_SPACER_UM)
        drawers = len({row.drawer for row in shelf.rows})
        self._weights = Weights.for_at_most(4 * drawn, _MOST_SPACER_UM // thinnest, newest, drawers)
        # Spacer drawers that no stack can draw on are the same in every allocation: one table serves them all
        families = {size for sizes in shelf.families.values() for size in sizes}
        wanted = {row.drawer for size in families for row in shelf.by_size[size]}
        self._apart = [row for row in self._spacer_rows if row.drawer not in wanted]
        self._near = [row for row in self._spacer_rows if row.drawer in wanted]
        self._base: SpacerLine | None = None
        self._tables = Tables(shelf.by_size, self._weights)

    def draw(self, allocation: Allocation) -> Drawn | None:
        """The best pieces, None where the allocation has stand-ins and cannot meet the lip or the height limit."""
        needs = needs_of(self._problem, allocation)
        self.tabled += 1
        rows = {size: self._shelf.by_size[size] for size in needs.by_size}
        hubs, settled = self._hubs(needs.by_size, rows)
        if not settled:
            self.cut = True
        easiest = self._layout(needs.by_size, rows, frozenset(hubs), frozenset(), needs)
        if not easiest.possible:
            return None
        self.cut = self.cut or not easiest.whole
        layouts = list(self._patterns(needs, rows, hubs, easiest))
        for tried, (no_spacer, targets) in enumerate(self._targets(needs, allocation, easiest)):
            if tried >= _MOST_TARGETS:
                self.cut = True
                break
            best: Chosen | None = None
            limit = NEVER
            for layout, opening in layouts:
                chosen = layout.cheapest(targets, limit - opening)
                self.cut = self.cut or not layout.whole
                if chosen is not None:
                    best, limit = chosen, chosen.cost + opening
            if best is not None:
                return Drawn(allocation, needs, no_spacer, best)
        return None

    def _layout(
        self,
        by_size: Mapping[Size, Need],
        rows: Mapping[Size, Sequence[StockRow]],
        paid: frozenset[str],
        shut: frozenset[str],
        needs: Needs,
    ) -> Layout:
        spacer, high, base = self._near, self._highest(needs), None
        if high == 0:
            spacer = []
        elif self._base is None or len(self._base.costs) != high + 1:
            base = SpacerLine.start(high)
            by_drawer: dict[str, list[StockRow]] = {}
            for row in self._apart:
                by_drawer.setdefault(row.drawer, []).append(row)
            for in_drawer in by_drawer.values():
                base = base.with_drawer(in_drawer, self._weights.drawer, {}, self._weights)
            self._base = base
        if high:
            base = self._base
        open_rows, open_spacer = rows, spacer
        if shut:
            open_rows = {size: [row for row in rows[size] if row.drawer not in shut] for size in by_size}
            open_spacer = [row for row in spacer if row.drawer not in shut]
        return Layout(by_size, open_rows, open_spacer, high, paid, shut, self._tables, base)

    def _highest(self, needs: Needs) -> int:
        """The largest spacer that any height of this allocation could want; steps of 64 so that tables are shared."""
        lip = self._problem.lip
        if lip is None:
            return 0
        lowest = needs.height_um
        for size, need in needs.by_size.items():
            lowest += need.height * (min(row.mean_um for row in self._shelf.by_size[size]) - size.thickness_um)
        shelf = sum(row.available * row.mean_um for row in self._spacer_rows)
        wanted = lip.ceiling_um - lowest - needs.spread_um
        if min(wanted, shelf) > _MOST_SPACER_UM:
            self.cut = True
        high = max(0, min(wanted, shelf, _MOST_SPACER_UM))
        return -(-high // 64) * 64

    def _hubs(self, by_size: Mapping[Size, Need], rows: Mapping[Size, Sequence[StockRow]]) -> tuple[list[str], bool]:
        """The drawers to settle beforehand, and whether all of them can be tried both ways.

        Those beyond the budget are taken as open at no cost, which leaves the plan right but perhaps not the best.
        """
        hubs: list[str] = []
        while True:
            paid = frozenset(hubs)
            shared = shared_drawers(by_size, rows, self._near, paid)
            groups = groups_of(by_size, rows, shared)
            _, drawers = max(groups, key=lambda group: len(group[1]), default=([], []))
            if len(drawers) <= _MOST_SHARED:
                return hubs, len(hubs) <= _MOST_HUBS
            degree = dict.fromkeys(drawers, 0)
            for size in by_size:
                for drawer in {row.drawer for row in rows[size]}:
                    if drawer in degree:
                        degree[drawer] += 1
            # Many at once where there are many too many: one by one would take as long as they are many, squared
            most = max(1, (len(drawers) - _MOST_SHARED) // 8)
            hubs += sorted(drawers, key=lambda drawer: (degree[drawer], drawer), reverse=True)[:most]

    def _patterns(
        self, needs: Needs, rows: Mapping[Size, Sequence[StockRow]], hubs: Sequence[str], easiest: Layout
    ) -> Iterator[tuple[Layout, int]]:
        """Every choice of hubs open and shut, with what opening them costs; fewest open first."""
        settled, spare = list(hubs[:_MOST_HUBS]), frozenset(hubs[_MOST_HUBS:])
        for number in range(len(settled) + 1):
            for opened in combinations(settled, number):
                opening = number * self._weights.drawer
                if number == len(settled):
                    yield easiest, opening
                    continue
                paid = frozenset(opened) | spare
                layout = self._layout(needs.by_size, rows, paid, frozenset(settled) - paid, needs)
                if layout.possible:
                    yield layout, opening

    def _targets(self, needs: Needs, allocation: Allocation, layout: Layout) -> Iterator[tuple[bool, Targets]]:
        """Targets that are alike in criteria 1, 6 and 7, best first, and whether they go without a needed spacer."""
        lip, limit = self._problem.lip, self._problem.height_limit_um
        changes = [(needs.height_um + over - needs.asked_um, over) for over in layout.overs()]
        if allocation.stand_ins and limit is not None:
            changes = [(change, over) for change, over in changes if abs(change) <= limit]
        changes.sort(key=lambda entry: (abs(entry[0]), entry[1]))
        by_height = [
            [over for _, over in group] for _, group in groupby(changes, key=lambda entry: height_steps(entry[0]))
        ]
        for overs in by_height:
            if lip is None:
                yield False, Targets.without_spacer(overs)
                continue
            windows = [(over, Window.at(lip, needs.height_um + over, needs.spread_um)) for over in overs]
            totals = [(over, window, layout.spacer_totals(window)) for over, window in windows if not window.closed]
            for targets in Targets.by_steps(totals):
                yield False, targets
        if lip is not None and not allocation.stand_ins:
            for overs in by_height:
                yield True, Targets.without_spacer(overs)
