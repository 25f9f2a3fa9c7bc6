"""What is bent: groups of shims of one diameter, what holds them, and the ring that the oil presses on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from compat.engineering.bending.plates import Array
from compat.engineering.refused import Refused

SPRING_STEEL_MPA = 206_000.0
POISSON = 0.3
EDGE_SLIP = 0.1  # thicknesses of a shim by which the clamp gives way at its edge, before anything is measured
SLIP = (0.0, 1.0)  # the same, from least to most
MAX_SHIMS = 200
ENDS = 6  # rings whose mean is a straight line, by Gauss and Legendre
_LINE, _POINT = (np.polynomial.legendre.leggauss(ends) for ends in (ENDS, 1))


class CannotBend(Refused):
    """The stack lies outside what the model can compute. `code` names why; `data` fills its text."""

    def __init__(self, code: str, **data: float) -> None:
        super().__init__(code, "", **data)


@dataclass(frozen=True, slots=True)
class Layer:
    """`count` shims of one outer diameter and one thickness, millimetres.

    `gap_thickness_mm` is the thickness by which they hold other shims apart, where it is to differ from the one that
    bends (the corner of a band); None is the same.
    """

    od_mm: float
    thickness_mm: float
    count: int = 1
    gap_thickness_mm: float | None = None


@dataclass(frozen=True)
class Groups:
    """Neighbouring layers of one diameter as one plate, face first; arrays of one entry a group.

    radius_mm; cubes_mm3: sum of t^3, which bends; height_mm: sum of t, which holds apart; thickest_mm: of a
    single shim; stretched_mm: sum of t of what bends. Exact for plates without friction.
    """

    radius_mm: Array
    cubes_mm3: Array
    height_mm: Array
    thickest_mm: Array
    stretched_mm: Array

    @classmethod
    def of(cls, layers: Iterable[Layer]) -> Groups:
        """Raises CannotBend for more than MAX_SHIMS shims, ValueError for none or a size that is not above zero."""
        given = list(layers)
        if not given:
            raise ValueError("a stack has at least one shim")
        shims = sum(layer.count for layer in given)
        if shims > MAX_SHIMS:
            raise CannotBend("too_many_shims", shims=shims, most=MAX_SHIMS)
        if any(min(layer.od_mm, layer.thickness_mm, layer.count) <= 0 for layer in given):
            raise ValueError("a shim has a diameter, a thickness and a count above zero")
        runs = [list(run) for _, run in groupby(given, key=lambda layer: layer.od_mm)]
        return cls(
            np.array([run[0].od_mm / 2 for run in runs]),
            np.array([sum(layer.count * layer.thickness_mm**3 for layer in run) for run in runs]),
            np.array([sum(layer.count * _apart(layer) for layer in run) for run in runs]),
            np.array([max(layer.thickness_mm for layer in run) for run in runs]),
            np.array([sum(layer.count * layer.thickness_mm for layer in run) for run in runs]),
        )


def _apart(layer: Layer) -> float:
    return layer.thickness_mm if layer.gap_thickness_mm is None else layer.gap_thickness_mm


@dataclass(frozen=True, slots=True)
class Preload:
    """A seat land that stands `height_mm` above the clamped face and meets the face shim at `radius_mm`."""

    radius_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Fitted:
    """What a measured curve leaves open: the share of the force by which the worst point, with the thickness of the
    stack that was measured, may be off; and two pairs of (youngs_mpa, edge_slip) that explain the points as well."""

    share: float
    as_good: tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Mount:
    """What holds and loads a stack: radii in millimetres, the material, and the seat where the land stands proud.

    hub_radius_mm: where the piston's own boss supports the face shim from below; base_radius_mm: the base plate
    behind the stack, the lift stop. inner_radius_mm, outer_radius_mm: the ring under pressure. edge_slip: thicknesses
    of a face shim by which the clamp gives way, 0 to 1. fitted: how far a curve measured on this piston
    settles its steel and its clamp's edge; None where none was measured. beyond: 0 where the pressure acts on the
    ring alone, 1 where it acts beside it as far as it may (`rings`).
    """

    hub_radius_mm: float
    base_radius_mm: float
    inner_radius_mm: float
    outer_radius_mm: float
    preload: Preload | None = None
    youngs_mpa: float = SPRING_STEEL_MPA
    poisson: float = POISSON
    edge_slip: float = EDGE_SLIP
    fitted: Fitted | None = None
    beyond: float = 0.0

    @property
    def ring_area_mm2(self) -> float:
        """The area of the ring under pressure."""
        return float(np.pi * (self.outer_radius_mm**2 - self.inner_radius_mm**2))

    def clamp_radius_mm(self, groups: Groups) -> float:
        """The one clamp radius: the only zone where the nut's force reaches every plate."""
        return min(self.hub_radius_mm, self.base_radius_mm, float(groups.radius_mm.min()))

    def edge_radius_mm(self, groups: Groups) -> float:
        """The radius inside of which nothing moves: the clamp radius less the slip of its edge."""
        return self.clamp_radius_mm(groups) - self.edge_slip * float(groups.thickest_mm[0])

    def pressed_mm(self, groups: Groups) -> tuple[float, float]:
        """(inner, outer) radius of the part of the ring under pressure that can move: beyond the clamp's edge."""
        return max(self.inner_radius_mm, self.edge_radius_mm(groups)), self.outer_radius_mm

    def rings(self, groups: Groups) -> list[tuple[float, float, float]]:
        """(inner, outer, share of the pressure) of the rings whose sum presses on the face shim.

        Beside the ports no more than this can act once the shim is off its land. Inside of them oil stands: the port
        pressure. Outside it runs to the rim, where there is none, through a gap that does not narrow on the way: what
        is lost on a millimetre never grows outward, so the pressure never lies above the straight line from the ports'
        edge, or from a seat that holds it as far as there, to the rim. Inertia lowers it further. The line is the mean
        of rings that end between the two.
        """
        inner, outer = self.pressed_mm(groups)
        found = [(inner, outer, 1.0 - self.beyond)] if self.beyond < 1 else []
        if self.beyond > 0:
            start = outer if self.preload is None else max(outer, self.preload.radius_mm)
            edge, rim = self.edge_radius_mm(groups), float(groups.radius_mm[0])
            points, weights = _LINE if rim > start else _POINT
            ends = start + (rim - start) * (points + 1) / 2
            found += [(edge, float(end), self.beyond * float(one) / 2) for end, one in zip(ends, weights, strict=True)]
        return found


