"""How much height and spread the stand-ins of a frame may bring before the lip (R4) or the height limit (R5) is lost.

A room is a limit on a sum of whole loads, one load for each position with stand-ins. Where a sum is larger than its
room, no choice of rows can save the plan.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from compat.engineering.plans.problem import Position
from compat.engineering.plans.shelf import Shelf
from compat.engineering.plans.stand_ins import Numbers
from compat.engineering.shims import Size, strip_tolerance_um


@dataclass(frozen=True)
class _Extremes:
    """The thinnest and the thickest drawable mean of a size less its nominal thickness, and the spread of a piece."""

    low: int
    high: int
    spread: int


class Rooms:
    """Rooms and loads for the frames of one shelf; there are none where neither a lip nor a height limit is given."""

    def __init__(self, shelf: Shelf) -> None:
        self._problem = shelf.problem
        self._sizes = {
            size: _Extremes(
                min(row.mean_um for row in rows) - size.thickness_um,
                max(row.mean_um for row in rows) - size.thickness_um,
                self._problem.spread_of(size),
            )
            for size in {size for sizes in shelf.families.values() for size in sizes}
            for rows in (shelf.by_size[size],)
        }
        self._counted = [position for position in self._problem.positions if position.in_height]
        self._asked = sum(position.quantity * position.size.thickness_um for position in self._counted)

    def of(self, missing: Mapping[str, int], replaced: Collection[str]) -> tuple[int, ...]:
        """The rooms that exact use leaves; missing: pieces by position key, replaced: the positions with stand-ins."""
        low = high = spread = 0
        for position in self._counted:
            short = missing.get(position.key, 0)
            if position.quantity > short:
                size = self._sizes[position.size]
                low += (position.quantity - short) * size.low
                high += (position.quantity - short) * size.high
                spread += (position.quantity - short) * size.spread
            if position.key not in replaced:
                spread += short * strip_tolerance_um(position.size.thickness_um)
        rooms: list[int] = []
        limit, lip = self._problem.height_limit_um, self._problem.lip
        if limit is not None:
            rooms += [limit - low, limit + high]
        if lip is not None:
            rooms += [lip.ceiling_um - self._asked - low - spread, lip.ceiling_um - lip.floor_um - 2 * spread]
        return tuple(rooms)

    def loads(self, position: Position, missing: int, sizes: Sequence[Size], counts: Numbers) -> Numbers:
        """What stand-ins take of each room (n, rooms), in the order of `of`; counts: (n, sizes) numbers of each."""
        low = high = spread = np.zeros(len(counts), dtype=np.int64)
        if position.in_height:
            extremes = [self._sizes[size] for size in sizes]
            asked = missing * position.size.thickness_um
            thickness = [size.thickness_um for size in sizes]
            low = counts @ np.array([t + e.low for t, e in zip(thickness, extremes, strict=True)], np.int64) - asked
            high = counts @ np.array([t + e.high for t, e in zip(thickness, extremes, strict=True)], np.int64) - asked
            spread = counts @ np.array([e.spread for e in extremes], np.int64)
        loads: list[Numbers] = []
        if self._problem.height_limit_um is not None:
            loads += [low, -high]
        if self._problem.lip is not None:
            loads += [low + spread, 2 * spread]
        return np.stack(loads, axis=1) if loads else np.zeros((len(counts), 0), dtype=np.int64)
