"""Spacer shims under the base plate: which pieces of the shelf add up to a height."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

import numpy as np

from compat.engineering.knapsack import Wholes, cheapest, fewest_pieces, reachable, widest
from compat.engineering.pieces import Piece, SpacerChoice
from compat.engineering.refused import Refused

MAX_HEIGHT_UM = 50_000  # no shaft end takes more; it also bounds time and memory
STEP_UM = 25  # the height over which a base plate sits as well; common practice, no published source

Amount = TypeVar("Amount", int, Wholes)


def steps_off(off_half_um: Amount) -> Amount:
    """The distance of a total from the middle of its window in whole steps of 25 um, rounded down.

    off_half_um: 0 or more, half micrometres, since the middle of a window of whole micrometres may be one.
    """
    return off_half_um // (2 * STEP_UM)


def find_spacer(rows: Sequence[Piece], low_um: int, high_um: int, target_um: float) -> SpacerChoice | None:
    """The best spacer with a total inside the window, or None where no choice of pieces ends there.

    rows: what may be used, any number, keys all different. low_um..high_um: the window, whole micrometres, both ends
    included, high_um at most MAX_HEIGHT_UM. target_um: the wished total, whole or half micrometres (rounded to that).
    Best is: fewest whole steps of 25 um off the target, then fewest pieces, then fewest drawers, then the smallest sum
    of preferences, then the nearest and the smaller total. Using nothing is a choice with total 0. Exact: bounded
    knapsacks over whole micrometres.
    Raises Refused for a window above MAX_HEIGHT_UM, ValueError for a key that occurs twice.
    """
    totals, steps = _totals(rows, low_um, high_um, target_um, 1)
    if not len(totals):
        return None
    near = totals[steps == steps[0]]
    number = fewest_pieces(rows, int(near.max()))[near]
    fewest = int(number.min())
    return cheapest(rows, near[number == fewest].tolist(), fewest)


def perhaps_spacer(
    rows: Sequence[tuple[Piece, int]], low_um: int, high_um: int, target_um: float
) -> SpacerChoice | None:
    """A spacer that may end inside the window at some value of its pieces; None where none can.

    rows: pieces and the spread of one of them, whole micrometres: each may be so much thicker or thinner than its mean.
    Window and target as for `find_spacer`, whose choice by the means comes first; else that one whose total by the
    means lies nearest the target, the smaller one on a tie. Its number of pieces is not the least.
    Raises as `find_spacer` does.
    """
    by_means = find_spacer([row for row, _ in rows], low_um, high_um, target_um)
    if by_means is not None or high_um < max(low_um, 0):
        return by_means

    def nearest(totals: Wholes, spreads: Wholes) -> int | None:
        touching = totals[(totals - spreads <= high_um) & (totals + spreads >= low_um)]
        off = np.abs(2 * touching - round(2 * target_um))
        return int(touching[np.argmin(off)]) if len(touching) else None

    found = widest(rows, _highest(rows, high_um), nearest)
    if found is None:
        return None
    total, taken = found
    used = [(row, taken[row.key]) for row, _ in rows if row.key in taken]
    return SpacerChoice(
        total,
        sum(number for _, number in used),
        len({row.place for row, _ in used}),
        sum(row.preference * number for row, number in used),
        tuple((row.key, number) for row, number in used),
    )


def _highest(rows: Sequence[tuple[Piece, int]], high_um: int) -> int:
    """The highest total by the means that may still be inside, where every piece is as thin as it may be."""
    part = max((about / row.thickness_um for row, about in rows), default=0.0)
    return MAX_HEIGHT_UM if part >= 1 else min(MAX_HEIGHT_UM, int(high_um / (1 - part)) + 1)


def alternatives(
    rows: Sequence[Piece], low_um: int, high_um: int, target_um: float, count: int = 3
) -> list[SpacerChoice]:
    """Up to `count` other totals inside the window: fewest steps off, then fewest pieces, then nearest the target.

    Each comes with its best pieces. Arguments and errors as for `find_spacer`; the choice that it gives back is left
    out.
    """
    best = find_spacer(rows, low_um, high_um, target_um)
    if best is None or count <= 0:
        return []
    totals, steps = _totals(rows, low_um, high_um, target_um, count + 1)
    number = fewest_pieces(rows, int(totals.max()))[totals]
    order = np.lexsort((np.arange(len(totals)), number, steps))
    others = [int(place) for place in order if totals[place] != best.total_um][:count]
    return [cheapest(rows, [int(totals[place])], int(number[place])) for place in others]


def _totals(rows: Sequence[Piece], low_um: int, high_um: int, target_um: float, count: int) -> tuple[Wholes, Wholes]:
    """The totals that can be made inside the window and their steps off the target: the nearest `count` of them and
    all that are no more steps off, nearest first, the smaller one on a tie."""
    if high_um > MAX_HEIGHT_UM:
        raise Refused("spacer_too_high", high_mm=high_um / 1000, most_mm=MAX_HEIGHT_UM / 1000)
    if len({row.key for row in rows}) != len(rows):
        raise ValueError("a row key occurs twice")
    if high_um < max(low_um, 0):
        none: Wholes = np.zeros(0, dtype=np.int64)
        return none, none
    totals = reachable(rows, high_um)
    totals = totals[totals >= low_um]
    off = np.abs(2 * totals - round(2 * target_um))
    order = np.lexsort((totals, off))
    totals, steps = totals[order], steps_off(off[order])
    if len(totals):
        inside = steps <= steps[min(count, len(totals)) - 1]
        totals, steps = totals[inside], steps[inside]
    return totals, steps
