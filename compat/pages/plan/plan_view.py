"""A plan as the pages show it: the drawings with their parts lists, the positions, the pick list, and what is open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from compat.engineering.drawing.items import Kind, Mark
from compat.pages import drawings, valve_drawing
from compat.pages.drawings import Shown
from compat.pages.plan import plan_words
from compat.pages.plan.plan_checks import Check, checks_of
from compat.pages.plan.plan_picks import SPACER, Pick, Ply, mark_of, picks_of
from compat.pages.valve_drawing import NutOn, OnShaft, Run
from compat.plans.answered import AnsweredPlan, BesidesDrawn, NutDrawn, PlannedLine, ShimLot, SpacerDrawn, answered
from compat.plans.statements import Statements, statements_of
from inventory.dampers.document import DamperDocument, ShaftEnd, Valve

SIDES = ("compression", "rebound")
# A mid-valve's shims float under a spring on a sleeve: there is no clamped section to draw.
DRAWN = ("main", "base")


@dataclass(frozen=True, slots=True)
class Given:
    """Pieces of a lot, and their size in words."""

    lot: ShimLot
    size: str


@dataclass(frozen=True, slots=True)
class Position:
    """One line that was asked for, with what serves it."""

    refs: str
    valve: str
    side: str
    line: int
    role: str
    size: str
    quantity: int
    lots: Sequence[Given]
    missing: int
    stand_in: str

    @property
    def has_like_lots(self) -> bool:
        """Whether pieces of one size come from several lots of one drawer, so that their order needs a word."""
        alike = [(one.lot.drawer, one.lot.thickness_mm) for one in self.lots]
        return len(set(alike)) < len(alike)


@dataclass(frozen=True, slots=True)
class Picture:
    """A half section with its parts list, from the nut down as it stands, and what it does not show as it is."""

    drawing: Shown
    rows: Sequence[valve_drawing.Row]
    notes: list[str]

    @property
    def order(self) -> Sequence[valve_drawing.Row]:
        """The parts list in the order of building, from the shoulder outward."""
        return self.rows[::-1]


@dataclass(frozen=True, slots=True)
class PlanView:
    """Everything that the template of a plan shows."""

    answer: Mapping[str, Any]
    verdict: str
    missing: int
    positions: list[Position]
    picks: list[Pick]
    pictures: list[Picture]
    undrawn: list[str]
    spacer: SpacerDrawn | None
    spacer_words: str
    nut: NutDrawn | None
    nut_words: str
    also: Sequence[BesidesDrawn]
    statements: Statements
    checks: list[Check]
    alternatives: list[str]
    why: str = ""
    to_confirm: int = 0

    @property
    def lacking(self) -> list[str]:
        """What the shelf does not have, piece by piece: `2 of 34 x 0.15 (rebound)`."""
        shims = [f"{one.missing} of {one.size} ({one.side})" for one in self.positions if one.missing]
        return shims + [f"{line.missing} of {line.part}" for line in self.also if line.missing]

    @property
    def pieces(self) -> int:
        """How many pieces are to be taken."""
        return sum(pick.quantity for pick in self.picks)


def view_of(document: Mapping[str, Any], damper: DamperDocument, readings: Mapping[str, Any] | None = None) -> PlanView:
    """The view of a plan document (docs/reference/api.md) on the damper's document, with the readings of its request.

    A damper that was edited since the plan was made may no longer have a valve of it; that valve is not drawn.
    """
    refs: dict[Ply, str] = {}
    pictures, undrawn = [], []
    plan = answered(document)
    valves = dict.fromkeys(line.valve for line in plan.lines)
    for code in valves:
        valve = damper.valve(code)
        if valve is None or code not in DRAWN:
            undrawn.append(code)
            continue
        standing, its_refs = _standing(plan, code, valve, damper.shaft_end if code == "main" else None)
        refs |= its_refs
        picture, notes = drawings.half_section_of(standing, prefix=f"plan-{code}", title=f"{code.capitalize()} valve")
        pictures.append(Picture(picture, standing.rows[::-1], notes))
    return PlanView(
        answer=plan.answer,
        verdict=plan.verdict,
        missing=plan.missing,
        positions=_positions(plan, refs),
        picks=picks_of(plan, refs),
        pictures=pictures,
        undrawn=undrawn,
        spacer=plan.spacer,
        spacer_words=plan_words.spacer(plan.spacer),
        nut=plan.nut,
        nut_words=plan_words.nut(plan.nut),
        also=plan.also,
        statements=statements_of(plan.verdict, built=plan.complete, missing=plan.missing),
        checks=checks_of(plan, damper, readings or {}),
        alternatives=plan_words.alternatives(plan),
        why=plan_words.why(plan),
        to_confirm=len(plan.to_confirm),
    )


def _standing(
    plan: AnsweredPlan, code: str, valve: Valve, shaft_end: ShaftEnd | None
) -> tuple[OnShaft, dict[Ply, str]]:
    """The valve with what the plan draws, and the number of each run of like shims in the drawing."""
    lines = [line for line in plan.lines if line.valve == code]
    plies = {side: [ply for line in lines if line.side == side for ply in _plies(line)] for side in SIDES}
    spacer = plan.spacer.lines if plan.spacer and code == "main" else ()
    planned = plan.nut or NutDrawn(quantity=0, lots=(), missing=0, in_also=False, verdict="")
    nut = NutOn(
        planned.thread or (shaft_end and shaft_end.thread) or "",
        valve_drawing.best_mm(planned.height_mm),
        mark=Mark.MISSING if planned.missing else Mark.NONE,
    )
    behind = [Run(lot.od_mm, lot.thickness_mm, lot.quantity, mean_mm=lot.mean_mm) for lot in spacer]
    standing = valve_drawing.on_shaft(valve, plies, shaft_end=shaft_end, spacer=behind, nut=nut)
    items = standing.assembly.items
    found: dict[Ply, str] = {}
    for side in SIDES:
        of_side = [item for item in items if item.kind is Kind.SHIM and item.side == side]
        # The stack at the shoulder stands in the drawing from clamp to face; lines are told from the face.
        in_order = of_side if side == SIDES[-1] else of_side[::-1]
        for ply, item in zip(plies[side], in_order, strict=True):
            found[ply.position, ply.od_mm, ply.thickness_mm, ply.mark.value] = item.ref
    spacers = (item.ref for item in items if item.kind is Kind.SPACER)
    found |= {(SPACER, lot.od_mm, lot.thickness_mm, lot.lot): ref for lot, ref in zip(spacer, spacers, strict=True)}
    return standing, found


def _plies(line: PlannedLine) -> Iterable[Run]:
    """A position as runs of like shims: what was asked for, what stands in, what is missing."""
    asked = Run(line.od_mm, line.thickness_mm, line.missing, line.bore_mm, None, line.role, Mark.MISSING, line.position)
    runs: dict[tuple[float, float, str], Run] = {}
    for lot in line.lots:
        key = (lot.od_mm, lot.thickness_mm, mark_of(lot))
        before = runs.get(key)
        of_lot = replace(
            asked,
            od_mm=lot.od_mm,
            thickness_mm=lot.thickness_mm,
            quantity=lot.quantity,
            mean_mm=lot.mean_mm,
            mark=Mark(mark_of(lot)),
        )
        runs[key] = of_lot if before is None else _with(before, lot)
    # From large to small and thick to thin, as the checks of the plan take them.
    yield from (runs[key] for key in sorted(runs, key=lambda key: (-key[0], -key[1])))
    if line.missing:
        yield asked


def _with(run: Run, lot: ShimLot) -> Run:
    """A run with the pieces of another lot of its size, and the mean of all."""
    pieces, mean_mm = run.quantity + lot.quantity, run.mean_mm or 0.0
    return replace(run, quantity=pieces, mean_mm=(mean_mm * run.quantity + lot.mean_mm * lot.quantity) / pieces)


def _positions(plan: AnsweredPlan, refs: Mapping[Ply, str]) -> list[Position]:
    stand_ins = {one.position: one for one in plan.stand_ins}
    numbers: dict[str, list[str]] = {}
    for (position, *_), ref in refs.items():
        numbers.setdefault(position, []).append(ref)
    return [
        Position(
            refs=plan_words.at_valve(_together(numbers.get(line.position, ())), line.valve, plan.lines),
            valve=line.valve,
            side=line.side,
            line=line.line,
            role=line.role,
            size=plan_words.shim(line),
            quantity=line.quantity,
            lots=[Given(lot, plan_words.shim(lot)) for lot in line.lots],
            missing=line.missing,
            stand_in=plan_words.stand_in(stand_ins[line.position]) if line.position in stand_ins else "",
        )
        for line in plan.lines
    ]


def _together(numbers: Iterable[str]) -> str:
    """The numbers of one position, which follow each other in the drawing: 6-9."""
    found = sorted(map(int, numbers))
    return "" if not found else str(found[0]) if len(found) == 1 else f"{found[0]}-{found[-1]}"
