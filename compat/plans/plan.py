"""The question "build this stack from what is on the shelf", from request to answer."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from compat import texts
from compat.engineering import VERSION
from compat.engineering.answers import Answer, Finding, verdict_of
from compat.engineering.plans.problem import SPACER
from compat.engineering.plans.solution import Solution
from compat.engineering.stacks import stack
from compat.engineering.units import Range
from compat.plans import also, drawn, lip_findings, nut, problem, request, statements
from compat.plans.also import Also
from compat.plans.answered import AnsweredPlan, Confirm, OtherPlan, PlannedLine
from compat.plans.curves import Scores
from compat.plans.document import AskedPlan
from compat.plans.nut import PlannedNut
from compat.plans.problem import Posed
from compat.plans.request import PlanRequest
from compat.plans.searched import ALTERNATIVES, Searched, searched
from compat.plans.statements import Statements
from compat.texts import rendering
from compat.texts.refusals import engine_errors
from compat.texts.rendering import VERDICT_WORDS
from inventory.dampers.selectors import damper_called
from inventory.documents.typed import written
from inventory.holds.selectors import lapsed_by_balance

SOURCES = ("trade", "iso_9445_1")
CAUTIONS = ("wrong_nut", "locking_compound", "clean_face", "light_gap", "pressurised_gas", "makers_instructions")


@dataclass(frozen=True, slots=True)
class PlanAnswer:
    """A plan as it is shown, and what a hold of it claims: (balance id, quantity) pairs."""

    document: dict[str, Any]
    claims: list[tuple[int, int]]
    verdict: str
    complete: bool
    engine_version: str = VERSION


def make_plan(asked: AskedPlan, *, alternatives: int = ALTERNATIVES) -> PlanAnswer:
    """Plans from the shelf as it is now; reads only, and the number of queries does not grow with stack or shelf.

    alternatives: how many other plans at most; all else that the document says is the same whatever their number.
    Raises DomainError `not_found` for an unknown damper, `invalid` for what the damper or the engine cannot take.
    """
    begun = begin(asked)
    with engine_errors("stacks"):
        posed = problem.pose(begun.wanted, taken=begun.extra.draws, lapsed=begun.lapsed)
    return planned(begun, posed, alternatives=alternatives)


@dataclass(frozen=True, slots=True)
class Begun:
    """A request read, with what its parts besides the stacks draw, and what lapsed holds keep."""

    wanted: PlanRequest
    extra: Also
    lapsed: Mapping[int, int]


def begin(asked: AskedPlan) -> Begun:
    """What comes before the shims are looked for. Raises as make_plan() does."""
    wanted = request.build(damper_called(asked.damper), asked)
    end = wanted.shaft_end
    lapsed = lapsed_by_balance()
    extra = also.serve(wanted.also, shaft_thread=end.thread, shaft_hand=end.hand, lapsed=lapsed)
    return Begun(wanted, extra, lapsed)


def planned(begun: Begun, posed: Posed, *, alternatives: int = ALTERNATIVES) -> PlanAnswer:
    """The plan for a problem that was posed."""
    wanted, extra, lapsed = begun.wanted, begun.extra, begun.lapsed
    with engine_errors("stacks"):
        result = searched(posed.problem, _clock(wanted.allowed.search_ms), alternatives=alternatives)
    best = result.best
    checked = checked_stacks(wanted, best, posed)
    underside = checked["main"].values["nut_underside_mm"] if "main" in checked else None
    on_shaft = nut.serve(wanted, extra, underside, lapsed=lapsed)
    findings = [*findings_of(wanted, result, posed, checked, extra), *on_shaft.findings]
    verdict = str(verdict_of(findings))
    missing = sum(best.missing.values()) + extra.missing + on_shaft.missing
    add_mm = _add_mm(checked)
    complete = missing == 0 and not (best.no_spacer and (add_mm is None or add_mm.low > 0))
    values = {valve: answer.values for valve, answer in checked.items()}
    lines = drawn.lines_of(wanted, best, posed.rows)
    answer = rendering.document("plan", findings, values, SOURCES, CAUTIONS)
    to_confirm = tuple(Confirm(code=code, text=texts.CONFIRM[code]) for code in _to_confirm(wanted, best, on_shaft))
    two = statements.statements_of(verdict, built=complete, missing=missing)
    answer["summary"] = _summary(answer["summary"], two, to_confirm)
    document = AnsweredPlan(
        verdict=verdict,
        complete=complete,
        can_be_built=two.can_be_built,
        leads=two.leads,
        headline=two.headline,
        shelf=two.shelf,
        answer=answer,
        lines=lines,
        nut=on_shaft.drawn,
        also=tuple(extra.lines),
        missing=missing,
        to_confirm=to_confirm,
        stand_ins=drawn.stand_ins_of(best, result.scores),
        curves=rendering.number(result.curves),
        spacer=drawn.spacer_of(best, posed.rows, add_mm),
        score=best.figures,
        alternatives=tuple(_alternative(wanted, *one, best, posed, lines) for one in result.alternatives),
        proven_best=result.proven,
    )
    claims = {**drawn.claims_of(best)}
    for balance, quantity in [*extra.draws.items(), *on_shaft.draws.items()]:
        claims[balance] = claims.get(balance, 0) + quantity
    return PlanAnswer(written(document), sorted(claims.items()), verdict, complete)


def checked_stacks(wanted: PlanRequest, best: Solution, posed: Posed) -> dict[str, Answer]:
    """The stack question for every valve, with the lots drawn."""
    plies = drawn.plies_of(wanted, best, posed.rows)
    with engine_errors("stacks"):
        return {
            valve.code: stack(
                valve.on_file.valve,
                plies[valve.code],
                overlap_mm=valve.on_file.overlap_mm,
                rule=wanted.rule,
                spacers_mm=drawn.spacer_range(best, posed.rows) if valve.code == "main" else None,
            )
            for valve in wanted.valves
        }


def findings_of(
    wanted: PlanRequest,
    result: Searched,
    posed: Posed,
    checked: Mapping[str, Answer],
    extra: Also,
) -> list[Finding]:
    """What the stacks say, the lip with its spacer, what is missing, and the parts besides."""
    findings: list[Finding] = []
    for answer in checked.values():
        findings += [finding for finding in answer.findings if finding not in findings]
    needed = any(finding.code == "lip_needs_spacers" for finding in findings)
    findings += lip_findings.of_plan(wanted, result.best, posed, needed=needed, add_mm=_add_mm(checked))
    findings += lip_findings.of_search(wanted, result, posed)
    return findings + extra.findings


def _summary(fit: str, two: Statements, to_confirm: Sequence[Confirm]) -> str:
    """Both statements, the weaker first, and what the bench must still confirm."""
    plainly = two.leads == "missing" and fit == VERDICT_WORDS["fits"]
    said = [two.headline, statements.FITS["fits"] if plainly else fit] if two.leads == "missing" else [fit]
    if two.leads != "missing":
        said.append(two.shelf)
    if to_confirm:
        said.append(f"{len(to_confirm)} readings are to be confirmed at the bench.")
    return " ".join(said)


def _add_mm(checked: Mapping[str, Answer]) -> Range | None:
    """What the lip rule allows under the main valve's stacks as drawn."""
    found: Range | None = checked["main"].values["add_mm"] if "main" in checked else None
    return found


