"""How far to trust a curve: what the thickness of the lots, the clamp's edge and stretching leave open.

The corners are taken the wide way round: for the soft end every shim bends as its thinnest and holds apart as its
thickest, for the stiff end the other way, so that no stack of those shims lies outside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import Path, follow
from compat.engineering.bending.plates import Array
from compat.engineering.bending.shape import deflection
from compat.engineering.bending.stack import CannotBend, Groups, Layer, Mount
from compat.engineering.groups import Ply

# F / F_linear = 1 + 0.58 (1 - b/a)^2 (w/t)^2 at most, t of one shim, to w of about 1.5 t: shims stretch like a membrane
# where the deflection is not small beside their thickness. Source: von Karman plates, computed for the annulus.
STRETCH = 0.58
MOST_THICKNESSES = 1.5
FRICTION = 0.06  # of the force, up or down, between shims that rub; common practice, no published source
SHORT_OF_STOP = 0.98  # of the lift at which the stack rests on its stop
POINTS = 10  # lifts of a curve, unless others are asked for
FIRST = 1 / 20  # of the largest of them
SLIP = (0.0, 1.0)  # of the clamp's edge, before it is calibrated


@dataclass(frozen=True)
class Band:
    """A path with what is open about it, at lifts (n,): shares of the nominal pressure, all above -1.

    thickness, edge (n, 2): the soft and the stiff end by the spread of thickness, and by the slip of the clamp's edge,
    or by what a calibration of the piston leaves over.
    stretch (n,): at most so much stiffer. inside (n,): whether the lift lies where plates bend without stretching
    much; beyond, `stretch` is no bound. NaN where the lift is not reached.
    """

    path: Path
    lifts_mm: Array
    pressures_mpa: Array
    thickness: Array
    edge: Array
    stretch: Array
    inside: npt.NDArray[np.bool_]

    @property
    def low(self) -> Array:
        """The lowest pressure at each lift, MPa: soft by thickness and by the edge."""
        return np.asarray(self.pressures_mpa * (1 + self.thickness[:, 0]) * (1 + self.edge[:, 0]))

    @property
    def high(self) -> Array:
        """The highest pressure at each lift, MPa: stiff by thickness and by the edge, and stretched."""
        stiff = (1 + self.thickness[:, 1]) * (1 + self.edge[:, 1])
        return np.asarray(self.pressures_mpa * stiff * (1 + self.stretch))

    def dominated_by(self) -> tuple[str, float]:
        """What opens the band most at the largest lift inside, and by how much of the force up or down."""
        reached = np.flatnonzero(self.inside & np.isfinite(self.pressures_mpa))
        at = int(reached[-1]) if len(reached) else 0
        calibrated = self.path.contacts.mount.fitted is not None
        widths = {
            "thickness": float(abs(np.nan_to_num(self.thickness[at])).max()),
            "calibration" if calibrated else "edge": float(abs(np.nan_to_num(self.edge[at])).max()),
            "stretch": float(self.stretch[at]),
            "friction": FRICTION,
        }
        widest = max(widths, key=lambda name: np.nan_to_num(widths[name]))
        return widest, widths[widest]


def nominal(plies: Sequence[Ply]) -> list[Layer]:
    """The layers of a stack at the mean thickness of their pieces, face first."""
    return [Layer(ply.od_mm, ply.thickness_mm.nominal, ply.line.quantity) for ply in plies]


def band(plies: Sequence[Ply], mount: Mount, lifts_mm: Array, *, slip: tuple[float, float] = SLIP) -> Band:
    """The band of a stack at rising lifts (n,), mm. `slip`: least and most of the clamp's edge, on a piston that was
    not calibrated.

    Raises CannotBend outside the model, NotSolved where the contacts do not settle.
    """
    path = follow(contacts_of(Groups.of(nominal(plies)), mount), float(lifts_mm[-1]))
    pressures = path.pressures_at(lifts_mm)

    def share(held: Mount) -> Array:
        return _share(nominal(plies), held, lifts_mm, pressures)

    if mount.fitted is None:
        by_edge = [share(replace(mount, edge_slip=edge)) for edge in (slip[1], slip[0])]
    else:
        pairs = [replace(mount, youngs_mpa=youngs, edge_slip=edge) for youngs, edge in mount.fitted.as_good]
        ends = [share(pair) for pair in pairs]
        low, high = np.minimum(*ends), np.maximum(*ends)
        by_edge = [np.minimum(low, 0.0) - mount.fitted.share, np.maximum(high, 0.0) + mount.fitted.share]
    stretch, inside = _stretch(path, lifts_mm)
    return Band(
        path,
        lifts_mm,
        pressures,
        thickness_shares(plies, mount, lifts_mm, pressures),
        np.stack(by_edge, axis=1),
        stretch,
        inside,
    )


def thickness_shares(plies: Sequence[Ply], mount: Mount, lifts_mm: Array, pressures_mpa: Array) -> Array:
    """(n, 2): the soft and the stiff end that the spread of thickness gives, as shares of the nominal pressures (n,).

    Raises as band() does.
    """
    soft = [Layer(p.od_mm, p.thickness_mm.low, p.line.quantity, p.thickness_mm.high) for p in plies]
    stiff = [Layer(p.od_mm, p.thickness_mm.high, p.line.quantity, p.thickness_mm.low) for p in plies]
    return np.stack([_share(layers, mount, lifts_mm, pressures_mpa) for layers in (soft, stiff)], axis=1)


def _share(layers: Sequence[Layer], mount: Mount, lifts_mm: Array, pressures_mpa: Array) -> Array:
    """(n,): by what share another stack's pressures differ from the nominal ones."""
    other = follow(contacts_of(Groups.of(layers), mount), float(lifts_mm[-1])).pressures_at(lifts_mm)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(pressures_mpa > 0, other / pressures_mpa - 1, 0.0))


