"""The shelf sorted for one problem, and rule R1: how many pieces of every size are used exactly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from compat.engineering.plans.problem import Lip, Position, Problem, StockRow
from compat.engineering.shims import Form, Size

Family = tuple[int, int, Form]  # diameter, bore, form: what a stand-in shares with the size it replaces


def family_of(size: Size) -> Family:
    return size.od_um, size.bore_um, size.form


@dataclass(frozen=True)
class Supply:
    """Pieces of one size on the shelf against what is asked: `new` and `used` pieces, `new_only` and `free` places."""

    new: int
    used: int
    new_only: int
    free: int

    @property
    def exact(self) -> int:
        """The largest number of pieces that can be used exactly: take-offs reach the free places only."""
        return min(self.new_only + self.free, self.new + min(self.used, self.free))

    @property
    def short(self) -> int:
        return self.new_only + self.free - self.exact

    @property
    def left(self) -> int:
        """Pieces that exact use leaves, whichever pieces it takes."""
        return self.new + self.used - self.exact


class Shelf:
    """The rows that may be drawn, by size, new before used; rows that hold nothing or are not allowed are gone, and
    so are those that are neither of a family that is asked for nor fit for a spacer. `given`: the rows of use in the
    order of the problem, with those that hold nothing."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._families = {family_of(size) for size in self.asked}
        if problem.sides:
            self._families |= self._within_reach()
        used, bores = problem.allow_take_offs, {bore for _, bore, _ in self._families}
        bores |= set() if problem.lip is None else {problem.lip.bore_um}
        self.given: list[StockRow] = [
            row
            for row in problem.rows
            if (used or not row.take_off) and row.size.bore_um in bores and self._is_of_use(row.size)
        ]
        self.rows: list[StockRow] = sorted(
            (row for row in self.given if row.available), key=lambda row: (row.take_off, row.newer_days, row.key)
        )
        self.by_size: dict[Size, list[StockRow]] = {}
        for row in self.rows:
            self.by_size.setdefault(row.size, []).append(row)

    def _within_reach(self) -> set[Family]:
        """The families of rows whose diameter is near enough to one that is asked for."""
        reach = self.problem.reach_um
        return {
            family
            for family in {family_of(row.size) for row in self.problem.rows}
            if any(family[1:] == own[1:] and abs(family[0] - own[0]) <= reach for own in self._families)
        }

    def _is_of_use(self, size: Size) -> bool:
        lip = self.problem.lip
        return family_of(size) in self._families or (lip is not None and fits_spacer(size, lip))

    @cached_property
    def by_key(self) -> dict[str, StockRow]:
        return {row.key: row for row in self.rows}

    @cached_property
    def asked(self) -> dict[Size, list[Position]]:
        by_size: dict[Size, list[Position]] = {}
        for position in self.problem.positions:
            if position.quantity:
                by_size.setdefault(position.size, []).append(position)
        return by_size

    @cached_property
    def families(self) -> dict[Family, list[Size]]:
        """The sizes on the shelf of every family that is asked for or within reach, thickest first."""
        families: dict[Family, list[Size]] = {family: [] for family in self._families}
        for size in sorted(self.by_size, key=lambda size: -size.thickness_um):
            if family_of(size) in families:
                families[family_of(size)].append(size)
        return families

    def supply(self, size: Size) -> Supply:
        rows, positions = self.by_size.get(size, []), self.asked.get(size, [])
        return Supply(
            new=sum(row.available for row in rows if not row.take_off),
            used=sum(row.available for row in rows if row.take_off),
            new_only=sum(position.quantity for position in positions if position.new_only),
            free=sum(position.quantity for position in positions if not position.new_only),
        )

    @cached_property
    def short(self) -> dict[Size, int]:
        """The sizes that are short, and of how many pieces."""
        return {size: short for size in self.asked if (short := self.supply(size).short)}

    def spacer_rows(self, lip: Lip) -> Sequence[StockRow]:
        """The rows that a spacer may be made of."""
        return [row for row in self.rows if fits_spacer(row.size, lip)]


def fits_spacer(size: Size, lip: Lip) -> bool:
    return size.form is Form.ROUND and size.bore_um == lip.bore_um and lip.od_over_um < size.od_um <= lip.od_upto_um


def short_sizes(problem: Problem) -> list[Size]:
    """The sizes of which the rows hold fewer pieces than are asked for, take-offs counted only where they may go."""
    return list(Shelf(problem).short)
