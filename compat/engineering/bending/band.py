"""How far to trust a curve: between the softest and the stiffest stack that its sizes, its steel and the oil allow.

Both ends are computed as stacks of their own, with everything at its soft and at its stiff end at once. Of the shims
the wide way round: for the soft end every shim bends as its thinnest and holds apart as its thickest, for the stiff end
the other way, so that no stack of those shims lies outside. What opens the band most is found by changing one thing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import Path, follow
from compat.engineering.bending.plates import Array
from compat.engineering.bending.shape import peaks_mpa, rims
from compat.engineering.bending.spread import EITHER, RING, Spread
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
REACHED = 1e-5  # of a lift: near enough to a path's end
SHORT_OF_YIELD = 0.999  # of the lift at which a shim may yield


@dataclass(frozen=True)
class Band:
    """A path with what is open about it, at lifts (n,).

    low, high (n,): the pressures, MPa, between which every stack lies that is possible; low_n, high_n: the forces on
    the ports' ring. NaN where some possible stack does not reach the lift. shares: by what opens the band, (n, 2), how
    far that alone moves the nominal pressures down and up, as shares of one. stretch (n,): at most so much stiffer.
    beyond (n,): whether some possible stack is bent there until it stretches much, so that `stretch` is no bound.
    inside (n,): whether every possible stack reaches the lift and none lies beyond.
    stress_low, stress_high (n,): between which the largest stress up to each lift lies, MPa. stop_mm: the least lift
    at which a possible stack rests on its stop; None where none does.
    """

    path: Path
    lifts_mm: Array
    pressures_mpa: Array
    low: Array
    high: Array
    low_n: Array
    high_n: Array
    shares: dict[str, Array]
    stretch: Array
    beyond: npt.NDArray[np.bool_]
    inside: npt.NDArray[np.bool_]
    stress_low: Array
    stress_high: Array
    stop_mm: float | None
    ends_by_yield: bool

    @property
    def at(self) -> int:
        """The place of the largest lift inside; the first where none is."""
        reached = np.flatnonzero(self.inside & np.isfinite(self.pressures_mpa))
        return int(reached[-1]) if len(reached) else 0

    def widths(self) -> dict[str, tuple[float, float]]:
        """By how much of the force each thing opens the band at the largest lift inside, down and up."""
        found = {name: (float(low), float(high)) for name, one in self.shares.items() for low, high in [one[self.at]]}
        found["stretch"] = (0.0, float(self.stretch[self.at]))
        found["friction"] = (-FRICTION, FRICTION)
        return {name: (low, high) for name, (low, high) in found.items() if np.isfinite(low) and np.isfinite(high)}

    def dominated_by(self) -> tuple[str, float]:
        """What that can be measured opens the band most there, and by how much of the force up or down. The pressure
        beside the ports is nothing that a size would settle."""
        widths = {name: max(abs(low), abs(high)) for name, (low, high) in self.widths().items() if name != "beyond"}
        widest = max(widths, key=lambda name: widths[name])
        return widest, widths[widest]

    def yields_mm(self, stresses: Array, limit_mpa: float) -> float | None:
        """The lift up to which one of the two stresses stays under a limit; None where it does at every lift."""
        end = _limit(self.lifts_mm, stresses / limit_mpa)
        return None if end >= self.lifts_mm[-1] else end


def nominal(plies: Sequence[Ply]) -> list[Layer]:
    """The layers of a stack at the mean thickness of their pieces, face first."""
    return [Layer(ply.od_mm, ply.thickness_mm.nominal, ply.line.quantity) for ply in plies]


def soft(plies: Sequence[Ply]) -> list[Layer]:
    """Every shim bends as its thinnest and holds apart as its thickest."""
    return [Layer(p.od_mm, p.thickness_mm.low, p.line.quantity, p.thickness_mm.high) for p in plies]


def stiff(plies: Sequence[Ply]) -> list[Layer]:
    """Every shim bends as its thickest and holds apart as its thinnest."""
    return [Layer(p.od_mm, p.thickness_mm.high, p.line.quantity, p.thickness_mm.low) for p in plies]


def band(
    plies: Sequence[Ply],
    spread: Spread,
    lifts_mm: Array | None = None,
    *,
    elastic_mpa: float = np.inf,
    path: Path | None = None,
) -> Band:
    """The band of a stack at rising lifts (n,), mm; None takes ten up to where, of the possible stacks, one begins to
    stretch, rests on its stop or bears `elastic_mpa`. path: the nominal one up to the largest of the lifts, where it is
    known.

    Raises CannotBend where a possible stack lies outside the model, NotSolved where the contacts do not settle.
    """
    groups, thin, thick = (Groups.of(layers(plies)) for layers in (nominal, soft, stiff))
    spread.refuse_outside_model([groups, thin, thick])
    end = most_lift_mm(groups) if lifts_mm is None else float(lifts_mm[-1])
    if path is None or lifts_mm is None:
        path = follow(contacts_of(groups, spread.mount), end)
    softest, stiffest = (
        [_alike(stack, corner, end, path) for corner in spread.corners(stack, soft=is_soft)]
        for stack, is_soft in ((thin, True), (thick, False))
    )
    possible = [path, *softest, *stiffest]
    by_yield = False
    if lifts_mm is None:
        lifts_mm, by_yield = _lifts(possible, elastic_mpa)
    pressures = path.pressures_at(lifts_mm)
    stretches, overs = zip(*(_stretch(one, lifts_mm) for one in possible), strict=True)
    beyond = np.logical_or.reduce(overs)
    reached = np.isfinite(np.array(stretches)).all(axis=0)
    ends = _ends(spread, path, softest, stiffest, stretches, lifts_mm)
    stress = np.array([_stress(one, lifts_mm) for one in possible])
    stops = [float(one.lift_mm[-1]) for one in possible if one.stopped]
    return Band(
        path,
        lifts_mm,
        pressures,
        *ends,
        _shares(plies, spread, path, lifts_mm, pressures),
        stretches[0],
        beyond,
        reached & ~beyond,
        np.maximum.accumulate(stress.min(axis=0)),
        np.maximum.accumulate((stress * (1 + np.nan_to_num(np.array(stretches)))).max(axis=0)),
        min(stops, default=None),
        by_yield,
    )


def _alike(groups: Groups, mount: Mount, end_mm: float, path: Path | None) -> Path:
    """The path of a stack that differs little from one whose path is known. There is one solution, so where it is
    sought from only saves time."""
    contacts = contacts_of(groups, mount)
    try:
        return follow(contacts, end_mm, like=path)
    except NotSolved:
        if path is None:
            raise
        return follow(contacts, end_mm)


def _ends(
    spread: Spread,
    path: Path,
    softest: Sequence[Path],
    stiffest: Sequence[Path],
    stretches: Sequence[Array],
    lifts_mm: Array,
) -> tuple[Array, Array, Array, Array]:
    """Least and most pressure, least and most force at each lift, of the nominal stack and both ends."""
    share = spread.mount.fitted.share if spread.mount.fitted is not None else 0.0
    every = [path, *softest, *stiffest]
    pressures = np.array([one.pressures_at(lifts_mm) for one in every])
    areas = np.array([one.contacts.mount.ring_area_mm2 for one in every])[:, None]
    stretched = pressures * (1 + np.array(stretches))
    split = 1 + len(softest)
    reached = np.isfinite(pressures[:split]).all(axis=0), np.isfinite(pressures).all(axis=0)
    found = []
    for scale in (1.0, areas):
        with np.errstate(invalid="ignore"):
            least = np.where(reached[0], np.fmin.reduce(pressures * scale) * (1 - share), np.nan)
            most = np.where(reached[1], np.fmax.reduce(stretched * scale) * (1 + share), np.nan)
        found += [least, most]
    return found[0], found[1], found[2], found[3]


def _shares(
    plies: Sequence[Ply], spread: Spread, path: Path, lifts_mm: Array, pressures_mpa: Array
) -> dict[str, Array]:
    """What moves the nominal pressures when it alone is changed to its ends."""

    def by(mounts: Iterable[Mount]) -> Array:
        changed = [one for one in mounts if one != mount]
        ends = [_share(groups, one, lifts_mm, pressures_mpa, path) for one in changed]
        return np.stack([np.minimum(np.fmin.reduce(ends), 0.0), np.maximum(np.fmax.reduce(ends), 0.0)], axis=1)

    mount, known, groups = spread.mount, spread.open, path.contacts.groups
    found = {}
    if any(ply.thickness_mm.low < ply.thickness_mm.high for ply in plies):
        found["thickness"] = thickness_shares(plies, mount, lifts_mm, pressures_mpa, path)
    if mount.fitted is not None:
        left = by(replace(mount, youngs_mpa=youngs, edge_slip=slip) for youngs, slip in mount.fitted.as_good)
        found["calibration"] = left + np.array([-mount.fitted.share, mount.fitted.share])
    if "youngs_mpa" in known:  # force goes with E exactly
        steel = known["youngs_mpa"]
        ends = [steel.low / mount.youngs_mpa - 1, steel.high / mount.youngs_mpa - 1]
        found["steel"] = np.tile(ends, (len(lifts_mm), 1))
    single = {"edge": "edge_slip", "base": "base_radius_mm", "beyond": "beyond"}
    for what, name in single.items():
        if name in known:
            found[what] = by(spread.at({name: end}) for end in (known[name].low, known[name].high))
    ports = [name for name in RING if name in known]
    if ports:
        found["ports"] = by(
            spread.at({name: getattr(known[name], one if name == RING[0] else other) for name in ports})
            for one, other in (("low", "high"), ("high", "low"))
        )
    if "hub_radius_mm" in known:
        found["hub"] = by(spread.at({EITHER[0]: end}) for end in spread.either(EITHER[0], groups))
    seat = [name for name in ("seat_radius_mm", "seat_height_mm") if name in known]
    if seat:
        found["seat"] = by(spread.at({name: end}) for name in seat for end in (known[name].low, known[name].high))
    return found


def thickness_shares(
    plies: Sequence[Ply], mount: Mount, lifts_mm: Array, pressures_mpa: Array, like: Path | None = None
) -> Array:
    """(n, 2): the soft and the stiff end that the spread of thickness gives, as shares of the nominal pressures (n,).

    like: the nominal path, where it is known. Raises as band() does.
    """
    ends = [Groups.of(layers(plies)) for layers in (soft, stiff)]
    return np.stack([_share(groups, mount, lifts_mm, pressures_mpa, like) for groups in ends], axis=1)


def _share(groups: Groups, mount: Mount, lifts_mm: Array, pressures_mpa: Array, like: Path | None) -> Array:
    """(n,): by what share another stack's pressures differ from the nominal ones."""
    other = _alike(groups, mount, float(lifts_mm[-1]), like).pressures_at(lifts_mm)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(pressures_mpa > 0, other / pressures_mpa - 1, 0.0))