def most_lift_mm(groups: Groups) -> float:
    """The lift of the face shim's rim up to which the face shims themselves bend without stretching much."""
    return float(MOST_THICKNESSES * np.sqrt(groups.cubes_mm3[0] / groups.height_mm[0]))


def path_to_end(groups: Groups, mount: Mount) -> tuple[Path, float]:
    """The path up to where the face shims begin to stretch, and the largest lift to look at: its end, or just short of
    the stop.

    Raises CannotBend outside the model and where the stack rests on its stop at once, NotSolved where the contacts do
    not settle.
    """
    path = follow(contacts_of(groups, mount), most_lift_mm(groups))
    end = float(path.lift_mm[-1]) * (SHORT_OF_STOP if path.stopped else 1)
    if end <= 0:
        raise CannotBend("stack_on_stop")
    return path, end


def lifts_up_to(end_mm: float) -> Array:
    """Lifts (POINTS,), geometrically spaced, from FIRST of the largest."""
    return np.geomspace(end_mm * FIRST, end_mm, POINTS)


def lifts_inside(groups: Groups, mount: Mount) -> Array:
    """Lifts (POINTS,), geometrically spaced, up to where any group begins to stretch or the stack rests on its stop.

    Raises CannotBend outside the model, NotSolved where the contacts do not settle.
    """
    path, end = path_to_end(groups, mount)
    tried = np.linspace(0.0, end, 2 * POINTS)[1:]
    over = _thicknesses(path, tried).max(axis=1) / MOST_THICKNESSES
    beyond = np.flatnonzero(over > 1)
    if len(beyond):
        at = int(beyond[0])
        before, lift = (0.0, 0.0) if at == 0 else (over[at - 1], tried[at - 1])
        end = float(lift + (tried[at] - lift) * (1 - before) / (over[at] - before))
    return lifts_up_to(end)


def _thicknesses(path: Path, lifts_mm: Array) -> Array:
    """(lifts, groups): how far the rim of each group that bends has moved, in thicknesses of its shims.

    Shims of a group share the deflection, so their stretching adds as the sum of t and their bending as that of t^3.
    """
    groups = path.contacts.groups
    bending = np.flatnonzero(path.contacts.reach).tolist()
    thick = np.sqrt(groups.cubes_mm3 / groups.height_mm)
    rims = [np.array([groups.radius_mm[group]]) for group in bending]
    return np.array(
        [
            [
                abs(deflection(path, float(lift), group, rim)[0]) / thick[group]
                for group, rim in zip(bending, rims, strict=True)
            ]
            for lift in lifts_mm
        ]
    ).reshape(len(lifts_mm), len(bending))


def _stretch(path: Path, lifts_mm: Array) -> tuple[Array, npt.NDArray[np.bool_]]:
    """(bound, inside) at each lift: the worst of the groups, each by how far its own rim has moved."""
    contacts = path.contacts
    groups, edge = contacts.groups, contacts.mount.edge_radius_mm(contacts.groups)
    reached = lifts_mm <= path.lift_mm[-1] * (1 + 1e-5)
    thicknesses = _thicknesses(path, lifts_mm[reached])
    free = 1 - edge / groups.radius_mm[np.flatnonzero(contacts.reach)]
    bound, inside = np.full(len(lifts_mm), np.nan), np.zeros(len(lifts_mm), dtype=np.bool_)
    bound[reached] = (STRETCH * free**2 * thicknesses**2).max(axis=1)
    inside[reached] = (thicknesses <= MOST_THICKNESSES * (1 + 1e-4)).all(axis=1)
    return bound, inside