def _to_confirm(wanted: PlanRequest, best: Solution, on_shaft: PlannedNut) -> list[str]:
    """Readings that only the bench can take: they do not block holding, and must be there before signing."""
    if wanted.main is None:
        return []
    codes = list(on_shaft.to_confirm)
    if "shoulder_to_lip_mm" in wanted.not_read:
        codes.append("measure_lip")
    if "base_plate_mm" in wanted.not_read:
        codes.append("measure_base_plate")
    if drawn.draws_at(best, SPACER):
        codes.append("measure_spacer")
    return [*codes, "see_straddle"]


def _clock(search_ms: float | None) -> Callable[[], bool] | None:
    """Whether the time that the request gives to the search is over; None where it gives none."""
    if search_ms is None:
        return None
    ends = time.monotonic() + search_ms / 1000
    return lambda: time.monotonic() > ends


def _alternative(
    wanted: PlanRequest,
    other: Solution,
    scores: Scores,
    best: Solution,
    posed: Posed,
    best_lines: Sequence[PlannedLine],
) -> OtherPlan:
    """Another plan, by what it does differently, and the first criterion that puts it behind the best."""
    behind = (name for name, own in other.score._asdict().items() if own != getattr(best.score, name))
    lines = drawn.lines_of(wanted, other, posed.rows)
    return OtherPlan(
        missing=sum(other.missing.values()),
        stand_ins=drawn.stand_ins_of(other, scores),
        spacer=drawn.spacer_of(other, posed.rows, None),
        score=other.figures,
        behind_by=next(behind, None),
        differs_in=drawn.differences(best_lines, lines),
        lines=lines,
    )