def most_lift_mm(groups: Groups) -> float:
    """The lift of the face shim's rim up to which the face shims themselves bend without stretching much."""
    return float(MOST_THICKNESSES * np.sqrt(groups.cubes_mm3[0] / groups.stretched_mm[0]))


def path_to_end(groups: Groups, mount: Mount) -> tuple[Path, float]:
    """The path up to where the face shims begin to stretch, and the largest lift to look at: its end, or just short of
    the stop.

    Raises CannotBend outside the model and where the stack rests on its stop at once, NotSolved where the contacts do
    not settle.
    """
    path = follow(contacts_of(groups, mount), most_lift_mm(groups))
    return path, _end(path)


def lifts_up_to(end_mm: float) -> Array:
    """Lifts (POINTS,), geometrically spaced, from FIRST of the largest."""
    return np.geomspace(end_mm * FIRST, end_mm, POINTS)


def lifts_inside(groups: Groups, mount: Mount) -> Array:
    """Lifts (POINTS,), geometrically spaced, up to where any group begins to stretch or the stack rests on its stop.

    Raises CannotBend outside the model, NotSolved where the contacts do not settle.
    """
    return _lifts([path_to_end(groups, mount)[0]], np.inf)[0]


def _lifts(possible: Sequence[Path], elastic_mpa: float) -> tuple[Array, bool]:
    """Lifts (POINTS,) inside of what all possible stacks bear, and whether yielding ends them."""
    end = min(_end(path) for path in possible)
    tried = np.linspace(0.0, end, 2 * POINTS)[1:]
    moved = [_thicknesses(path, tried) for path in possible]
    over = np.max([one.max(axis=1) for one in moved], axis=0) / MOST_THICKNESSES
    end = _limit(tried, over)
    if np.isfinite(elastic_mpa):
        stress = np.max([_stress(path, tried) * (1 + _stretch(path, tried)[0]) for path in possible], axis=0)
        at_rest = max(float(peaks_mpa(path, np.zeros(1))[0]) for path in possible)
        if at_rest < elastic_mpa:
            bears = SHORT_OF_YIELD * _limit(tried, np.maximum.accumulate(stress) / elastic_mpa, at_rest / elastic_mpa)
            if bears < end * SHORT_OF_YIELD:
                return lifts_up_to(bears), True
    return lifts_up_to(end), False


