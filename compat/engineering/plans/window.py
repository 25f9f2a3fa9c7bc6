"""The lip rule (R4) as a window for the spacer at a given height."""

from __future__ import annotations

from dataclasses import dataclass

from compat.engineering.plans.problem import Lip
from compat.engineering.spacers import Amount, steps_off

TOO_TALL, SPREAD, NO_SUCH_SHIMS = "too_tall", "spread", "no_such_shims"


@dataclass(frozen=True)
class Window:
    """What may be added, micrometres; `closed` says why nothing can be, or is empty."""

    add_min: int
    add_max: int

    @classmethod
    def at(cls, lip: Lip, height_um: int, spread_um: int) -> Window:
        return cls(max(0, lip.floor_um - height_um + spread_um), lip.ceiling_um - height_um - spread_um)

    @property
    def closed(self) -> str:
        if self.add_max < 0:
            return TOO_TALL
        return SPREAD if self.add_min > self.add_max else ""

    @property
    def needed(self) -> bool:
        """Nothing is added where nothing has to be."""
        return self.add_min > 0

    def off_half_um(self, total_um: Amount) -> Amount:
        """Distance from mid-window, half micrometres; 0 where nothing is needed."""
        return abs(2 * total_um - self.add_min - self.add_max) if self.needed else 0 * total_um

    def off(self, total_um: int) -> int:
        """The same in whole steps."""
        return steps_off(self.off_half_um(total_um))
