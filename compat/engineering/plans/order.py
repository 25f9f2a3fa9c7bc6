"""The written order of plans: of two plans the one that is smaller at the first difference is the better one."""

from __future__ import annotations

from typing import NamedTuple

ORDER = """\
1. missing pieces; a spacer that is needed and cannot be made counts as one
2. number of positions with stand-ins
3. worst change by stand-ins, parts per million: of a side's curve of force against lift (score S, in whole steps of \
0.25 percent), or of a position's sum t^3 (of the nominal, rounded) where a side that is short has no curve
4. sum of those changes
5. pieces that stand in with another diameter than the one asked for
6. change of stack height in whole steps of 10 um, rounded down: of |measured mean of the in-height pieces drawn \
(missing ones at nominal) - nominal asked|
7. distance of the spacer from mid-window in whole steps of 25 um, rounded down: of |T - (add_min + add_max) / 2| \
(0 where nothing is needed; where the spacer is needed and cannot be made: 0 too, since criterion 1 has already \
counted it)
8. number of spacer pieces
9. number of drawers to open
10. oldest stock first: the sum over all pieces of newer_days
"""


STEP_PPM = 2_500  # a score of a curve counts in whole steps of so much: less is far below what thickness scatters
HEIGHT_STEP_UM = 10  # and a change of height too: a stack settles by as much; common practice, no published source


def in_steps(score_ppm: int) -> int:
    """A score of a curve as criteria 3 and 4 count it, rounded down to a whole step."""
    return score_ppm // STEP_PPM * STEP_PPM


def height_steps(change_um: int) -> int:
    """A change of height of either sign as criterion 6 counts it, rounded down to whole steps."""
    return abs(change_um) // HEIGHT_STEP_UM


class Tier(NamedTuple):
    """Criteria 1-4: what the choice of sizes alone decides."""

    missing: int
    stand_ins: int
    worst_ppm: int
    sum_ppm: int


class Score(NamedTuple):
    """A plan's figures in the written order; scores compare as tuples."""

    missing: int
    stand_ins: int
    worst_ppm: int
    sum_ppm: int
    other_diameter: int
    height_steps: int
    spacer_steps: int
    spacer_pieces: int
    drawers: int
    newer_days: int

    @property
    def tier(self) -> Tier:
        return Tier(*self[:4])
