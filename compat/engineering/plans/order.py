"""The written order of plans: of two plans the one that is smaller at the first difference is the better one."""

from __future__ import annotations

from typing import NamedTuple

ORDER = """\
1. missing pieces; a spacer that is needed and cannot be made counts as one
2. number of positions with stand-ins
3. worst change of a position's sum t^3 by stand-ins, parts per million of the nominal, rounded
4. sum of those changes
5. change of stack height: |measured mean of the in-height pieces drawn (missing ones at nominal) - nominal asked|, \
micrometres
6. distance of the spacer from mid-window: |2T - (add_min + add_max)|, half micrometres (0 where nothing is needed; \
where the spacer is needed and cannot be made: 0 too, since criterion 1 has already counted it)
7. number of drawers to open
8. oldest stock first: the sum over all pieces of newer_days
9. fewest spacer pieces
"""


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
    height_um: int
    spacer_off_half_um: int
    drawers: int
    newer_days: int
    spacer_pieces: int

    @property
    def tier(self) -> Tier:
        return Tier(*self[:4])
