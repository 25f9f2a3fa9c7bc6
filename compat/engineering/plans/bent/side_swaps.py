"""The stand-ins of all short positions of one side together, by the curve that they are predicted to give."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from compat.engineering.bending.plates import Array
from compat.engineering.plans.bent.learning import correction, features_of
from compat.engineering.plans.bent.response import NOT_COMPARABLE, Pieces, Response
from compat.engineering.plans.bent.swaps import Numbers, Swaps
from compat.engineering.plans.order import STEP_PPM, in_steps
from compat.engineering.shims import Size

MOST_TOGETHER = 20_000  # choices of one swap for every position
MOST_KEPT = 1_500
COUNTED = np.int16  # pieces of a size in one choice
MANY = 4  # positions; of more, fewer choices are looked at together
LEAST_RATIO = 0.01  # a curve that is softer than this part of the asked one stands for nothing to learn from

_COLUMNS = ("ids", "choices", "plain", "ratio", "others", "height_um", "loads")


@dataclass(frozen=True)
class SideSwaps:
    """Choices (n, positions) of a swap for each short position, best first by their prediction.

    ids (n,): what each choice is called in any order. plain, ratio (n, lifts): pressures over the asked ones, as each
    position alone tells and as corrected by what was solved. others (n,): pieces of another diameter. height_um (n,):
    the change of the stack's nominal height. loads (n, rooms): what each choice takes of the rooms of the lip and the
    height limit. curves: the pressures that were solved, by id; None for a stack that has none.
    """

    response: Response
    swaps: tuple[Swaps, ...]
    ids: Numbers
    choices: Numbers
    plain: Array
    ratio: Array
    others: Numbers
    height_um: Numbers
    loads: Numbers
    cut: bool
    curves: dict[int, Array | None] = field(default_factory=dict)

    @cached_property
    def predicted_ppm(self) -> Numbers:
        """(n,): the predicted scores."""
        return self.response.score_ppm(self.ratio * self.response.asked)

    def key(self, rank: int) -> tuple[int, int, int]:
        """What choices are ordered by: step of the predicted score, pieces of another diameter, change of height."""
        return in_steps(int(self.predicted_ppm[rank])), int(self.others[rank]), abs(int(self.height_um[rank]))

    def shims(self, rank: int) -> dict[str, Pieces]:
        """The stand-ins of a choice by position key."""
        return {
            swap.position.key: swap.shims(int(index))
            for swap, index in zip(self.swaps, self.choices[rank], strict=True)
        }

    def is_solved(self, rank: int) -> bool:
        """Is the true score of a choice known already?"""
        return int(self.ids[rank]) in self.curves

    def true_ppm(self, rank: int) -> int:
        """The score of a choice by the whole model."""
        known = int(self.ids[rank])
        if known not in self.curves:
            pieces = {s.position.key: s.pieces(int(i)) for s, i in zip(self.swaps, self.choices[rank], strict=True)}
            self.curves[known] = self.response.pressures(pieces)
        pressures = self.curves[known]
        return NOT_COMPARABLE if pressures is None else int(self.response.score_ppm(pressures))

    def learned(self) -> SideSwaps:
        """The same choices with their predictions corrected by those that were solved, in their new order."""
        rank_of = np.argsort(self.ids)
        solved = {int(rank_of[one]): curve for one, curve in self.curves.items() if curve is not None}
        if not solved:
            return self
        known = np.array(list(solved), dtype=np.intp)
        true = np.array(list(solved.values())) / self.response.asked
        plain = np.maximum(self.plain, LEAST_RATIO)
        errors = np.log(np.maximum(true, LEAST_RATIO) / plain[known])
        features = [features_of(swap)[self.choices[:, at]] for at, swap in enumerate(self.swaps)]
        ratio = plain * np.exp(correction(np.concatenate(features, axis=1), known, errors))
        return _in_order(replace(self, ratio=ratio))


def _in_order(side: SideSwaps) -> SideSwaps:
    """The MOST_KEPT best of the choices, in the order of their keys."""
    scores = side.predicted_ppm
    order = np.lexsort((scores, abs(side.height_um), side.others, scores // STEP_PPM))[:MOST_KEPT]
    columns = {name: getattr(side, name)[order] for name in _COLUMNS}
    return replace(side, **columns, cut=side.cut or len(order) < len(scores))


def side_swaps(
    response: Response, swaps: Sequence[Swaps], loads: Sequence[Numbers], left: Mapping[Size, int]
) -> SideSwaps:
    """Joins the swaps of a side's positions; loads: of each, (n, rooms); left: pieces that may be used, by size.

    No choice promises more pieces than are left (rule R3).

    Curves join by their ratios, since each stands for what one position changes of the whole.
    """
    sizes = list(dict.fromkeys(size for swap in swaps for size in swap.sizes))
    stock = np.array([left[size] for size in sizes], dtype=np.int64)
    joined = _Joined.start(len(response.asked), loads[0].shape[1] if loads else 0, len(sizes))
    cut = any(swap.cut for swap in swaps)
    for swap, load in zip(swaps, loads, strict=True):
        together = MOST_TOGETHER if len(swaps) <= MANY else MOST_TOGETHER // len(swaps)
        kept = min(len(swap.picks), max(together // max(len(joined.choices), 1), 4))
        cut = cut or kept < len(swap.picks)
        joined = joined.with_swap(swap, load, kept, sizes)
        joined = joined.keep(np.flatnonzero((joined.used <= stock).all(axis=1)))
        if swap is not swaps[-1] and len(joined.choices) > MOST_KEPT:
            cut = True
            nearest = np.argsort(response.score_ppm(joined.ratio * response.asked), kind="stable")
            joined = joined.keep(nearest[:MOST_KEPT])
    found = _in_order(
        SideSwaps(
            response,
            tuple(swaps),
            np.arange(len(joined.choices)),
            joined.choices,
            joined.ratio,
            joined.ratio,
            joined.others,
            joined.height_um,
            joined.loads,
            cut,
        )
    )
    return replace(found, ids=np.arange(len(found.choices)))


@dataclass(frozen=True)
class _Joined:
    """Choices of a swap for the first positions of a side: (n, positions), with what they add up to."""

    choices: Numbers
    ratio: Numbers
    loads: Numbers
    others: Numbers
    height_um: Numbers
    used: Numbers

    @classmethod
    def start(cls, lifts: int, rooms: int, sizes: int) -> _Joined:
        whole = np.int64
        none, taken = (np.zeros((1, width), dtype=whole) for width in (0, rooms))
        used = np.zeros((1, sizes), dtype=COUNTED)
        nothing = np.zeros(1, dtype=whole)
        return cls(none, np.ones((1, lifts)), taken, nothing, nothing, used)

    def with_swap(self, swap: Swaps, load: Numbers, kept: int, sizes: Sequence[Size]) -> _Joined:
        """Every choice so far with each of the first `kept` swaps of one more position."""
        before, here = np.repeat(np.arange(len(self.choices)), kept), np.tile(np.arange(kept), len(self.choices))
        of_each = np.array([[own == size for size in sizes] for own in swap.sizes], dtype=np.int64)
        used = swap.sums(of_each.reshape(len(swap.sizes), len(sizes))).astype(COUNTED)[here]
        return _Joined(
            np.concatenate([self.choices[before], here[:, None]], axis=1),
            self.ratio[before] * swap.ratio[here],
            self.loads[before] + load[here],
            self.others[before] + swap.others[here],
            self.height_um[before] + swap.height_um[here],
            self.used[before] + used,
        )

    def keep(self, which: Numbers) -> _Joined:
        """These choices, in this order."""
        return _Joined(
            self.choices[which],
            self.ratio[which],
            self.loads[which],
            self.others[which],
            self.height_um[which],
            self.used[which],
        )
