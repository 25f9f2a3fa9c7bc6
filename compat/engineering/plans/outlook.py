"""Whether a problem can be built at all, in a fraction of the time of a plan: no lots are chosen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from compat.engineering.pieces import Piece
from compat.engineering.plans.allocate import Allocation, Allocations
from compat.engineering.plans.needs import needs_of
from compat.engineering.plans.problem import Problem
from compat.engineering.plans.shelf import Shelf
from compat.engineering.plans.window import NO_SUCH_SHIMS, Window
from compat.engineering.shims import Size
from compat.engineering.spacers import find_spacer

Counted = tuple[tuple[Size, int], ...]


@dataclass(frozen=True, slots=True)
class Outlook:
    """short: pieces by size that are not there; missing: those that no shim of the same diameter stands in for.

    stand_ins: positions that have them. no_spacer: why a spacer that is needed cannot be made, reckoned with the mean
    thickness of each size, else empty.
    """

    short: Counted
    missing: Counted
    stand_ins: int
    no_spacer: str


def outlook(problem: Problem) -> Outlook:
    """The best allocation of sizes by sums of t^3, and whether a spacer could follow. Sides and curves are left out."""
    shelf = Shelf(problem)
    allocations = Allocations(shelf)
    short = _counted(shelf.short.items())
    allocation = next(iter(allocations), None) if short else None
    if allocation is None:
        allocation = allocations.plain()
    sizes = {position.key: position.size for position in problem.positions}
    lacking = ((sizes[key], n) for key, n in allocation.missing.items() if key not in allocation.stand_ins)
    return Outlook(short, _counted(lacking), len(allocation.stand_ins), _no_spacer(shelf, allocation))


def _counted(pairs: Iterable[tuple[Size, int]]) -> Counted:
    found: dict[Size, int] = {}
    for size, number in pairs:
        if number:
            found[size] = found.get(size, 0) + number
    return tuple(sorted(found.items()))


def _no_spacer(shelf: Shelf, allocation: Allocation) -> str:
    lip = shelf.problem.lip
    if lip is None:
        return ""
    needs = needs_of(shelf.problem, allocation)
    over = sum(need.height * (_mean_um(shelf, size) - size.thickness_um) for size, need in needs.by_size.items())
    window = Window.at(lip, round(needs.height_um + over), needs.spread_um)
    if window.closed or not window.needed:
        return window.closed
    lacking = {size: need.pieces for size, need in needs.by_size.items()}
    pieces = []
    for row in shelf.spacer_rows(lip):  # the oldest go into the stacks, and what is left may lie under them
        taken = min(row.available, lacking.get(row.size, 0))
        lacking[row.size] = lacking.get(row.size, 0) - taken
        if row.available > taken:
            pieces.append(Piece(row.key, row.mean_um, row.available - taken, row.newer_days, row.drawer))
    middle = (window.add_min + window.add_max) / 2
    return "" if find_spacer(pieces, window.add_min, window.add_max, middle) else NO_SUCH_SHIMS


def _mean_um(shelf: Shelf, size: Size) -> float:
    """The mean thickness of the free pieces of a size."""
    rows = shelf.by_size[size]
    return sum(row.available * row.mean_um for row in rows) / sum(row.available for row in rows)
