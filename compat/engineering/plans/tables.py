"""The parts of a shelf as they are needed, kept for the allocations and drawers settled that ask for them again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from compat.engineering.plans.costs import Line, Weights
from compat.engineering.plans.needs import Need
from compat.engineering.plans.parts import Part, SpacerDrawer, part_of
from compat.engineering.plans.problem import StockRow
from compat.engineering.plans.spacer_line import SpacerLine
from compat.engineering.plans.ways import Steps, ways_of
from compat.engineering.shims import Size

_Key = tuple[tuple[tuple[Size, Need], ...], tuple[str, ...], int, frozenset[str], frozenset[str]]


class Tables:
    """rows: all that may be drawn, by size. The same rows may serve spacers in every part that is asked for."""

    def __init__(self, rows: Mapping[Size, Sequence[StockRow]], weights: Weights) -> None:
        self.weights = weights
        self._rows, self._steps = rows, Steps()
        self._drawers: dict[Size, frozenset[str]] = {}
        self._made: dict[_Key, tuple[Part, bool] | None] = {}
        self._start = Line.start()
        # by the identity of what they are made from, which they keep alive
        self._lines: dict[tuple[int, int], tuple[Line, Line, Line]] = {}
        self._spacers: dict[tuple[int, str, int], tuple[SpacerLine, SpacerLine]] = {}

    def part(
        self,
        needs: Mapping[Size, Need],
        drawers: Sequence[str],
        own: Sequence[SpacerDrawer],
        high_um: int,
        paid: frozenset[str],
        shut: frozenset[str],
    ) -> tuple[Part, bool] | None:
        """The part of sizes that share drawers, and whether it holds all ways; None where a need cannot be met.

        own: the spacer rows that hang together with it. `paid` drawers are open at no further cost, nothing comes
        from `shut` ones.
        """
        near = frozenset[str]().union(*(self._drawers_of(size) for size in needs)) if paid or shut else frozenset()
        # `own` follows from the rest of the key: it is what the same drawers and sizes have for the spacer
        key = (tuple(needs.items()), tuple(drawers), high_um, paid & near, shut & near)
        if key not in self._made:
            self._made[key] = self._make(needs, drawers, own, high_um, paid, shut)
        return self._made[key]

    def lines(self, parts: Iterable[Part]) -> list[Line]:
        """The lines of no part, of the first one, of the first two joined, ..."""
        lines = [self._start]
        for part in parts:
            before, own = lines[-1], part.line
            key = (id(before), id(own))
            if key not in self._lines:
                self._lines[key] = (before, own, before.joined(own))
            lines.append(self._lines[key][2])
        return lines

    def spacer(self, before: SpacerLine, unit: SpacerDrawer) -> SpacerLine:
        """A spacer line with one more drawer of which the stacks take nothing."""
        opening = 0 if unit.paid else self.weights.drawer
        key = (id(before), unit.rows[0].key, opening)
        if key not in self._spacers:
            self._spacers[key] = (before, before.with_drawer(unit.rows, opening, {}, self.weights))
        return self._spacers[key][1]

    def _drawers_of(self, size: Size) -> frozenset[str]:
        if size not in self._drawers:
            self._drawers[size] = frozenset(row.drawer for row in self._rows[size])
        return self._drawers[size]

    def _make(
        self,
        needs: Mapping[Size, Need],
        drawers: Sequence[str],
        own: Sequence[SpacerDrawer],
        high_um: int,
        paid: frozenset[str],
        shut: frozenset[str],
    ) -> tuple[Part, bool] | None:
        bits = {drawer: 1 << index for index, drawer in enumerate(drawers)}
        for_spacer = {row.key for unit in own for row in unit.rows}
        ways, whole = [], True
        for size, need in needs.items():
            rows = [row for row in self._rows[size] if row.drawer not in shut]
            tight = frozenset(
                row.key
                for row in rows
                if row.key in for_spacer and row.available < need.pieces + high_um // row.mean_um
            )
            size_ways, all_ways = ways_of(rows, need, bits, tight, paid, self.weights, self._steps)
            whole = whole and all_ways
            ways.append(size_ways)
        made = part_of(ways, drawers, own, high_um, self.weights, self._steps)
        return None if made is None else (made[0], whole and made[1])
