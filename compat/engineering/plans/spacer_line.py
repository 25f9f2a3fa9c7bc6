"""The cheapest spacer for every total height, drawer by drawer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from compat.engineering.plans.costs import NEVER, Costs, Weights
from compat.engineering.plans.problem import StockRow


class SpacerLine:
    """`costs[t]` is the cheapest way to a spacer of t micrometres from the drawers added so far.

    Built by `with_drawer`, each step a new line that keeps the one before it, so that pieces can be read back.
    """

    def __init__(
        self,
        costs: Costs,
        before: SpacerLine | None = None,
        rows: Sequence[StockRow] = (),
        opening: int = 0,
        rest: Mapping[str, int] | None = None,
    ) -> None:
        self.costs = costs
        self._before, self._rows, self._opening, self._rest = before, rows, opening, rest or {}

    @classmethod
    def start(cls, high_um: int) -> SpacerLine:
        costs = np.full(high_um + 1, NEVER, dtype=np.int64)
        costs[0] = 0
        return cls(costs)

    def with_drawer(
        self, rows: Sequence[StockRow], opening: int, rest: Mapping[str, int], weights: Weights
    ) -> SpacerLine:
        """This line with one more drawer: opening: what it costs to take anything from it; rest: pieces left of a row
        by its key (all that is available where it is not named)."""
        steps = self._steps(rows, opening, rest, weights)
        costs = np.minimum(self.costs, steps[-1])
        return SpacerLine(costs, self, rows, opening, rest)

    def _steps(self, rows: Sequence[StockRow], opening: int, rest: Mapping[str, int], weights: Weights) -> list[Costs]:
        """The costs with the drawer open and none, one, two, ... of its rows used."""
        steps = [self.costs + opening]
        size = len(self.costs)
        for row in rows:
            after = steps[-1].copy()
            price = row.newer_days * weights.day + weights.piece
            left, step = _most(row, rest, size - 1), 1
            while left > 0:  # steps 1, 2, 4, ... and a rest make every number of pieces up to `left`
                step = min(step, left)
                shift = step * row.mean_um
                after[shift:] = np.minimum(after[shift:], after[: size - shift] + step * price)
                left -= step
                step *= 2
            steps.append(after)
        return steps

    def pieces(self, total_um: int, weights: Weights) -> dict[str, int]:
        """Row key to number of the cheapest spacer of this height."""
        taken: dict[str, int] = {}
        line, left = self, total_um
        while line._before is not None:
            before = line._before
            if int(line.costs[left]) != int(before.costs[left]):
                steps = before._steps(line._rows, line._opening, line._rest, weights)
                for index in range(len(line._rows) - 1, -1, -1):
                    row = line._rows[index]
                    price = row.newer_days * weights.day + weights.piece
                    number = next(
                        number
                        for number in range(_most(row, line._rest, left) + 1)
                        if int(steps[index][left - number * row.mean_um]) + number * price
                        == int(steps[index + 1][left])
                    )
                    if number:
                        taken[row.key] = number
                    left -= number * row.mean_um
            line = before
        return taken


def _most(row: StockRow, rest: Mapping[str, int], high_um: int) -> int:
    return min(rest.get(row.key, row.available), high_um // row.mean_um)
