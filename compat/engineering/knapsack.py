"""Bounded knapsacks over whole micrometres: which totals pieces make, with how few, and out of how few drawers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from compat.engineering.pieces import Piece, SpacerChoice

Wholes = npt.NDArray[np.int64]
Taken = tuple[int, dict[str, int]]  # a total, and how many pieces of each row make it

_NEVER = 1 << 60
_FEW = np.int32(1 << 30)  # no number of pieces
_Costs = npt.NDArray[Any]  # 64 bits, or whole numbers of any size where those do not hold the costs
_Drawer = Sequence[tuple[Piece, int]]  # rows of one drawer with the most pieces that are worth taking of each


def reachable(rows: Sequence[Piece], high_um: int) -> Wholes:
    """The totals 0..high_um that some choice of pieces makes, rising."""
    bits, inside = 1, (2 << high_um) - 1  # bit n of the number stands for n micrometres
    for thickness, available in _pooled(rows, high_um):
        for step in _binary(available):
            bits |= (bits << step * thickness) & inside
    octets = np.frombuffer(bits.to_bytes(high_um // 8 + 1, "little"), dtype=np.uint8)
    return np.flatnonzero(np.unpackbits(octets, bitorder="little")).astype(np.int64)


def fewest_pieces(rows: Sequence[Piece], high_um: int) -> npt.NDArray[np.int32]:
    """The least number of pieces for every total 0..high_um, far above any number where none makes it."""
    table = np.full(high_um + 1, _FEW, dtype=np.int32)
    table[0] = 0
    for thickness, available in _pooled(rows, high_um):
        for step in _binary(available):
            shift = step * thickness
            np.minimum(table[shift:], table[: high_um + 1 - shift] + step, out=table[shift:])
    return table


def widest(
    rows: Sequence[tuple[Piece, int]], high_um: int, ends: Callable[[Wholes, Wholes], int | None]
) -> Taken | None:
    """Pieces whose own spreads come to most, for the total 0..high_um that `ends` picks; None where it picks none.

    rows: pieces and the spread of one of them, whole micrometres. `ends` is given the totals that can be made, rising,
    and the largest sum of spreads of each.
    """
    spread = np.full(high_um + 1, -1, dtype=np.int64)
    spread[0] = 0
    used: list[tuple[int, int, Any]] = []  # (place of the row, pieces, where they are taken: packed bits)
    for place, (row, about) in enumerate(rows):
        for step in _binary(min(row.available, high_um // row.thickness_um)):
            shift = step * row.thickness_um
            before = spread[: high_um + 1 - shift]
            with_it = np.where(before >= 0, before + step * about, -1)
            better = with_it > spread[shift:]
            spread[shift:][better] = with_it[better]
            used.append((place, step, np.packbits(better)))
    totals = np.flatnonzero(spread >= 0).astype(np.int64)
    total = ends(totals, spread[totals])
    if total is None:
        return None
    taken: dict[str, int] = {}
    left = total
    for place, step, better in reversed(used):
        row = rows[place][0]
        shift = step * row.thickness_um
        if left >= shift and better[(left - shift) // 8] >> (7 - (left - shift) % 8) & 1:
            taken[row.key] = taken.get(row.key, 0) + step
            left -= shift
    return total, taken


def cheapest(rows: Sequence[Piece], totals: Sequence[int], number: int) -> SpacerChoice:
    """The choice of `number` pieces that ends at one of these totals out of fewest drawers, then with the smallest
    sum of preferences, then at the total that comes first.

    number: the least that makes any of the totals; what cannot be part of so few pieces is left aside.
    """
    if number == 0:
        return SpacerChoice(0, 0, 0, 0, ())
    drawers = _worth_taking(rows, min(totals), max(totals), number)
    alone = [only[0][0] for only in drawers if len(only) == 1]
    found: list[tuple[int, int, int, dict[str, int]]] = []  # drawers, preference, place among the totals, pieces
    place_of = {total: place for place, total in enumerate(totals)}
    for row in alone:
        if row.available >= number and number * row.thickness_um in place_of:
            place = place_of[number * row.thickness_um]
            found.append((1, number * row.preference, place, {row.key: number}))
    if found:  # one drawer is least: only those with several lots can do as well
        drawers = [drawer for drawer in drawers if len(drawer) > 1]
    if drawers:
        found += _tabled(drawers, totals, number)
    opened, preference, place, taken = min(found, key=lambda entry: entry[:3])
    in_order = tuple((row.key, taken[row.key]) for row in rows if row.key in taken)
    return SpacerChoice(totals[place], number, opened, preference, in_order)


def _pooled(rows: Sequence[Piece], high_um: int) -> list[tuple[int, int]]:
    """(thickness, pieces): lots of one thickness are alike here; at most as many as reach high_um."""
    pooled: dict[int, int] = {}
    for row in rows:
        if row.available and row.thickness_um <= high_um:
            pooled[row.thickness_um] = pooled.get(row.thickness_um, 0) + row.available
    return [(thickness, min(number, high_um // thickness)) for thickness, number in pooled.items()]


def _binary(number: int) -> Iterable[int]:
    """Steps 1, 2, 4, ... and a rest, which make every number up to this one."""
    step = 1
    while number > 0:
        step = min(step, number)
        yield step
        number -= step
        step *= 2


def _worth_taking(rows: Sequence[Piece], low_um: int, high_um: int, number: int) -> list[_Drawer]:
    """The rows by drawer that may be part of `number` pieces with a total inside the limits.

    Of a thickness no more count than leave the others able to end inside. Of rows that are alone in their drawer one
    is left aside where others of its thickness, each with as many pieces and no worse preference, hold enough
    together: they serve in its place and open no more drawers.
    """
    thicknesses = {row.thickness_um for row in rows if row.available}
    most: dict[int, int] = {}
    while True:
        thickest, thinnest = max(thicknesses), min(thicknesses)
        for one in thicknesses:
            most[one] = number
            if one < thickest:
                most[one] = min(most[one], (number * thickest - low_um) // (thickest - one))
            if one > thinnest:
                most[one] = min(most[one], (high_um - number * thinnest) // (one - thinnest))
        left = {one for one in thicknesses if most[one] > 0}
        if left == thicknesses:
            break
        thicknesses = left
    drawers: dict[tuple[str, str], list[tuple[Piece, int]]] = {}
    for row in rows:
        if row.available and row.thickness_um in thicknesses:
            drawers.setdefault(row.place, []).append((row, min(row.available, most[row.thickness_um])))
    alone: dict[int, list[tuple[Piece, int]]] = {}
    for drawer in drawers.values():
        if len(drawer) == 1:
            alone.setdefault(drawer[0][0].thickness_um, []).append(drawer[0])
    kept: list[_Drawer] = [_first(drawer, most) for drawer in drawers.values() if len(drawer) > 1]
    for thickness, lots in alone.items():
        lots.sort(key=lambda lot: (-lot[1], lot[0].preference))
        better: list[tuple[Piece, int]] = []
        for row, count in lots:
            enough = sum(more for other, more in better if other.preference <= row.preference)
            if enough < most[thickness]:
                better.append((row, count))
        kept += [[lot] for lot in better]
    return kept


def _first(drawer: _Drawer, most: dict[int, int]) -> _Drawer:
    """Of the rows of one drawer and thickness those preferred, until they hold all that is worth taking of it."""
    kept, held = set[str](), dict.fromkeys(most, 0)
    for row, count in sorted(drawer, key=lambda lot: lot[0].preference):
        if held[row.thickness_um] < most[row.thickness_um]:
            held[row.thickness_um] += count
            kept.add(row.key)
    return [lot for lot in drawer if lot[0].key in kept]


def _tabled(
    drawers: Sequence[_Drawer], totals: Sequence[int], number: int
) -> list[tuple[int, int, int, dict[str, int]]]:
    """The best choice of `number` pieces from these drawers, as (drawers, preference, place among the totals, pieces
    by key); empty where they make none.

    One table a drawer holds, for every total, the cost as a single number: pieces above, drawers, preferences below.
    """
    highest = max(totals)
    opening = 1 + number * max(row.preference for drawer in drawers for row, _ in drawer)
    piece = opening * (1 + min(number, len(drawers)))
    never = piece * (number + 2)
    table: _Costs = np.full(highest + 1, never, dtype=np.int64 if never < _NEVER // 4 else object)
    table[0] = 0
    tables = [table]
    for drawer in drawers:
        after = _with_rows(table, drawer, opening, piece)[-1]
        table = np.minimum(np.minimum(table, after), never)
        tables.append(table)
    costs = [(int(table[total]), place) for place, total in enumerate(totals)]
    cost, place = min(costs)
    if cost // piece != number:
        return []
    taken: dict[str, int] = {}
    left, cost_left = totals[place], cost
    for index in range(len(drawers) - 1, -1, -1):
        before = tables[index]
        if int(before[left]) == cost_left:
            continue
        steps = _with_rows(before, drawers[index], opening, piece)
        for step in range(len(drawers[index]) - 1, -1, -1):
            row, most = drawers[index][step]
            price = piece + row.preference
            count = next(
                count
                for count in range(most + 1)
                if count * row.thickness_um <= left
                and int(steps[step][left - count * row.thickness_um]) + count * price == cost_left
            )
            if count:
                taken[row.key] = count
            left -= count * row.thickness_um
            cost_left -= count * price
        cost_left -= opening
    return [(cost % piece // opening, cost % opening, place, taken)]


def _with_rows(table: _Costs, drawer: _Drawer, opening: int, piece: int) -> list[_Costs]:
    """The costs with a drawer open and none, one, two, ... of its rows used."""
    steps = [table + opening]
    size = len(table)
    for row, most in drawer:
        after = steps[-1].copy()
        for step in _binary(min(most, (size - 1) // row.thickness_um)):
            shift = step * row.thickness_um
            # the right side is made before anything is written, so no piece is taken twice
            np.minimum(after[shift:], after[: size - shift] + step * (piece + row.preference), out=after[shift:])
        steps.append(after)
    return steps
