"""What may stand in at one position: at most two sizes, each with the curve that it is predicted to give."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from compat.engineering.plans.bent.response import Pieces, Response
from compat.engineering.plans.problem import Position, Role
from compat.engineering.plans.stand_ins import PIECES_FOR_ONE
from compat.engineering.shims import Size
from compat.engineering.units import um_to_mm

MOST_SOLVED = 16  # swaps of a crossover or clamp that are solved one by one, since no price tells their curve
MOST_SWAPS = 4_000
PRICED = frozenset({Role.TAPER, Role.FACE})

Numbers = npt.NDArray[Any]


@dataclass(frozen=True)
class Swaps:
    """Stand-ins for the missing pieces of one position, nearest the asked curve first.

    picks (n, 4): the place of a size in `sizes`, its pieces, the place of a second one and its pieces, 0 where there
    is none. ratio (n, lifts): predicted pressures over the asked ones. cut: some were left out.
    """

    position: Position
    missing: int
    sizes: tuple[Size, ...]
    picks: Numbers
    ratio: Numbers
    cut: bool = False

    def shims(self, index: int) -> Pieces:
        """The (size, number) pairs of one swap, thickest first."""
        first, one, second, two = self.picks[index].tolist()
        return tuple((self.sizes[place], number) for place, number in ((first, one), (second, two)) if number)

    def pieces(self, index: int) -> Pieces:
        """What then lies at the position: the exact pieces there are, and the stand-ins."""
        return ((self.position.size, self.position.quantity - self.missing), *self.shims(index))

    @property
    def height_um(self) -> Numbers:
        """(n,): nominal height of each swap less that of what is missing; 0 where the position does not count."""
        thickness = np.array([size.thickness_um for size in self.sizes], dtype=np.int64)
        change = self.sums(thickness) - self.missing * self.position.size.thickness_um
        return np.asarray(change * self.position.in_height)

    @property
    def others(self) -> Numbers:
        """(n,): pieces of each swap that have another diameter than the position's."""
        return self.sums(np.array([size.od_um != self.position.size.od_um for size in self.sizes], dtype=np.int64))

    def sums(self, of_size: Numbers) -> Numbers:
        """(n, ...): the sum over the pieces of each swap of what one piece of each size (s, ...) counts for."""
        first, one, second, two = self.picks.T
        shape = (-1,) + (1,) * (of_size.ndim - 1)
        return np.asarray(one.reshape(shape) * of_size[first] + two.reshape(shape) * of_size[second])


def may_stand_in(position: Position, side: Sequence[Position], sizes: Sequence[Size], reach_um: int) -> list[Size]:
    """The sizes on the shelf that may stand in at a position of a side, thickest first.

    Same bore and form. A taper shim may differ in diameter by `reach_um`, between the diameters of its neighbours; a
    crossover as long as it stays smaller than both; a clamp may only be smaller, since spacers lie on it; a face shim
    keeps its diameter, which covers the ports.
    """
    own = position.size
    places = [one for one in side if one.quantity]
    at = next(index for index, one in enumerate(places) if one.key == position.key)
    before = max((one.size.od_um for one in places[:at]), default=own.od_um)
    after = [one.size.od_um for one in places[at + 1 :]]
    low, high = own.od_um - reach_um, own.od_um + reach_um
    if position.role is Role.FACE:
        low = high = own.od_um
    elif position.role is Role.CLAMP:
        high = own.od_um
    elif position.role is Role.CROSSOVER:
        high = min(high, before - 1, max(after, default=own.od_um) - 1)
    else:
        nearest = places[at - 1].size.od_um if at else own.od_um
        low, high = max(low, min(after[0] if after else low, own.od_um)), min(high, max(nearest, own.od_um))
    found = [
        size
        for size in sizes
        if size != own and size.bore_um == own.bore_um and size.form is own.form and low <= size.od_um <= high
    ]
    return sorted(found, key=lambda size: (-size.thickness_um, -size.od_um))


