"""The curve of one side as asked, and how far the curve of another stack in its place is from it.

Score S of a stack: the largest |F - F_asked| over the lifts, over F_asked or 5 % of its end force where that is
larger; parts per million. Ten lifts, geometrically spaced, up to where the face shims begin to stretch or the stack
rests on its stop. All sizes nominal: the scatter of the lots is a band around either curve, not a difference.

What is solved is remembered from one search to the next (`remembered`). What a search may solve is counted as if
nothing were, so that it finds the same whatever was asked before.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from compat.engineering.bending.band import POINTS
from compat.engineering.bending.compare import Compared, compared
from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import Path, follow
from compat.engineering.bending.plates import Array
from compat.engineering.bending.stack import CannotBend, Groups, Layer, Mount
from compat.engineering.plans.bent.remembered import asked_of
from compat.engineering.plans.problem import Position
from compat.engineering.shims import Size
from compat.engineering.units import um_to_mm

FLOOR = 0.05  # of the end force, under which a difference counts as little as there
MUCH = 3.0  # times what is missing, to see how a thick stand-in stops bending itself
USUAL, LEAST = 100, 0.3  # contacts of a curve, and the least share of its effort that a small one takes
NOT_COMPARABLE = 10_000_000  # ppm: the other stack is not computed, or rests on its stop where the asked one lifts

Pieces = tuple[tuple[Size, int], ...]


class Response:
    """The curve of a side's positions, face first, on their mount.

    Raises CannotBend or NotSolved where the stack as asked has no curve.
    """

    def __init__(self, positions: Sequence[Position], mount: Mount) -> None:
        self.positions = tuple(position for position in positions if position.quantity)
        self._mount = mount
        self._asked = asked_of(tuple(self._layers({})), mount)
        self.lifts_mm, self.asked = self._asked.lifts_mm, self._asked.pressures
        self._scale = np.maximum(self.asked, FLOOR * self.asked[-1])
        self._known: dict[tuple[tuple[float, ...], ...], Array | None] = {}
        self._prices: dict[tuple[str, int, int], tuple[Array, Array]] = {}
        self.solved = 0
        self.effort = 0.0  # in curves of USUAL contacts

    def score_ppm(self, pressures: Array) -> Array:
        """Scores of curves (..., lifts) against the one asked for: (...)."""
        off = abs(pressures - self.asked) / self._scale
        return np.asarray(np.rint(1e6 * off.max(axis=-1)).astype(np.int64))

    def true_ppm(self, pieces: Mapping[str, Pieces]) -> int:
        """The score of the stack with these pieces at those positions and the asked ones elsewhere."""
        pressures = self.pressures(pieces)
        return NOT_COMPARABLE if pressures is None else int(self.score_ppm(pressures))

    def pressures(self, pieces: Mapping[str, Pieces]) -> Array | None:
        """Its pressures at the lifts; None where there are none. Equal stacks are solved once."""
        return self._solve(self._layers(pieces))

    def path(self, pieces: Mapping[str, Pieces], behind: Iterable[Layer] = ()) -> Path:
        """Its path to the largest lift, with spacers behind the clamp; may raise as the constructor does."""
        groups = Groups.of([*self._layers(pieces), *behind])
        return follow(contacts_of(groups, self._mount), float(self.lifts_mm[-1]))

    def compared(self, layers: Iterable[Layer]) -> Compared:
        """The curve of a stack as it is built of measured pieces, face first, against this one; may raise so too."""
        return compared(self._asked.path, self._asked.end_mm, Groups.of(layers))

    def prices(self, position: Position, missing: int, od_um: int) -> tuple[float, Array, Array]:
        """What t^3 of this diameter in the place of the missing pieces adds to the pressures without them.

        (mm3, (lifts,), (lifts,)): up to so many mm3, as many as are missing, every mm3 adds the first, MPa per mm3;
        beyond, where a thick shim lifts its neighbours and bends less and less itself, the second. So what replaces
        the missing pieces in one diameter comes out true.
        """
        cubes = missing * um_to_mm(position.size.thickness_um) ** 3
        key = (position.key, missing, od_um)
        if key not in self._prices:
            without, _ = self.without(position, missing)
            low = (self._with_cubes(position, missing, od_um, cubes) - without) / cubes
            if od_um == position.size.od_um:
                more = self._with_cubes(position, missing, od_um, MUCH * cubes)
                high = (more - self.asked) / ((MUCH - 1) * cubes)
            else:  # a neighbour stops bending as the asked diameter does
                _, own_low, own_high = self.prices(position, missing, position.size.od_um)
                high = np.divide(low * own_high, own_low, out=low.copy(), where=own_low > 0)
            self._prices[key] = low, high
        return cubes, *self._prices[key]

    def _with_cubes(self, position: Position, missing: int, od_um: int, cubes: float) -> Array:
        """The pressures with so much t^3 of a diameter in place of the missing pieces; it holds nothing apart."""
        if od_um == position.size.od_um and cubes == missing * um_to_mm(position.size.thickness_um) ** 3:
            return self.asked
        without, gone = self.without(position, missing)
        pressures = self._solve(self._layers(gone, position, Layer(um_to_mm(od_um), float(np.cbrt(cubes)), 1, 0.0)))
        return without if pressures is None else pressures

    def without(self, position: Position, missing: int) -> tuple[Array, dict[str, Pieces]]:
        """The pressures without the missing pieces of a position, and the stack that has them."""
        gone: dict[str, Pieces] = {position.key: ((position.size, position.quantity - missing),)}
        pressures = self._solve(self._layers(gone)) if len(self._layers(gone)) else None
        return (np.zeros(POINTS) if pressures is None else pressures), gone

    def _layers(
        self, pieces: Mapping[str, Pieces], at: Position | None = None, more: Layer | None = None
    ) -> list[Layer]:
        """The stack, face first, with more at one position; there all lies from large to small, thick to thin."""
        layers: list[Layer] = []
        for position in self.positions:
            here = [
                Layer(um_to_mm(size.od_um), um_to_mm(size.thickness_um), number)
                for size, number in pieces.get(position.key, ((position.size, position.quantity),))
                if number
            ]
            if more is not None and position == at:
                here.append(more)
            layers += sorted(here, key=lambda layer: (-layer.od_mm, -layer.thickness_mm))
        return layers

    def _solve(self, layers: list[Layer]) -> Array | None:
        try:
            groups = Groups.of(layers)
        except CannotBend:  # more shims than any stack has
            return None
        key = tuple(
            (float(radius), round(float(cubes), 12), round(float(height), 9))
            for radius, cubes, height in zip(groups.radius_mm, groups.cubes_mm3, groups.height_mm, strict=True)
        )
        if key not in self._known:
            found = self._asked.curve(layers, groups)
            self.solved += 1
            if found.contacts is not None:
                self.effort += max(found.contacts / USUAL, LEAST) ** 1.5
            self._known[key] = found.pressures
        return self._known[key]
