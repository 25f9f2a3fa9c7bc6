"""What a plan answers, as a kept plan records it; read and written by inventory/documents/typed.py.

Plans of older versions are read too: what they did not tell is None, and what they told besides is left aside.
"""

from __future__ import annotations

from typing import Any

from inventory.documents.typed import (
    Anything,
    Flag,
    Number,
    Part,
    Several,
    Text,
    document,
    lenient,
    may,
    need,
    null,
    read,
)


@lenient
@document
class ShimLot:
    """Pieces of one lot of shims: where they lie, their size, and the mean of what was measured, millimetres."""

    lot: str = need(Text())
    part: str | None = may(Text())
    drawer: str = need(Text())
    condition: str | None = may(Text())
    od_mm: float = need(Number())
    thickness_mm: float = need(Number())
    mean_mm: float = need(Number())
    measured: bool = need(Flag())
    quantity: int = need(Number(whole=True))
    stand_in: bool | None = may(Flag())


@lenient
@document
class PlannedLine:
    """A line that was asked for, sizes in millimetres, with the lots that serve it and how many pieces are missing."""

    position: str = need(Text())
    valve: str = need(Text())
    side: str = need(Text())
    line: int = need(Number(whole=True))
    role: str = need(Text())
    od_mm: float = need(Number())
    thickness_mm: float = need(Number())
    bore_mm: float | None = may(Number())
    form: str | None = may(Text())
    quantity: int = need(Number(whole=True))
    lots: tuple[ShimLot, ...] = need(Several(ShimLot))
    missing: int = need(Number(whole=True))


@lenient
@document
class Shims:
    """Some shims of one size, millimetres."""

    od_mm: float = need(Number())
    thickness_mm: float = need(Number())
    bore_mm: float | None = may(Number())
    form: str | None = may(Text())
    quantity: int = need(Number(whole=True))


@lenient
@document
class StandIn:
    """What stands in at a position, for how many pieces, and what it changes: the sum of t^3 and the curve of its side
    by nominal sizes and with the lots drawn, percent; None where that is not known."""

    position: str = need(Text())
    replaces: int = need(Number(whole=True))
    shims: tuple[Shims, ...] = need(Several(Shims), called="with")
    sum_t3_change_percent: float | None = null(Number())
    height_change_mm: float = need(Number())
    curve_change_percent: float | None = null(Number())
    drawn_change_percent: float | None = null(Number())


@lenient
@document
class Window:
    """What the lip rule leaves room for, millimetres; `nominal` is its middle, rounded."""

    low: float = need(Number(), called="min")
    high: float = need(Number(), called="max")
    nominal: float = need(Number())


@lenient
@document
class SpacerDrawn:
    """The spacer under the rebound base plate: the window that the lip rule leaves, what is drawn, and why nothing."""

    add_mm: Window | None = null(Part(Window))
    lines: tuple[ShimLot, ...] = need(Several(ShimLot))
    total_mm: float = need(Number())
    reason: str | None = null(Text())


@lenient
@document
class PieceLot:
    """Pieces of a lot of anything else."""

    lot: str = need(Text())
    drawer: str = need(Text())
    quantity: int = need(Number(whole=True))


@lenient
@document
class NutDrawn:
    """The nut that goes on, with the question that judged it and the values of its answer; no `part` where none can be
    named. `in_also`: it stands among the parts besides."""

    part: str | None = null(Text())
    thread: str | None = null(Text())
    height_mm: Any = null(Anything())
    quantity: int = need(Number(whole=True))
    lots: tuple[PieceLot, ...] = need(Several(PieceLot))
    missing: int = need(Number(whole=True))
    in_also: bool = need(Flag())
    verdict: str = need(Text())
    question: Any = null(Anything())
    values: Any = null(Anything())


@lenient
@document
class BesidesDrawn:
    """A part that the job needs besides the stacks, and where its pieces lie."""

    part: str = need(Text())
    quantity: int = need(Number(whole=True))
    lots: tuple[PieceLot, ...] = need(Several(PieceLot))
    missing: int = need(Number(whole=True))


@lenient
@document
class Confirm:
    """A reading that only the bench can take."""

    code: str = need(Text())
    text: str = need(Text())


@lenient
@document
class OtherPlan:
    """Another plan, by what it does differently, and the first criterion that puts it behind the best."""

    missing: int = need(Number(whole=True))
    stand_ins: tuple[StandIn, ...] = need(Several(StandIn))
    spacer: SpacerDrawn | None = null(Part(SpacerDrawn))
    score: Any = null(Anything())
    behind_by: str | None = null(Text())
    differs_in: Any = null(Anything())
    lines: tuple[PlannedLine, ...] | None = may(Several(PlannedLine))


@lenient
@document
class AnsweredPlan:
    """A plan as it was given. `answer` is the answer document of its checks, `curves` and `score` are tables."""

    verdict: str = need(Text())
    complete: bool = need(Flag())
    can_be_built: bool | None = may(Flag())
    leads: str | None = may(Text())
    headline: str | None = may(Text())
    shelf: str | None = may(Text())
    answer: Any = need(Anything())
    lines: tuple[PlannedLine, ...] = need(Several(PlannedLine))
    nut: NutDrawn | None = null(Part(NutDrawn))
    also: tuple[BesidesDrawn, ...] = need(Several(BesidesDrawn))
    missing: int = need(Number(whole=True))
    to_confirm: tuple[Confirm, ...] = need(Several(Confirm))
    stand_ins: tuple[StandIn, ...] = need(Several(StandIn))
    curves: Any = may(Anything())
    spacer: SpacerDrawn | None = null(Part(SpacerDrawn))
    score: Any = may(Anything())
    alternatives: tuple[OtherPlan, ...] = need(Several(OtherPlan))
    proven_best: bool | None = may(Flag())


def answered(recorded: Any) -> AnsweredPlan:
    """A plan from the JSON that was recorded of it. Raises DomainError `invalid` for what is no plan."""
    return read(AnsweredPlan, recorded)
