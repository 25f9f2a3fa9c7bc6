"""What an allocation asks of every size, and how high the stack is with it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from compat.engineering.plans.allocate import Allocation
from compat.engineering.plans.problem import Position, Problem
from compat.engineering.shims import Size, strip_tolerance_um


class Need(NamedTuple):
    """Pieces of one size to draw: in height or not, and of either those that must be new."""

    height: int
    height_new: int
    other: int
    other_new: int

    @property
    def pieces(self) -> int:
        return self.height + self.other


@dataclass(frozen=True)
class Needs:
    """by_size: pieces to draw. height_um: of the in-height pieces, all at nominal; asked_um: the same as asked for.

    spread_um: sum of the plus or minus of the in-height pieces, missing ones with the tolerance of their strip.
    """

    by_size: dict[Size, Need]
    height_um: int
    asked_um: int
    spread_um: int


def exact_number(position: Position, allocation: Allocation) -> int:
    return position.quantity - allocation.missing.get(position.key, 0)


def pieces_of(position: Position, allocation: Allocation) -> Iterable[tuple[Size, int, bool]]:
    """(size, number, must be new) of all that is drawn for a position, its stand-ins included."""
    yield position.size, exact_number(position, allocation), position.new_only
    stand_in = allocation.stand_ins.get(position.key)
    if stand_in is not None:
        for size, number in stand_in.shims:
            yield size, number, position.new_only


def needs_of(problem: Problem, allocation: Allocation) -> Needs:
    """The needs of one allocation of this problem."""
    totals: dict[Size, list[int]] = {}
    height = asked = spread = 0
    for position in problem.positions:
        for size, number, new in pieces_of(position, allocation):
            if number:
                total = totals.setdefault(size, [0, 0, 0, 0])
                first = 0 if position.in_height else 2
                total[first] += number
                total[first + 1] += number * new
            if position.in_height:
                height += number * size.thickness_um
                spread += number * problem.spread_of(size)
        if position.in_height:
            asked += position.quantity * position.size.thickness_um
            if position.key not in allocation.stand_ins:
                missing = allocation.missing.get(position.key, 0)
                height += missing * position.size.thickness_um
                spread += missing * strip_tolerance_um(position.size.thickness_um)
    return Needs({size: Need(*total) for size, total in totals.items()}, height, asked, spread)
