"""The stand-ins of all short positions of one side together, by the curve that they are predicted to give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from compat.engineering.plans.bent.response import Pieces, Response
from compat.engineering.plans.bent.swaps import Numbers, Swaps
from compat.engineering.plans.order import STEP_PPM, in_steps

MOST_TOGETHER = 60_000  # choices of one swap for every position
MOST_KEPT = 1_500


@dataclass(frozen=True)
class SideSwaps:
    """Choices (n, positions) of a swap for each short position, best first by their prediction.

    predicted_ppm (n,): the score. height_um (n,): the change of the stack's nominal height. loads (n, rooms): what
    each choice takes of the rooms of the lip and the height limit.
    """

    response: Response
    swaps: tuple[Swaps, ...]
    choices: Numbers
    predicted_ppm: Numbers
    height_um: Numbers
    loads: Numbers
    cut: bool
    solved: dict[int, int] = field(default_factory=dict)

    def key(self, rank: int) -> tuple[int, int]:
        """What choices are ordered by: the step of the predicted score, then the change of height."""
        return in_steps(int(self.predicted_ppm[rank])), abs(int(self.height_um[rank]))

    def shims(self, rank: int) -> dict[str, Pieces]:
        """The stand-ins of a choice by position key."""
        return {
            swap.position.key: swap.shims(int(index))
            for swap, index in zip(self.swaps, self.choices[rank], strict=True)
        }

    def true_ppm(self, rank: int) -> int:
        """The score of a choice by the whole model."""
        if rank not in self.solved:
            pieces = {s.position.key: s.pieces(int(i)) for s, i in zip(self.swaps, self.choices[rank], strict=True)}
            self.solved[rank] = self.response.true_ppm(pieces)
        return self.solved[rank]


def side_swaps(response: Response, swaps: Sequence[Swaps], loads: Sequence[Numbers]) -> SideSwaps:
    """Joins the swaps of a side's positions; loads: of each, (n, rooms).

    Curves join by their ratios, since each stands for what one position changes of the whole.
    """
    each = max(1, int(MOST_TOGETHER ** (1 / max(1, len(swaps)))))
    cut = any(len(swap.picks) > each for swap in swaps)
    choices = np.zeros((1, 0), dtype=np.int64)
    ratio = np.ones((1, len(response.asked)))
    taken = np.zeros((1, loads[0].shape[1] if loads else 0), dtype=np.int64)
    height = np.zeros(1, dtype=np.int64)
    for swap, load in zip(swaps, loads, strict=True):
        kept = min(len(swap.picks), each)
        before, here = np.repeat(np.arange(len(choices)), kept), np.tile(np.arange(kept), len(choices))
        choices = np.concatenate([choices[before], here[:, None]], axis=1)
        ratio = ratio[before] * swap.ratio[here]
        taken = taken[before] + load[here]
        height = height[before] + swap.height_um[here]
    scores = response.score_ppm(ratio * response.asked)
    order = np.lexsort((scores, abs(height), scores // STEP_PPM))
    cut = cut or len(order) > MOST_KEPT
    order = order[:MOST_KEPT]
    return SideSwaps(response, tuple(swaps), choices[order], scores[order], height[order], taken[order], cut)
