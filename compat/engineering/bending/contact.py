"""The plates of a stack on each other, on the hub, on the base plate and on the seat, as one system of contacts.

At every contact radius the plates that reach it lie in a list, face to base. Neighbours in that list are a contact;
its gap is the thickness of what lies between them and does not reach that radius. With forces f >= 0 of the contacts,

    opening = matrix f + gap + pressure * load >= 0,   f . opening = 0

Nothing is assigned a clamp radius of its own: each shim's effective clamp comes out of the contacts.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from compat.engineering.bending import plates
from compat.engineering.bending.plates import Array
from compat.engineering.bending.stack import CannotBend, Groups, Mount, refuse_outside_model

FILL = 15  # radii between the clamp and the largest shim besides those of the parts
CLOSER = 1.25  # power by which they lie closer together near the clamp, where contact forces are steepest
SAME_MM = 1e-6  # radii nearer than this are one
MOST_CONTACTS = 1_200  # far above any damper's stack; more would take seconds
YIELDS = 1e-6  # of its own compliance, by which a contact gives way: without it near radii act as one, to rounding
RIGID = -1  # the place of the hub, the seat or the base plate in a contact

Places = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Contacts:
    """The system of one stack, n contacts on k radii.

    radii (k,), rising, beyond the clamp. node, below, above (n,): the radius of each contact, the group on the face's
    side and the group on the base plate's side, RIGID for hub and seat below, for the base plate above. Forces are
    scaled so that the matrix has a unit diagonal: a contact's force in newtons is `unit` times its scaled force, and
    its opening in millimetres is the scaled opening over `unit`. matrix (n, n), gap, load (n,) are scaled so.
    `lift_by_force` (n,) and `lift_by_pressure` give the lift in millimetres: at the face shim's rim or, with a seat,
    above the seat. Finite gaps only: `apart` (n,) marks the contacts that are open when nothing presses.
    """

    groups: Groups
    mount: Mount
    radii: Array
    node: Places
    below: Places
    above: Places
    unit: Array
    matrix: Array
    gap: Array
    load: Array
    lift_by_force: Array
    lift_by_pressure: float
    lift_at_rest: float
    reach: Places

    @property
    def seat(self) -> int:
        """The contact of the face shim with the seat, where there is one: the last."""
        return len(self.gap) - 1

    @property
    def apart(self) -> npt.NDArray[np.bool_]:
        return np.asarray(self.gap > 0, dtype=np.bool_)

    def like(self, other: Contacts, pressing: Places) -> Places:
        """The contacts here that stand where these contacts of another stack press: a guess to begin from.

        A group that the other stack lacks stands where the next one behind it does.
        """
        theirs = other.groups.radius_mm.tolist()
        stands, behind = dict[int, int](), len(theirs) - 1
        for group in range(len(self.groups.radius_mm) - 1, -1, -1):
            radius = self.groups.radius_mm[group]
            at = next((place for place in range(behind, -1, -1) if theirs[place] == radius), behind)
            stands[group] = behind = at
        stands[RIGID] = RIGID
        nearest = np.abs(other.radii[:, None] - self.radii).argmin(axis=0)
        pressed = {*zip(other.node[pressing].tolist(), other.above[pressing].tolist(), strict=True)}
        places = zip(nearest[self.node].tolist(), self.above.tolist(), strict=True)
        return np.flatnonzero([(node, stands[above]) in pressed for node, above in places])

    def sign_on(self, group: int) -> Array:
        """(n,) +1 where a contact presses the group away from the piston, -1 towards it, 0 elsewhere."""
        return np.asarray((self.above == group) * 1.0 - (self.below == group) * 1.0)


def contacts_of(groups: Groups, mount: Mount, *, fill: int = FILL) -> Contacts:
    """The contacts of a stack. Raises CannotBend where the model does not hold. `fill`: extra radii."""
    refuse_outside_model(groups, mount)
    radii = _radii(groups, mount, fill)
    reach = np.searchsorted(radii, groups.radius_mm + SAME_MM)
    node, below, above, gap = _rows(radii, reach, groups, mount)
    if len(node) > MOST_CONTACTS:
        raise CannotBend("too_many_diameters", contacts=len(node), most=MOST_CONTACTS)
    flexible = np.flatnonzero(reach)
    matrix, load, at_lift, pressed = _compliance(groups, mount, radii, reach, flexible, node, below, above)
    matrix[np.diag_indices(len(matrix))] *= 1 + YIELDS
    unit = 1 / np.sqrt(matrix.diagonal())
    seat = mount.preload
    return Contacts(
        groups,
        mount,
        radii,
        node,
        below,
        above,
        unit,
        matrix * unit[:, None] * unit,
        gap * unit,
        load * unit,
        at_lift * unit,
        pressed,
        -seat.height_mm if seat is not None else 0.0,
        reach,
    )


def _radii(groups: Groups, mount: Mount, fill: int) -> Array:
    """Every radius of a part beyond the clamp, and steps between; never thinned, which would miss contacts."""
    clamp, largest = mount.clamp_radius_mm(groups), float(groups.radius_mm.max())
    parts = [mount.inner_radius_mm, mount.outer_radius_mm, mount.hub_radius_mm, mount.base_radius_mm]
    if mount.preload is not None:
        parts.append(mount.preload.radius_mm)
    steps = clamp + (largest - clamp) * np.linspace(0.0, 1.0, fill + 1)[1:] ** CLOSER
    found = np.sort(np.concatenate([groups.radius_mm, parts, steps]))
    found = found[(found > clamp + SAME_MM) & (found <= largest + SAME_MM)]
    return np.asarray(found[np.diff(found, prepend=0.0) > SAME_MM])


def _rows(radii: Array, reach: Places, groups: Groups, mount: Mount) -> tuple[Places, Places, Places, Array]:
    """Neighbours at every radius, the nearest radius first."""
    level = np.concatenate([[0.0], np.cumsum(groups.height_mm)]).tolist()
    rows: list[tuple[int, int, int, float]] = []
    reaches = reach.tolist()
    for node, radius in enumerate(radii.tolist()):
        present = [group for group, ends in enumerate(reaches) if ends > node]
        if radius <= mount.hub_radius_mm + SAME_MM:
            rows.append((node, RIGID, present[0], level[present[0]]))
        rows += [(node, lower, upper, level[upper] - level[lower + 1]) for lower, upper in pairwise(present)]
        if radius <= mount.base_radius_mm + SAME_MM:
            rows.append((node, present[-1], RIGID, level[-1] - level[present[-1] + 1]))
    seat = mount.preload
    if seat is not None:
        rows.append((int(np.argmin(abs(radii - seat.radius_mm))), RIGID, 0, -seat.height_mm))
    table = np.array(rows, dtype=float).reshape(-1, 4)
    gap = np.where(abs(table[:, 3]) < SAME_MM / 1000, 0.0, table[:, 3])
    node_, below, above = table[:, :3].T.astype(np.intp)
    return node_, below, above, gap


def _compliance(
    groups: Groups,
    mount: Mount,
    radii: Array,
    reach: Places,
    flexible: Places,
    node: Places,
    below: Places,
    above: Places,
) -> tuple[Array, Array, Array, float]:
    """The matrix, the load and what a force and a unit pressure add to the lift, in millimetres, unscaled."""
    edge, poisson = mount.edge_radius_mm(groups), mount.poisson
    bent = plates.by_clamp_moment(radii, edge)
    sheared = (plates.by_ring_load(radii[:, None], radii) - plates.by_ring_load(radii, edge)[:, None]) / (8 * np.pi)
    moments = plates.clamp_moment(radii, groups.radius_mm[flexible, None], edge, poisson)
    stiff = plates.stiffness(groups.cubes_mm3, mount.youngs_mpa, poisson)
    count = len(node)
    matrix, load, at_lift = np.zeros((count, count)), np.zeros(count), np.zeros(count)
    pressed = 0.0
    for group, moment in zip(flexible.tolist(), moments, strict=True):
        ends = reach[group]
        upward, downward = np.flatnonzero(above == group), np.flatnonzero(below == group)
        mine = np.concatenate([upward, downward])
        at = node[mine]
        sign = np.ones(len(mine))
        sign[len(upward) :] = -1
        gives = (bent[:ends, None] * moment[:ends] + sheared[:ends, :ends]) / stiff[group]
        matrix[mine[:, None], mine] += gives[at[:, None], at] * sign[:, None] * sign
        if group == 0:
            face = float(groups.radius_mm[0])
            pressure = plates.rings_deflection(radii[:ends], mount.rings(groups), face, edge, poisson) / stiff[0]
            load[mine] = sign * pressure[at]
            seat = mount.preload
            lifted = int(ends) - 1 if seat is None else int(np.argmin(abs(radii - seat.radius_mm)))
            at_lift[mine] = sign * gives[lifted, at]
            pressed = float(pressure[lifted])
    return matrix, load, at_lift, pressed
