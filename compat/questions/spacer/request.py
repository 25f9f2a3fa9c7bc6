"""What is asked of spacers under the rebound base plate."""

from __future__ import annotations

from compat.asking.fields import flag, length, measured, request
from compat.engineering.units import Range

PLATE_AND_LIP, SPACERS = "Base plate and lip", "The spacers"
MAKERS = "From the damper's instructions."


@request
class Spacer:
    """Which shims, under the rebound base plate, make it straddle the lip?"""

    stack_height_mm: Range | None = measured(
        "Stack height",
        most_um=500_000,
        help="From the shoulder to under the rebound base plate, without spacers.",
        letter="A",
        group=PLATE_AND_LIP,
    )
    shoulder_to_lip_mm: Range | None = measured("Shoulder to lip", most_um=500_000, letter="B", group=PLATE_AND_LIP)
    base_plate_mm: Range | None = measured("Thickness of the rebound base plate", letter="C", group=PLATE_AND_LIP)
    on_straight_mm: float | None = length(
        "On the straight part, at least", least_um=0, help=MAKERS, letter="D", group=PLATE_AND_LIP
    )
    past_lip_mm: float | None = length(
        "Past the lip, at least", least_um=0, help=MAKERS, letter="E", group=PLATE_AND_LIP
    )
    clamp_od_mm: float = length(
        "Diameter of the clamp shim",
        needed=True,
        help="Needed: every spacer must be larger.",
        letter="F",
        group=SPACERS,
    )
    spacer_max_od_mm: float = length(
        "Largest spacer",
        needed=True,
        help="Needed: the base plate's contact diameter.",
        letter="G",
        group=SPACERS,
    )
    shaft_mm: Range = measured(
        "Shaft", needed=True, help="Needed: the spacers must pass it.", letter="H", group=SPACERS
    )
    take_offs: bool = flag("Shims taken out of dampers may be used", default=True, group=SPACERS)
