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
6. change of stack height: |measured mean of the in-height pieces drawn (missing ones at nominal) - nominal asked|, \
micrometres
7. distance of the spacer from mid-window: |2T - (add_min + add_max)|, half micrometres (0 where nothing is needed; \
where the spacer is needed and cannot be made: 0 too, since criterion 1 has already counted it)
8. number of drawers to open
9. oldest stock first: the sum over all pieces of newer_days
10. fewest spacer pieces
"""


STEP_PPM = 2_500  # a score of a curve counts in whole steps of so much: less is far below what thickness scatters


def in_steps(score_ppm: int) -> int:
    """A score of a curve as criteria 3 and 4 count it, rounded down to a whole step."""
    return score_ppm // STEP_PPM * STEP_PPM


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
    height_um: int
    spacer_off_half_um: int
    drawers: int
    newer_days: int
    spacer_pieces: int

    @property
    def tier(self) -> Tier:
        return Tier(*self[:4])
