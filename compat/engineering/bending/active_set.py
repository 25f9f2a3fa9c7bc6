"""Who presses on whom: the complementarity problem of a stack's contacts at one load.

Lawson and Hanson's active set for least squares with non-negative unknowns (Solving Least Squares Problems, 1974,
chapter 23), on the normal equations: the matrix is symmetric and positive definite, so it ends at the one solution.
Exchanging whole blocks instead would cycle, since the matrix is no M-matrix; blocks serve to find a start only.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from compat.engineering.bending.plates import Array

TOLERANCE = 1e-9  # of the load, not of the gaps: else a closed contact is missed without a sign
_BLOCKS = 12
_REFRESH = 40  # updates of the inverse before it is made anew
_NEARLY = 1e-6  # of its compliance that a contact adds of its own to those that press already


_least = np.minimum.reduce  # what min() calls, without its wrapper: most arrays here are shorter than its cost


class NotSolved(ArithmeticError):
    """The budget of exchanges is spent."""


class ActiveSet:
    """The contacts that press, with their forces and the inverse of their block, kept from one load to the next.

    matrix (n, n): symmetric, positive definite, unit diagonal.
    """

    def __init__(self, matrix: Array) -> None:
        self._matrix = matrix
        self._size = 0
        self._index = np.empty(len(matrix), dtype=np.intp)
        self._rows = np.empty_like(matrix)
        self._inverse = np.empty_like(matrix)
        self._updates = 0
        self.forces: Array = np.empty(0)

    @property
    def members(self) -> npt.NDArray[np.intp]:
        """The contacts that press, in no order; `forces` has theirs in the same one."""
        return self._index[: self._size]

    def respond(self, load: Array) -> Array:
        """Forces of the members that hold their openings at zero under a load (n,) or loads (n, m)."""
        k = self._size
        return np.asarray(-(self._inverse[:k, :k] @ load[self._index[:k]]))

    def openings(self, load: Array, forces: Array) -> Array:
        """(n,) or (n, m): the openings under a load with these forces of the members."""
        return np.asarray(load + self._rows[: self._size].T @ forces)

    def solve(self, load: Array, scale: float) -> None:
        """Forces >= 0 and openings >= 0 under `load` (n,), from the members there are and their forces.

        `scale` is the size of an opening by the load alone. Raises NotSolved when the budget is spent.
        """
        tolerance = TOLERANCE * scale
        barred: list[int] = []
        wanted = self.respond(load)
        for _ in range(4 * len(load) + 60):
            openings = self.openings(load, self._feasible(load, wanted))
            openings[self.members] = 0.0
            openings[barred] = 0.0
            worst = int(openings.argmin()) if len(load) else 0
            if not len(load) or openings[worst] >= -tolerance:
                return
            self._add(worst)
            wanted = self.respond(load)
            # by rounding one that overlaps may pull as soon as it is let in: then it stays out
            if wanted[-1] <= 0:
                self._drop(self._size - 1)
                wanted = self.respond(load)
                barred.append(worst)
            else:
                barred = []
        raise NotSolved

    def start(self, load: Array, scale: float) -> None:
        """Members and forces near the solution, by exchanging whole blocks a few times."""
        tolerance = TOLERANCE * scale
        pressing = np.ones(len(load), dtype=np.bool_)
        for _ in range(_BLOCKS):
            chosen = np.flatnonzero(pressing)
            forces = np.zeros(len(load))
            forces[chosen] = np.linalg.solve(self._matrix[chosen[:, None], chosen], -load[chosen])
            openings = load + self._matrix @ forces
            openings[chosen] = 0.0
            pulling, overlapping = forces < 0, openings < -tolerance
            if not (pulling.any() or overlapping.any()):
                break
            pressing = (pressing & ~pulling) | overlapping
        self.start_from(np.flatnonzero(pressing), load)

    def start_from(self, members: npt.NDArray[np.intp], load: Array) -> None:
        """Those of these members that press on each other under the load, with their forces."""
        self._set(members)
        forces = self.respond(load)
        while self._size and _least(forces) < 0:
            self._set(self.members[forces > 0])
            forces = self.respond(load)
        self.forces = forces

    def take(self, other: ActiveSet, places: npt.NDArray[np.intp]) -> None:
        """The members of a part of the system: `places` are its contacts in this one."""
        self._set(places[other.members])
        self.forces = other.forces.copy()

    def _feasible(self, load: Array, wanted: Array) -> Array:
        """Steps from the forces there are towards those that the load asks for, dropping who would pull. `wanted`:
        what respond() gives for the load."""
        while self._size and _least(wanted) < 0:
            have = self.forces
            if len(have) < len(wanted):
                have = np.concatenate([have, np.zeros(len(wanted) - len(have))])
            pulling = (wanted < 0).nonzero()[0]
            shares = have[pulling] / (have[pulling] - wanted[pulling])
            first = int(shares.argmin())
            place = int(pulling[first])
            reached = have + shares[first] * (wanted - have)
            self._drop(place)
            reached[place] = reached[-1]
            self.forces = np.maximum(reached[:-1], 0.0)
            wanted = self.respond(load)
        self.forces = wanted
        return wanted

    def _set(self, members: npt.NDArray[np.intp]) -> None:
        members = members.copy()
        self._size = k = len(members)
        self._index[:k] = members
        self._rows[:k] = self._matrix[members]
        self._renew()

    def _renew(self) -> None:
        k = self._size
        try:
            self._inverse[:k, :k] = np.linalg.inv(self._rows[:k, self._index[:k]])
        except np.linalg.LinAlgError as error:
            raise NotSolved from error
        self._updates = 0

    def _add(self, contact: int) -> None:
        k = self._size
        self._size = k + 1
        self._index[k] = contact
        self._rows[k] = self._matrix[contact]
        self._updates += 1
        if self._updates > _REFRESH:
            self._renew()
            return
        column = self._rows[k, self._index[:k]]
        inverse = self._inverse
        along = inverse[:k, :k] @ column
        rest = self._rows[k, contact] - column @ along
        if rest <= _NEARLY:  # an update would carry the rounding of all updates before
            self._renew()
            return
        scaled = along / rest
        inverse[:k, :k] += along[:, None] * scaled
        inverse[:k, k] = inverse[k, :k] = -scaled
        inverse[k, k] = 1 / rest

    def _drop(self, place: int) -> None:
        """Takes one out; the last one moves to its place."""
        last = self._size - 1
        inverse = self._inverse
        block = inverse[: last + 1, : last + 1]
        column = block[:, place].copy()
        block -= column[:, None] * (column / column[place])
        if place != last:
            self._index[place] = self._index[last]
            self._rows[place] = self._rows[last]
            block[place] = block[last]
            block[:, place] = block[:, last]
        self._size = last
        self._updates += 1
        if self._updates > _REFRESH:
            self._renew()
