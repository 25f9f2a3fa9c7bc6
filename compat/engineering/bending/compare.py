"""One stack's curve against another's on the same mount: the one place that says how far apart they are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from compat.engineering.bending.band import lifts_up_to
from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import Path, follow
from compat.engineering.bending.plates import Array
from compat.engineering.bending.stack import Groups


@dataclass(frozen=True)
class Compared:
    """Pressures, MPa, of two stacks at rising lifts (n,), mm: as asked and as built. NaN where the built one does not
    reach a lift. differences (n,): built less asked, percent of asked."""

    asked_path: Path
    built_path: Path
    lifts_mm: Array
    asked: Array
    built: Array
    differences: Array

    @property
    def percent(self) -> float | None:
        """The difference that is largest, with its sign; None where the built stack does not reach every lift."""
        if not np.isfinite(self.differences).all():
            return None
        return float(self.differences[int(np.argmax(abs(self.differences)))])


def compared(asked: Path, end_mm: float, built: Groups) -> Compared:
    """The stack that was built against the path of the one asked for, up to `end_mm`.

    At ten lifts, geometrically spaced, and where the first gap of either closes, since there a curve turns. Raises
    CannotBend and NotSolved as the built stack does.
    """
    path = follow(contacts_of(built, asked.contacts.mount), end_mm)
    turns = [lift for one in (asked, path) if (lift := one.first_closing_mm()) is not None and lift < end_mm]
    lifts = np.unique(np.concatenate([lifts_up_to(end_mm), turns]))
    pressures, other = asked.pressures_at(lifts), path.pressures_at(lifts)
    return Compared(asked, path, lifts, pressures, other, 100 * (other / pressures - 1))
