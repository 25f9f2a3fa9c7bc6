"""Heights over nominal and spacer totals that count alike in criteria 6 and 7 of the written order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from compat.engineering.plans.costs import NEVER, Costs, Places
from compat.engineering.plans.window import Window
from compat.engineering.spacers import steps_off


@dataclass(frozen=True)
class Targets:
    """Pairs of `overs` (n,), least change of height first, and `totals` (m,), rising, micrometres.

    off: (n, m) how far a total is from mid-window at that height, half micrometres; NEVER where they are no pair.
    """

    overs: Places
    totals: Places
    off: Costs

    @classmethod
    def without_spacer(cls, overs: Sequence[int]) -> Targets:
        """These heights with nothing under the base plate."""
        return cls(np.array(overs), np.zeros(1, dtype=np.int64), np.zeros((len(overs), 1), dtype=np.int64))

    @classmethod
    def by_steps(cls, heights: Sequence[tuple[int, Window, Places]]) -> Iterator[Targets]:
        """All pairs of a height, its window and a total that can be made inside, in groups of one distance in steps."""
        off = [window.off_half_um(totals) for _, window, totals in heights]
        steps = [steps_off(distances) for distances in off]
        for step in sorted({int(one) for each in steps for one in np.unique(each)}):
            own = [each == step for each in steps]
            inside = [place for place, here in enumerate(own) if here.any()]
            totals = np.unique(np.concatenate([heights[place][2][own[place]] for place in inside]))
            table = np.full((len(inside), len(totals)), NEVER, dtype=np.int64)
            for line, place in enumerate(inside):
                columns = np.searchsorted(totals, heights[place][2][own[place]])
                table[line, columns] = off[place][own[place]]
            yield cls(np.array([heights[place][0] for place in inside]), totals, table)

    def cheapest(self, heights: Costs, spacers: Costs) -> int:
        """The least sum of the cost of a height and that of its total; NEVER or more where there is none."""
        return int(self._sums(heights, spacers).min())

    def best(self, heights: Costs, spacers: Costs) -> tuple[int, int]:
        """The pair of that least sum, (height over nominal, total); of several the least change, then the nearest."""
        sums = self._sums(heights, spacers)
        pairs = np.argwhere(sums == sums.min()).tolist()
        line, column = min(pairs, key=lambda pair: (pair[0], int(self.off[pair[0], pair[1]]), pair[1]))
        return int(self.overs[line]), int(self.totals[column])

    def _sums(self, heights: Costs, spacers: Costs) -> Costs:
        return np.where(self.off < NEVER, heights[:, None] + spacers[None, :], 2 * NEVER)
