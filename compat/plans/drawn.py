"""What the search drew, as plies for the checks and as lines for the answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypedDict

from compat.engineering.groups import Ply, unmeasured
from compat.engineering.plans.problem import SPACER
from compat.engineering.plans.solution import Draw, Solution
from compat.engineering.shims import Line, Size
from compat.engineering.units import Range, um_to_mm
from compat.plans.answered import PlannedLine, ShimLot, Shims, SpacerDrawn, StandIn, Window
from compat.plans.request import PlanRequest, position_key
from compat.shelf.shim_rows import ShimRows
from inventory.dampers.words import SIDES


class Figures(NamedTuple):
    """How far the curve of a side that has stand-ins is from the one asked for, percent: `nominal` by nominal sizes,
    without a sign, by which the search chose; `drawn` with the lots drawn, with its sign, which is the figure that
    people are told. None where there is none."""

    nominal: float
    drawn: float | None


def plies_of(request: PlanRequest, solution: Solution, rows: ShimRows) -> dict[str, dict[str, list[Ply]]]:
    """{valve: {side: plies}} with the lots drawn; what is missing counts at nominal size with the strip's spread."""
    found: dict[str, dict[str, list[Ply]]] = {}
    for valve in request.valves:
        sides = found.setdefault(valve.code, {})
        for side, lines in valve.lines.items():
            sides[side] = [
                ply
                for index, line in enumerate(lines)
                for ply in _plies(line, position_key(valve.code, side, index), solution, rows)
            ]
    return found


def _plies(line: Line, key: str, solution: Solution, rows: ShimRows) -> list[Ply]:
    """The pieces of one position, from large to small; shims of one diameter may lie in any order, thick ones first."""
    drawn = [(rows.places[draw.row], draw.quantity) for draw in draws_at(solution, key)]
    drawn.sort(key=lambda pair: (-pair[0].size.od_um, -pair[0].size.thickness_um))
    plies = [
        Ply(Line(place.size, quantity), Range.around(um_to_mm(place.mean_um), um_to_mm(place.spread_um)))
        for place, quantity in drawn
    ]
    missing = solution.missing.get(key, 0)
    return [*plies, *([unmeasured(Line(line.size, missing))] if missing else [])]


def lines_of(request: PlanRequest, solution: Solution, rows: ShimRows) -> tuple[PlannedLine, ...]:
    """Every position with where its pieces lie, in the order in which they were asked for."""
    roles = {position.key: position.role for position in request.positions()}
    found = []
    for valve in request.valves:
        for side in SIDES:
            for index, line in enumerate(valve.lines.get(side, ())):
                key = position_key(valve.code, side, index)
                found.append(
                    PlannedLine(
                        position=key,
                        valve=valve.code,
                        side=side,
                        line=index + 1,
                        role=roles[key].value,
                        **size_of(line.size),
                        quantity=line.quantity,
                        lots=tuple(
                            ShimLot(**rows.line(draw.row, draw.quantity), stand_in=draw.stand_in)
                            for draw in draws_at(solution, key)
                        ),
                        missing=solution.missing.get(key, 0),
                    )
                )
    return tuple(found)


def stand_ins_of(solution: Solution, scores: Mapping[str, Figures]) -> tuple[StandIn, ...]:
    """The positions with stand-ins and what each changes; scores: the Figures of its side's curve, where known."""
    return tuple(
        StandIn(
            position=one.position,
            replaces=one.missing,
            shims=tuple(Shims(**size_of(size), quantity=quantity) for size, quantity in one.shims),
            sum_t3_change_percent=_rounded(one.sum_t3_change_percent),
            height_change_mm=um_to_mm(one.height_change_um),
            curve_change_percent=figures.nominal if (figures := scores.get(one.position)) else None,
            drawn_change_percent=figures.drawn if figures else None,
        )
        for one in solution.stand_ins
    )


def _rounded(percent: float | None) -> float | None:
    return None if percent is None else round(percent, 3)


def window_of(solution: Solution, add_mm: Range | None) -> tuple[float, float] | None:
    """What may be added under the base plate, millimetres; None where the lip rule was not part of the search.

    `add_mm` is the window with the lots drawn. The search counted the widest spread of each size, so its own window
    lies inside that one, and stands in only where the other is closed.
    """
    if solution.add_window_um is None:
        return None
    if add_mm is not None:
        return add_mm.low, add_mm.high
    low, high = solution.add_window_um
    return um_to_mm(low), um_to_mm(high)


def spacer_of(solution: Solution, rows: ShimRows, add_mm: Range | None) -> SpacerDrawn | None:
    """The spacer under the rebound base plate; None where the lip rule was not part of the search."""
    window = window_of(solution, add_mm)
    if window is None:
        return None
    low, high = window
    return SpacerDrawn(
        add_mm=Window(low=low, high=high, nominal=round((low + high) / 2, 4)) if low <= high else None,
        lines=tuple(ShimLot(**rows.line(draw.row, draw.quantity)) for draw in draws_at(solution, SPACER)),
        total_mm=um_to_mm(solution.spacer_total_um),
        reason=solution.no_spacer or None,
    )


def spacer_range(solution: Solution, rows: ShimRows) -> Range | None:
    """The thickness of the spacer with the spread of its pieces, millimetres; None without one."""
    draws = draws_at(solution, SPACER)
    return rows.total_mm((draw.row, draw.quantity) for draw in draws) if draws else None


def claims_of(solution: Solution) -> dict[int, int]:
    """{balance: pieces} of everything drawn: what a hold of this plan claims."""
    found: dict[int, int] = {}
    for draw in solution.draws:
        found[int(draw.row)] = found.get(int(draw.row), 0) + draw.quantity
    return found


def draws_at(solution: Solution, place: str) -> list[Draw]:
    """What is drawn for one place: a position's key, or SPACER."""
    return [draw for draw in solution.draws if draw.place == place]


class ShimSize(TypedDict):
    """A shim's size by its outside names, millimetres."""

    od_mm: float
    thickness_mm: float
    bore_mm: float
    form: str


def size_of(size: Size) -> ShimSize:
    """A size by its outside names."""
    return {
        "od_mm": um_to_mm(size.od_um),
        "thickness_mm": um_to_mm(size.thickness_um),
        "bore_mm": um_to_mm(size.bore_um),
        "form": size.form.value,
    }


def differences(best: Sequence[PlannedLine], other: Sequence[PlannedLine]) -> list[str]:
    """The positions that two answers fill from different sizes."""

    def sizes(line: PlannedLine) -> list[tuple[float, int]]:
        found: dict[float, int] = {}
        for lot in line.lots:
            found[lot.thickness_mm] = found.get(lot.thickness_mm, 0) + lot.quantity
        return sorted(found.items())

    return [one.position for one, two in zip(best, other, strict=True) if sizes(one) != sizes(two)]
