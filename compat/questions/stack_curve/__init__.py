"""What force lifts this stack how far?"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from compat.asking.fields import lengths, number, request
from compat.asking.question import Question
from compat.asking.requests import refuse
from compat.engineering.answers import Answer
from compat.engineering.stack_curve import stack_curve
from compat.engineering.units import Range
from compat.questions.told_mounts import MountedStack, names_lots
from compat.texts.refusals import engine_errors


@request
class StackCurve(MountedStack):
    """What force lifts this stack how far?"""

    lifts_mm: tuple[float, ...] = lengths(most_um=5_000, most=40)
    youngs_gpa: float | None = number(least=50, most=400, null=False)
    edge_slip: float | None = number(least=0, most=1, null=False)
    yield_mpa: float | None = number(least=100, most=3000, null=False)

    def check(self) -> None:
        if any(after <= before for before, after in pairwise(self.lifts_mm)):
            refuse("not_rising", lifts_mm="must rise")
        super().check()


def answer(asked: StackCurve) -> Answer:
    """On the valve of a damper model or on a mount that is told.

    Raises DomainError `invalid` for what cannot be computed, `not_found` for an unknown damper.
    """
    held = asked.held(asked.told(youngs_gpa=asked.youngs_gpa, edge_slip=asked.edge_slip), calibrated=True)
    plies = asked.plies(held)
    if held.spread is None:
        return held.open("stack-curve")
    bears = None if asked.yield_mpa is None else Range.exact(asked.yield_mpa)
    with engine_errors("stack"):
        found = stack_curve(
            plies,
            held.spread,
            lifts_mm=asked.lifts_mm or None,
            open_fraction=held.open_fraction,
            yield_mpa=bears,
        )
    return replace(found, findings=(*found.findings, *held.findings, *asked.bores(held)))


QUESTION = Question("stack-curve", "What force lifts this stack how far?", StackCurve, answer, names_lots=names_lots)
