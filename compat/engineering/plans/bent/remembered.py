"""Curves that searches have solved, remembered from one to the next.

A curve follows from the stack, the mount and the stack asked for alone: who changes one side of a valve, or what may be
used, or asks for other ways too, does not wait for it again. A process remembers the SIDES_KEPT stacks asked for last,
each with up to CURVES_KEPT curves of other stacks in its place and without the system of its contacts. A curve takes up
to CURVE_BYTES, key and place in the table with it; what belongs to the stack itself up to SIDE_BYTES, and a stack whose
path is larger, as none of a damper's is, is solved each time. So at the bound there are 16,000 curves in MOST_BYTES, 40
million bytes a process (measured by tests/engineering/test_plan_curves_kept.py).
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from threading import Lock
from typing import NamedTuple

import numpy as np

from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.band import lifts_up_to, path_to_end
from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import Path, follow
from compat.engineering.bending.plates import Array
from compat.engineering.bending.stack import CannotBend, Groups, Layer, Mount

SIDES_KEPT, CURVES_KEPT = 32, 500  # stacks asked for, and curves of others in the place of each
SIDE_BYTES, CURVE_BYTES = 500_000, 1_500
MOST_BYTES = SIDES_KEPT * (SIDE_BYTES + CURVES_KEPT * CURVE_BYTES)


class Solved(NamedTuple):
    """A curve at the lifts of the one asked for, None where there is none, and the contacts that it took; None where
    they could not be set up."""

    pressures: Array | None
    contacts: int | None


@dataclass(frozen=True)
class Asked:
    """The path of a stack on its mount, up to `end_mm`, with the pressures at its lifts; `solved`: other stacks at the
    same lifts, by what their layers say. The path's contacts have no matrix."""

    mount: Mount
    path: Path
    end_mm: float
    lifts_mm: Array
    pressures: Array
    solved: dict[bytes, Solved] = field(default_factory=dict)

    def curve(self, layers: Iterable[Layer], groups: Groups) -> Solved:
        """The curve of another stack, whose layers make these groups."""
        key = _key(layers)
        found = self.solved.get(key)
        if found is None:
            if len(self.solved) >= CURVES_KEPT:
                self.solved.clear()
            found = self.solved[key] = self._solve(groups)
        return found

    def _solve(self, groups: Groups) -> Solved:
        contacts = None
        try:
            contacts = contacts_of(groups, self.mount)
            path = follow(contacts, float(self.lifts_mm[-1]), like=self.path)
            pressures = _shared(path.pressures_at(self.lifts_mm))
            return Solved(pressures if np.isfinite(pressures).all() else None, len(contacts.gap))
        except (CannotBend, NotSolved):
            return Solved(None, None if contacts is None else len(contacts.gap))

    @property
    def nbytes(self) -> int:
        """What its arrays take, without the curves of others."""
        told = [value for one in (self.path, self.path.contacts) for value in vars(one).values()]
        return sum(value.nbytes for value in told if isinstance(value, np.ndarray))


_kept: OrderedDict[tuple[tuple[Layer, ...], Mount], Asked] = OrderedDict()
_one_at_a_time = Lock()


def asked_of(layers: tuple[Layer, ...], mount: Mount) -> Asked:
    """Raises CannotBend or NotSolved where the stack has no curve."""
    with _one_at_a_time:
        found = _kept.get((layers, mount))
        if found is not None:
            _kept.move_to_end((layers, mount))
            return found
    found = _solved(layers, mount)
    if found.nbytes <= SIDE_BYTES:
        with _one_at_a_time:
            _kept[layers, mount] = found
            while len(_kept) > SIDES_KEPT:
                _kept.popitem(last=False)
    return found


def forget() -> None:
    """Nothing is remembered any more."""
    with _one_at_a_time:
        _kept.clear()


def _solved(layers: tuple[Layer, ...], mount: Mount) -> Asked:
    path, end = path_to_end(Groups.of(layers), mount)
    lifts = _shared(lifts_up_to(end))
    # Only the walk along the path needs the matrix, which is most of it.
    path = replace(path, contacts=replace(path.contacts, matrix=np.empty((0, 0))))
    return Asked(mount, path, end, lifts, _shared(path.pressures_at(lifts)))


def _key(layers: Iterable[Layer]) -> bytes:
    """What layers say, in less than they take themselves."""
    gaps = ((one, np.nan if one.gap_thickness_mm is None else one.gap_thickness_mm) for one in layers)
    return np.array([(one.od_mm, one.thickness_mm, one.count, gap) for one, gap in gaps]).tobytes()


def _shared(one: Array) -> Array:
    """One that no search changes for the next. A copy where it is part of another, which would stay with it."""
    one = one if one.base is None else one.copy()
    one.setflags(write=False)
    return one