def swaps_of(response: Response, position: Position, missing: int, left: Mapping[Size, int]) -> Swaps:
    """Every swap of at most two sizes and PIECES_FOR_ONE pieces for each missing one, with its predicted curve.

    left: pieces that may be used, by size. The MOST_SWAPS with the nearest prediction are kept; of a crossover or a
    clamp the MOST_SOLVED nearest in thickness or in diameter, with their true curve.
    """
    sizes = tuple(left)
    most = PIECES_FOR_ONE * missing
    picks = _picks([min(left[size], most) for size in sizes], most)
    swaps = Swaps(position, missing, sizes, picks, np.ones((len(picks), len(response.asked))))
    if not len(picks):
        return swaps
    if position.role in PRICED:
        ratio = _predicted(response, swaps)
        order = np.argsort(response.score_ppm(ratio * response.asked), kind="stable")[:MOST_SWAPS]
        return replace(swaps, picks=picks[order], ratio=ratio[order], cut=len(picks) > MOST_SWAPS)
    thickness = np.array([size.thickness_um for size in sizes], dtype=np.int64)
    away = np.array([abs(size.od_um - position.size.od_um) for size in sizes], dtype=np.int64)
    higher, other = abs(swaps.sums(thickness) - missing * position.size.thickness_um), swaps.sums(away)
    # a clamp acts by its diameter, a crossover by its thickness, which is the gap
    order = np.lexsort((higher, other) if position.role is Role.CLAMP else (other, higher))[:MOST_SOLVED]
    return _solved(response, replace(swaps, picks=picks[order], cut=len(picks) > MOST_SOLVED))


def _picks(most: Sequence[int], pieces: int) -> Numbers:
    """(n, 4): every choice of one size or of two, of at most `pieces` together."""
    limits = np.array(most, dtype=np.int64)
    number = np.arange(1, pieces + 1)
    place, alone = np.repeat(np.arange(len(most)), pieces), np.tile(number, len(most))
    rows = [np.stack([place, alone, 0 * place, 0 * place], axis=1)[alone <= limits[place]]]
    one, two = np.repeat(number, pieces), np.tile(number, pieces)
    together = one + two <= pieces
    first, second = np.triu_indices(len(most), 1)
    splits, pairs = int(together.sum()), len(first)
    first, second = np.repeat(first, splits), np.repeat(second, splits)
    here, there = np.tile(one[together], pairs), np.tile(two[together], pairs)
    fits = (here <= limits[first]) & (there <= limits[second])
    rows.append(np.stack([first, here, second, there], axis=1)[fits])
    return np.asarray(np.concatenate(rows))


def _predicted(response: Response, swaps: Swaps) -> Numbers:
    """(n, lifts): the pressures without what is missing and with what stands in.

    Two diameters share: each counts by its part of the t^3 as if all of it were of that diameter.
    """
    position, missing = swaps.position, swaps.missing
    ods = np.array([size.od_um for size in swaps.sizes])
    cubes_of = np.array([um_to_mm(size.thickness_um) ** 3 for size in swaps.sizes])
    first, one, second, two = swaps.picks.T
    parts = (one * cubes_of[first], two * cubes_of[second])
    total = parts[0] + parts[1]
    added = np.zeros((len(total), len(response.asked)))
    for od in np.unique(ods).tolist():
        usual, low, high = response.prices(position, missing, od)
        here, there = ods[first] == od, ods[second] == od
        of_it = np.flatnonzero(here | there)  # the others have no share of it
        share = (here[of_it] * parts[0][of_it] + there[of_it] * parts[1][of_it]) / total[of_it]
        worth = np.minimum(total[of_it], usual)[:, None] * low
        worth += np.maximum(total[of_it] - usual, 0.0)[:, None] * high
        worth *= share[:, None]
        added[of_it] += worth
    without, _ = response.without(position, missing)
    return np.asarray((without + added) / response.asked)


def _solved(response: Response, swaps: Swaps) -> Swaps:
    """The swaps with their true curves; those that have none are left out."""
    found = [response.pressures({swaps.position.key: swaps.pieces(index)}) for index in range(len(swaps.picks))]
    known = np.array([index for index, pressures in enumerate(found) if pressures is not None], dtype=np.intp)
    ratio = np.array([pressures / response.asked for pressures in found if pressures is not None])
    ratio = ratio.reshape(len(known), len(response.asked))
    order = np.argsort(response.score_ppm(ratio * response.asked), kind="stable")
    return replace(swaps, picks=swaps.picks[known][order], ratio=ratio[order])
