"""An O-ring, and what stretching it over a groove takes from its section."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from compat.engineering.answers import Finding, ask
from compat.engineering.corners import judged, room
from compat.engineering.units import Range

Floats = NDArray[np.float64]
SWOLLEN_MM = 0.05  # over the largest new section
SET_PART = 0.8  # of the least new section; a ring that has set further is worn out, or another
MOST_STRETCH_PERCENT = 25.0  # the form of the section's loss ends here


@dataclass(frozen=True, slots=True)
class Ring:
    """A free ring: inner diameter and section, mm; `size` the dash number of AS568, empty for another ring."""

    id_mm: Range
    section_mm: Range
    size: str = ""

    def __post_init__(self) -> None:
        if self.id_mm.low <= 0 or self.section_mm.low <= 0:
            raise ValueError("id_mm and section_mm are above zero")


def section_findings(new: Range, read: Range) -> list[Finding]:
    """A section as read, mm, that may be none that a new ring of this size has, nor one that has set. `new` are the
    limits of such rings."""
    limits = {"least": Range.exact(SET_PART * new.low), "most": Range.exact(new.high + SWOLLEN_MM)}
    doubt = ask("section_contradicts_size", "trade", section_mm=read.nominal, new_mm=new.nominal)
    return judged(room(read, **limits), never=doubt, perhaps=doubt)


def section_loss_percent(stretch_percent: Any) -> Any:
    """What the section loses where a ring is stretched, percent of its diameter; 0 where it is not.

    Takes a number or an array of any shape, -100 to 25 %; beyond, the loss of 25 % is kept, where every gland refuses
    the ring already. Source: the form of ISO 3601-2; up to 3 % from memory, above from an open table.
    """
    s = np.clip(stretch_percent, 0.0, MOST_STRETCH_PERCENT)
    little = 0.01 + 1.06 * s - 0.1 * s * s
    much = 0.56 + 0.59 * s - 0.0046 * s * s
    loss = np.where(s > 3.0, much, np.where(s > 0.0, little, 0.0))
    return float(loss) if np.ndim(stretch_percent) == 0 else loss
