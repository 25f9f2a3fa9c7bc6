"""What is known of a plan before stand-ins are looked for: what lies on the shelf as written, and what is missing.

Looking for stand-ins takes most of the time of an answer. What is said before is certain and stays so: how many pieces
of every size are there, and whether the stacks as they are written do not fit or have something to measure. Which lots
are drawn, which nut goes on and the verdict depend on what will stand in, so none of them is said. That the stacks fit
as written is not said either: with what stands in they may not, and no first word is better than the last.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from compat.engineering.answers import Severity, Verdict, verdict_of
from compat.engineering.plans.shelf import Shelf
from compat.plans import problem
from compat.plans.answered import BesidesDrawn
from compat.plans.document import AskedPlan
from compat.plans.drawn import ShimSize, size_of
from compat.plans.plan import PlanAnswer, begin, checked_stacks, findings_of, planned
from compat.plans.problem import AsWritten, Posed
from compat.plans.searched import searched
from compat.texts import rendering
from compat.texts.refusals import engine_errors

DECIDING = {Verdict.DOES_NOT_FIT: Severity.STOP, Verdict.CANNOT_TELL: Severity.ASK}


@dataclass(frozen=True, slots=True)
class SizeThere:
    """Pieces of one size that the stacks ask for, and those of them that lie on the shelf. size: in the API's form."""

    size: ShimSize
    asked: int
    there: int

    @property
    def missing(self) -> int:
        return self.asked - self.there


@dataclass(frozen=True, slots=True)
class FirstWord:
    """The sizes in the order of the request, and the parts besides as the plan will show them. as_written: the verdict
    of the stacks as they are written where it is `does_not_fit` or `cannot_tell`, empty where it is neither; why: the
    finding that decides it."""

    sizes: Sequence[SizeThere]
    also: Sequence[BesidesDrawn]
    as_written: str
    why: str

    @property
    def there(self) -> int:
        """Pieces of the stacks that lie on the shelf as written."""
        return sum(one.there for one in self.sizes)

    @property
    def missing(self) -> int:
        """Pieces of the stacks for which stand-ins are looked for."""
        return sum(one.missing for one in self.sizes)


def first_word(asked: AskedPlan) -> PlanAnswer | FirstWord:
    """The whole answer, without other ways, where no stand-in has to be looked for; else what is known without.

    Reads only. Raises as make_plan() does.
    """
    begun = begin(asked)
    with engine_errors("stacks"):
        written = problem.pose_as_written(begun.wanted, taken=begun.extra.draws, lapsed=begun.lapsed)
    if not written.short:
        return planned(begun, written.posed, alternatives=0)
    posed = _without_stand_ins(written)
    with engine_errors("stacks"):
        result = searched(posed.problem, alternatives=0)
    checked = checked_stacks(begun.wanted, result.best, posed)
    findings = findings_of(begun.wanted, result, posed, checked, begun.extra)
    verdict = verdict_of(findings)
    deciding = DECIDING.get(verdict)
    why = next((rendering.sentence(one) for one in findings if one.severity is deciding), "")
    return FirstWord(_there(written), begun.extra.lines, str(verdict) if deciding else "", why)


def _without_stand_ins(written: AsWritten) -> Posed:
    return replace(written.posed, problem=replace(written.posed.problem, allow_stand_ins=False))


def _there(written: AsWritten) -> list[SizeThere]:
    shelf = Shelf(written.posed.problem)
    found = []
    for size, positions in shelf.asked.items():
        asked = sum(position.quantity for position in positions)
        found.append(SizeThere(size_of(size), asked, asked - shelf.supply(size).short))
    return found
