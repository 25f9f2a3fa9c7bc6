"""The lift of a stack against pressure, followed from rest: piecewise linear between the events of its contacts.

Between two events the same contacts press, and everything is linear in the pressure. The next event is where the
first force or opening reaches zero. Where a wide zone of contact travels outward, hundreds of events follow that move
nothing: those that change an opening by less than SLACK of the load, or a force by less than that of the largest one,
are taken together, and the contacts are solved anew at the end of the step. So every knot is exact, and between two
knots nothing is off by more than the slack.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from compat.engineering.bending.active_set import ActiveSet, NotSolved
from compat.engineering.bending.contact import RIGID, Contacts, Places
from compat.engineering.bending.plates import Array

SLACK = 1e-4  # of the opening that the load alone would make
FORCE_SLACK = 1e-2  # of the largest force
_LEAST_STEP = 1e-6
_REACHED = 1e-6  # of the lift asked for: near enough to its end
_MOST_KNOTS = 400
_LEAST_TRUE = 1e-3  # of the load: contacts that are further off are no solution
_MOST_PRESSURE_MPA = 1_000.0  # far above any damper's: no path goes further
_STANDS = 1e-3  # of what the face shim would move alone: a stack that moves less rests on its stop


@dataclass(frozen=True)
class Closing:
    """The lift, millimetres, at which a gap first closes: group numbers of its two sides, RIGID for the base plate."""

    below: int
    above: int
    lift_mm: float


@dataclass(frozen=True)
class Path:
    """Knots from rest to the lift asked for: pressure_mpa, lift_mm (k,), rising; forces (k, n), scaled as in Contacts.

    Linear between the knots. `stopped`: the lift asked for is not reached, since the stack rests on its base plate.
    The rim itself may fall again where a shim rolls over the rim behind it; `lift_mm` is the highest so far, so a
    lift stands for the pressure that first reaches it. `at_first`: the contacts that press as soon as the pressure
    rises, where nothing presses at rest.
    """

    contacts: Contacts
    pressure_mpa: Array
    lift_mm: Array
    forces: Array
    closings: tuple[Closing, ...]
    stopped: bool
    at_first: Places

    def pressures_at(self, lifts_mm: Array) -> Array:
        """The pressure, MPa, for each lift; NaN beyond the last knot."""
        end = self.lift_mm[-1]
        inside = np.where(lifts_mm <= end * (1 + 2 * _REACHED), np.minimum(lifts_mm, end), np.nan)
        # numpy gives the one knot of a path of one, whatever is looked for.
        return np.where(np.isnan(inside), np.nan, np.interp(inside, self.lift_mm, self.pressure_mpa))

    def first_closing_mm(self) -> float | None:
        """The lift at which the first gap between shims closes; None where none does up to the last knot."""
        return min((closing.lift_mm for closing in self.closings if closing.above != RIGID), default=None)

    def forces_at(self, lift_mm: float) -> Array:
        """The scaled contact forces (n,) at a lift up to the last knot."""
        return np.asarray(self.forces_between(np.array([lift_mm]))[0])

    def forces_between(self, lifts_mm: Array) -> Array:
        """The scaled contact forces (m, n) at lifts (m,) up to the last knot."""
        if len(self.lift_mm) < 2:
            return np.repeat(self.forces, len(lifts_mm), axis=0)
        after = np.clip(np.searchsorted(self.lift_mm, lifts_mm), 1, len(self.lift_mm) - 1)
        low, high = self.lift_mm[after - 1], self.lift_mm[after]
        rising = high > low
        share = np.where(rising, (lifts_mm - low) / np.where(rising, high - low, 1.0), 0.0)[:, None]
        return np.asarray(self.forces[after - 1] + share * (self.forces[after] - self.forces[after - 1]))


def follow(
    contacts: Contacts,
    lift_mm: float,
    *,
    like: Path | None = None,
    slack: float = SLACK,
    force_slack: float = FORCE_SLACK,
) -> Path:
    """The path from rest to `lift_mm` > 0; `like`: one of a stack that differs little, to begin from its contacts.

    Raises NotSolved where the contacts do not settle.
    """
    alike = None if like is None else contacts.like(like.contacts, like.at_first)
    return _Walk(contacts, lift_mm, alike, slack, force_slack).path()


class _Walk:
    def __init__(
        self, contacts: Contacts, lift_mm: float, alike: Places | None, slack: float, force_slack: float
    ) -> None:
        self._contacts, self._end, self._slack, self._force_slack = contacts, lift_mm, slack, force_slack
        self._alike = alike
        self._terms = np.stack([contacts.gap, contacts.load], axis=1)
        self._scale = float(abs(contacts.load).max()) if len(contacts.load) else 1.0
        self._rest_scale = float(-contacts.gap.min()) if contacts.mount.preload is not None else 0.0
        self._active = ActiveSet(contacts.matrix)
        self._knots: list[tuple[float, float, Array]] = []
        self._closed: dict[tuple[int, int], float] = {}
        self._apart = contacts.apart & (contacts.below != RIGID)
        self._seated = False

    def path(self) -> Path:
        self._rest()
        at_first = self._active.members.copy()
        pressure = 0.0
        self._note(pressure)
        stopped = False
        while len(self._knots) < _MOST_KNOTS:
            forces = self._active.respond(self._terms)
            by_pressure, at_rest = self._slope(forces)
            ends = (self._end - at_rest) / by_pressure if by_pressure > 0 else np.inf
            following = max(min(self._next(pressure, forces), ends), pressure * (1 + _LEAST_STEP))
            stopped = following > _MOST_PRESSURE_MPA
            if stopped and by_pressure <= _STANDS * self._contacts.lift_by_pressure:
                break
            pressure = min(following, _MOST_PRESSURE_MPA)
            load = self._terms @ (1.0, pressure)
            self._active.forces = np.maximum(forces @ (1.0, pressure), 0.0)
            self._active.solve(load, self._scale * pressure + self._rest_scale)
            self._note(pressure)
            if stopped or self._knots[-1][1] >= self._end * (1 - _REACHED):
                break
        else:
            raise NotSolved
        table = [(p, lift) for p, lift, _ in self._knots]
        knots = np.array(table)
        closings = tuple(Closing(below, above, lift) for (below, above), lift in self._closed.items())
        forces = np.array([forces for _, _, forces in self._knots])
        return Path(
            self._contacts, knots[:, 0], np.maximum.accumulate(knots[:, 1]), forces, closings, stopped, at_first
        )

    def _rest(self) -> None:
        """Who presses before the pressure rises, or as soon as it does where nothing presses at rest."""
        contacts = self._contacts
        if contacts.mount.preload is not None:
            self._active.solve(contacts.gap, self._rest_scale)
            return
        touching = np.flatnonzero(contacts.gap <= 0)
        if not len(touching):
            return
        part = ActiveSet(contacts.matrix[touching[:, None], touching])
        load = contacts.load[touching]
        if self._alike is None:
            part.start(load, self._scale)
        else:
            part.start_from(np.flatnonzero(np.isin(touching, self._alike)), load)
        part.solve(load, self._scale)
        self._active.take(part, touching)
        self._active.forces = np.zeros(len(part.forces))

    def _slope(self, forces: Array) -> tuple[float, float]:
        """(lift by pressure, lift at no pressure) on the line that the members make, whose forces (members, 2) are
        those at no pressure and those by a unit of it."""
        at_rest, by_pressure = forces.T
        along = self._contacts.lift_by_force[self._active.members]
        return (
            self._contacts.lift_by_pressure + float(along @ by_pressure),
            self._contacts.lift_at_rest + float(along @ at_rest),
        )

    def _next(self, pressure: float, forces: Array) -> float:
        """The pressure at which the first force, as _slope() takes them, or opening goes beyond zero by its slack."""
        if not len(self._terms):
            return np.inf
        openings = self._active.openings(self._terms, forces)
        openings[self._active.members] = 0.0
        room = (self._slack * self._rest_scale, self._slack * self._scale)
        found = _first_crossing(openings + room)
        if len(forces):
            largest = abs(forces).max(axis=0) if pressure == 0 else (float(abs(forces @ (1.0, pressure)).max()), 0.0)
            allowed = np.tile(self._force_slack * np.asarray(largest), (len(forces), 1))
            if self._seated:  # it opens where it opens: the curve turns there
                allowed[self._active.members == self._contacts.seat] = 0.0
            found = min(found, _first_crossing(forces + allowed))
        return found

    def _note(self, pressure: float) -> None:
        contacts, active = self._contacts, self._active
        forces = np.zeros(len(contacts.gap))
        forces[active.members] = active.forces
        openings = active.openings(self._terms @ (1.0, pressure), active.forces)
        off = max(float(-openings.min(initial=0.0)), float(abs(openings[active.members]).max(initial=0.0)))
        if not off <= _LEAST_TRUE * (self._scale * pressure + self._rest_scale):  # NaN too
            raise NotSolved
        lift = contacts.lift_at_rest + pressure * contacts.lift_by_pressure + float(contacts.lift_by_force @ forces)
        self._seated = contacts.mount.preload is not None and bool(forces[contacts.seat] > 0)
        if self._seated:
            lift = 0.0  # to the last digit, which the yielding of a contact would blur
        self._knots.append((pressure, max(lift, 0.0), forces))
        for contact in np.flatnonzero(self._apart & (forces > 0)).tolist():
            pair = (int(contacts.below[contact]), int(contacts.above[contact]))
            self._closed.setdefault(pair, lift)


def _first_crossing(terms: Array) -> float:
    """The least p with terms[:, 0] + p terms[:, 1] falling to zero; infinity where none falls."""
    falling = terms[:, 1] < 0
    return float((-terms[falling, 0] / terms[falling, 1]).min(initial=np.inf))
