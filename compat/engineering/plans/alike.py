"""Lots that the search cannot tell apart are one row to it, and lots that no best plan needs are left out.

A shelf may hold thousands of lots of one size. What the search sees of a row is its size, its mean thickness, its
drawer, its age and whether it was taken off: rows that agree in all of it are gathered, and what is drawn from them is
shared out afterwards in the order in which they were given. Of the others a row stays away where older ones of the same
thickness hold all that any plan could take of the size: whatever it would give, they give in no more drawers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from compat.engineering.plans.problem import MAX_PIECES, Problem, StockRow
from compat.engineering.plans.shelf import Shelf, fits_spacer
from compat.engineering.plans.solution import Draw, Solution
from compat.engineering.plans.stand_ins import PIECES_FOR_ONE
from compat.engineering.shims import Size

MOST_ROWS = 60  # of one size, that the search looks at
_MOST_PIECES = 100 * MAX_PIECES


@dataclass(frozen=True)
class Gathered:
    """The shelf of a problem with fewer rows; `members`: the rows behind the key of each. `cut` where a row that may be
    of use is left out."""

    shelf: Shelf
    members: Mapping[str, Sequence[StockRow]]
    cut: bool

    @property
    def problem(self) -> Problem:
        """The problem with the rows that are left."""
        return self.shelf.problem

    def shared_out(self, solution: Solution) -> Solution:
        """The solution drawn from the rows as they were given."""
        left = {row.key: row.available for rows in self.members.values() for row in rows}
        draws: list[Draw] = []
        for draw in solution.draws:
            lacking = draw.quantity
            for row in self.members[draw.row]:
                here = min(lacking, left[row.key])
                if here:
                    draws.append(replace(draw, row=row.key, quantity=here))
                    left[row.key] -= here
                    lacking -= here
        return replace(solution, draws=tuple(draws))


def gathered(problem: Problem) -> Gathered:
    """The problem as the search takes it, on rows that it can tell apart and may need.

    A shelf is made once where nothing is gathered or left out, since that costs as much as the rest here.
    """
    shelf = Shelf(problem)
    alike: dict[tuple[Size, int, str, int, bool], list[StockRow]] = {}
    for row in shelf.given:
        alike.setdefault((row.size, row.mean_um, row.drawer, row.newer_days, row.take_off), []).append(row)
    members = {rows[0].key: rows for rows in alike.values()}
    if len(alike) < len(shelf.given):
        shelf = Shelf(replace(problem, rows=tuple(_one(rows) for rows in alike.values())))
    if len(alike) == len({row.size for row in shelf.given}):
        return Gathered(shelf, members, False)
    kept, cut = _needed(shelf)
    if len(kept) < len(shelf.rows):
        shelf = Shelf(replace(problem, rows=tuple(kept)))
    return Gathered(shelf, members, cut)


def _one(rows: Sequence[StockRow]) -> StockRow:
    """Rows that are alike as one."""
    if len(rows) == 1:
        return rows[0]
    return replace(rows[0], available=min(_MOST_PIECES, sum(row.available for row in rows)))


def _needed(shelf: Shelf) -> tuple[list[StockRow], bool]:
    """The rows that a best plan may need, in the order of the problem, and whether some are left out that it may need
    too."""
    problem = shelf.problem
    lip, missing = problem.lip, sum(shelf.short.values()) if problem.allow_stand_ins else 0
    alone = _alone(shelf.rows)
    kept: set[str] = set()
    cut = False
    for size, rows in shelf.by_size.items():
        asked = sum(position.quantity for position in shelf.asked.get(size, ()))
        thinnest = min(row.mean_um for row in rows)
        spacer = lip.ceiling_um // thinnest if lip is not None and fits_spacer(size, lip) else 0
        enough = asked + PIECES_FOR_ONE * missing + max(0, spacer)
        here = _undominated(rows, alone, enough)
        if len(here) > MOST_ROWS:
            here, cut = _likely(here, enough), True
        kept |= {row.key for row in here}
    return [row for row in shelf.given if row.key in kept], cut


def _alone(rows: Iterable[StockRow]) -> set[str]:
    """The drawers that hold one row."""
    found: dict[str, int] = {}
    for row in rows:
        found[row.drawer] = found.get(row.drawer, 0) + 1
    return {drawer for drawer, number in found.items() if number == 1}


def _undominated(rows: Sequence[StockRow], alone: set[str], enough: int) -> list[StockRow]:
    """The rows of one size without those of which `enough` pieces lie in better ones.

    Better is a row of the same mean, as old or older, both new or both used, in the same drawer; or, where both would
    be alone in their drawers, with as many pieces or more: of these either one is not used, which may be opened in its
    place, or all are, and have the room.
    """
    kept: list[StockRow] = []
    in_drawer: dict[tuple[int, bool, str], int] = {}
    in_own: dict[tuple[int, bool], list[int]] = {}
    for row in sorted(rows, key=lambda row: (row.newer_days, -row.available, row.key)):
        there, own = in_drawer.get((row.mean_um, row.take_off, row.drawer), 0), min(row.available, enough)
        others = in_own.setdefault((row.mean_um, row.take_off), [])
        if row.drawer in alone:
            there = sum(pieces for pieces in others if pieces >= own)
        if there >= enough:
            continue
        kept.append(row)
        in_drawer[row.mean_um, row.take_off, row.drawer] = there + row.available
        if row.drawer in alone:
            others.append(own)
    return kept


def _likely(rows: Sequence[StockRow], enough: int) -> list[StockRow]:
    """Of the rows of one size the oldest, the fullest, the thinnest and the thickest in turn, until there are as many
    as the search takes and they hold `enough` pieces, new ones and all."""
    orders = (
        sorted(rows, key=lambda row: (row.newer_days, row.key)),
        sorted(rows, key=lambda row: (-row.available, row.newer_days, row.key)),
        sorted(rows, key=lambda row: (row.mean_um, row.newer_days, row.key)),
        sorted(rows, key=lambda row: (-row.mean_um, row.newer_days, row.key)),
    )
    found: dict[str, StockRow] = {}
    new = every = 0
    for row in chain.from_iterable(zip(*orders, strict=True)):
        if len(found) >= MOST_ROWS and new >= enough and every >= enough:
            break
        if row.key not in found:
            found[row.key] = row
            new += 0 if row.take_off else row.available
            every += row.available
    return list(found.values())