def _end(path: Path) -> float:
    end = float(path.lift_mm[-1]) * (SHORT_OF_STOP if path.stopped else 1)
    if end <= 0:
        raise CannotBend("stack_on_stop")
    return end


def _limit(lifts_mm: Array, over: Array, at_rest: float = 0.0) -> float:
    """The lift at which a share first exceeds one, on the straight lines between those at the lifts; else the last."""
    beyond = np.flatnonzero(over > 1)
    if not len(beyond):
        return float(lifts_mm[-1])
    at = int(beyond[0])
    before, lift = (at_rest, 0.0) if at == 0 else (float(over[at - 1]), float(lifts_mm[at - 1]))
    return lift + (float(lifts_mm[at]) - lift) * (1 - before) / (float(over[at]) - before)


def _thicknesses(path: Path, lifts_mm: Array) -> Array:
    """(lifts, groups): how far the rim of each group that bends has moved, in thicknesses of its shims.

    Shims of a group share the deflection, so their stretching adds as the sum of t and their bending as that of t^3.
    """
    groups = path.contacts.groups
    bending = np.flatnonzero(path.contacts.reach)
    return np.asarray(abs(rims(path, lifts_mm)) / np.sqrt(groups.cubes_mm3 / groups.stretched_mm)[bending])


def _stress(path: Path, lifts_mm: Array) -> Array:
    """(n,): the largest stress at each lift; beyond those reached that just short of the stop, where it has no end."""
    last = float(path.lift_mm[-1]) * (SHORT_OF_STOP if path.stopped else 1)
    return peaks_mpa(path, np.minimum(lifts_mm, last))


def _stretch(path: Path, lifts_mm: Array) -> tuple[Array, npt.NDArray[np.bool_]]:
    """(bound, beyond) at each lift: the worst of the groups, each by how far its own rim has moved. NaN, and not
    beyond, where the lift is not reached."""
    contacts = path.contacts
    groups, edge = contacts.groups, contacts.mount.edge_radius_mm(contacts.groups)
    reached = lifts_mm <= path.lift_mm[-1] * (1 + REACHED)
    thicknesses = _thicknesses(path, np.minimum(lifts_mm[reached], path.lift_mm[-1]))
    free = 1 - edge / groups.radius_mm[np.flatnonzero(contacts.reach)]
    bound, beyond = np.full(len(lifts_mm), np.nan), np.zeros(len(lifts_mm), dtype=np.bool_)
    bound[reached] = (STRETCH * free**2 * thicknesses**2).max(axis=1)
    beyond[reached] = (thicknesses > MOST_THICKNESSES * (1 + 1e-4)).any(axis=1)
    return bound, beyond