def refuse_outside_model(groups: Groups, mount: Mount) -> None:
    """Raises CannotBend where the closed forms do not hold: nothing free to bend, or a ring beside the face shim."""
    clamp, face = mount.clamp_radius_mm(groups), float(groups.radius_mm[0])
    inner, outer = mount.inner_radius_mm, mount.outer_radius_mm
    if mount.edge_radius_mm(groups) <= 0:
        raise CannotBend("clamp_edge_at_centre", clamp_radius_mm=clamp)
    if clamp >= face:
        raise CannotBend("clamp_reaches_face", clamp_radius_mm=clamp, face_radius_mm=face)
    if not inner < outer:
        raise CannotBend("ring_without_width", inner_radius_mm=inner, outer_radius_mm=outer)
    if outer > face:
        raise CannotBend("ring_beyond_face", outer_radius_mm=outer, face_radius_mm=face)
    if outer <= clamp:
        raise CannotBend("ring_inside_clamp", outer_radius_mm=outer, clamp_radius_mm=clamp)
    seat = mount.preload
    if seat is not None and not max(clamp, mount.hub_radius_mm) < seat.radius_mm <= face:
        raise CannotBend("seat_beside_face", seat_radius_mm=seat.radius_mm, face_radius_mm=face)
    if seat is not None and seat.radius_mm <= mount.base_radius_mm:
        room = float(groups.height_mm[groups.radius_mm < seat.radius_mm].sum())
        if seat.height_mm >= room:
            raise CannotBend("seat_above_stop", seat_height_mm=seat.height_mm, room_mm=room)
