"""The curves of the sides that have stand-ins: as asked and as built, with the spacers that lie behind the clamp."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypedDict

import numpy as np

from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.compare import Compared
from compat.engineering.bending.path import Path
from compat.engineering.bending.plates import Array
from compat.engineering.bending.shape import peak_stress_mpa
from compat.engineering.bending.stack import CannotBend, Layer
from compat.engineering.plans.bent.response import Pieces, Response
from compat.engineering.plans.problem import SPACER, StockRow
from compat.engineering.plans.solution import Draw, Solution
from compat.engineering.units import um_to_mm
from compat.plans.drawn import Figures, draws_at

BEHIND = "main.rebound."  # the positions in front of the spacers


class CurveRow(TypedDict):
    """Both curves at one lift, and how far the second is from the first."""

    lift_mm: float
    asked_mpa: float
    built_mpa: float | None
    difference_percent: float | None


class GapCloses(TypedDict):
    """The lifts at which the crossover gap closes, millimetres."""

    asked: float | None
    built: float | None


class PeakStress(TypedDict):
    """The largest stress at the largest lift compared."""

    asked_mpa: float
    built_mpa: float | None


class CurveOfSide(TypedDict):
    """The curves of one side as a plan answers them."""

    valve: str
    side: str
    score_percent: float | None
    drawn_percent: float | None
    curve: list[CurveRow]
    gap_closes_at_mm: GapCloses
    peak_stress_mpa: PeakStress


Scores = Mapping[str, Figures]
Rows = Mapping[str, StockRow]  # those of the problem by their keys


@dataclass(frozen=True, slots=True)
class BuiltSide:
    """One side of a plan that has stand-ins at some `positions`: `pressures` at the response's lifts as built of
    nominal sizes, `drawn` of the lots drawn, each None where there is none."""

    response: Response
    positions: tuple[str, ...]
    pressures: Array | None
    drawn: Compared | None

    @property
    def score_percent(self) -> float | None:
        """How far the curve as built is from the one asked for, by nominal sizes; None where there is none."""
        return None if self.pressures is None else round(int(self.response.score_ppm(self.pressures)) / 10_000, 3)

    @property
    def drawn_percent(self) -> float | None:
        """The same with the lots drawn, where it is largest and with its sign."""
        percent = None if self.drawn is None else self.drawn.percent
        return None if percent is None else round(percent, 3) + 0.0


def sides_of(responses: Sequence[Response], solution: Solution, rows: Rows) -> list[BuiltSide]:
    """Every side with stand-ins, all of them together, as this plan builds it."""
    pieces = [(response, _pieces(response, solution)) for response in responses]
    return [
        BuiltSide(response, tuple(given), _built(response, solution, rows, given), _drawn(response, solution, rows))
        for response, given in pieces
        if given
    ]


def scores_of(sides: Sequence[BuiltSide]) -> dict[str, Figures]:
    """The figures of every position with stand-ins, which are those of its side; positions of sides without a curve
    are left out."""
    return {
        key: Figures(score, side.drawn_percent)
        for side in sides
        if (score := side.score_percent) is not None
        for key in side.positions
    }


def curves_of(sides: Sequence[BuiltSide]) -> list[CurveOfSide]:
    """Both curves of every side: as asked by nominal sizes, as built with the lots drawn."""
    found: list[CurveOfSide] = []
    for one in sides:
        response, drawn = one.response, one.drawn
        asked = response.path({}) if drawn is None else drawn.asked_path
        built = None if drawn is None else drawn.built_path
        last = float(response.lifts_mm[-1])
        valve, side, _ = response.positions[0].key.split(".")
        found.append(
            {
                "valve": valve,
                "side": side,
                "score_percent": one.score_percent,
                "drawn_percent": one.drawn_percent,
                "curve": _rows(response, drawn),
                "gap_closes_at_mm": {"asked": _closes(asked, last), "built": _closes(built, last)},
                "peak_stress_mpa": {
                    "asked_mpa": peak_stress_mpa(asked, last),
                    "built_mpa": None if built is None else peak_stress_mpa(built, min(last, float(built.lift_mm[-1]))),
                },
            }
        )
    return found


def _pieces(response: Response, solution: Solution) -> dict[str, Pieces]:
    """What lies at the positions of a side that have stand-ins."""
    stood_in = {one.position: one for one in solution.stand_ins}
    return {
        p.key: ((p.size, p.quantity - stood_in[p.key].missing), *stood_in[p.key].shims)
        for p in response.positions
        if p.key in stood_in
    }


def _built(response: Response, solution: Solution, rows: Rows, pieces: Mapping[str, Pieces]) -> Array | None:
    """The pressures with the stand-ins and, on the side under the rebound base plate, the spacers; None where there are
    none. A side without spacers is one that the search has solved."""
    behind: list[Layer] = []
    if response.positions[0].key.startswith(BEHIND):
        sizes = [(rows[draw.row].size, draw.quantity) for draw in draws_at(solution, SPACER)]
        behind = [
            Layer(um_to_mm(size.od_um), um_to_mm(size.thickness_um), number)
            for size, number in sorted(sizes, key=lambda pair: pair[0].od_um)
        ]
    if not behind:
        return response.pressures(pieces)
    try:
        pressures = response.path(pieces, behind).pressures_at(response.lifts_mm)
    except (CannotBend, NotSolved):
        return None
    return pressures if np.isfinite(pressures).all() else None


def _drawn(response: Response, solution: Solution, rows: Rows) -> Compared | None:
    """The side with the lots drawn, and the spacers behind it; what is missing at its nominal size."""
    layers: list[Layer] = []
    for position in response.positions:
        here = _layers(draws_at(solution, position.key), rows)
        missing = solution.missing.get(position.key, 0)
        if missing:
            here.append(Layer(um_to_mm(position.size.od_um), um_to_mm(position.size.thickness_um), missing))
        layers += sorted(here, key=lambda layer: -layer.od_mm)
    if response.positions[0].key.startswith(BEHIND):
        layers += sorted(_layers(draws_at(solution, SPACER), rows), key=lambda layer: layer.od_mm)
    try:
        return response.compared(layers)
    except (CannotBend, NotSolved):
        return None


def _layers(draws: Sequence[Draw], rows: Rows) -> list[Layer]:
    """Pieces at the mean thickness of their lots."""
    places = [(rows[draw.row], draw.quantity) for draw in draws]
    return [Layer(um_to_mm(place.size.od_um), um_to_mm(place.mean_um), number) for place, number in places]


def _rows(response: Response, drawn: Compared | None) -> list[CurveRow]:
    if drawn is None:
        pairs = zip(response.lifts_mm.tolist(), response.asked.tolist(), strict=True)
        return [
            {"lift_mm": lift, "asked_mpa": asked, "built_mpa": None, "difference_percent": None}
            for lift, asked in pairs
        ]
    columns = (drawn.lifts_mm, drawn.asked, drawn.built, drawn.differences)
    return [
        {
            "lift_mm": lift,
            "asked_mpa": asked,
            "built_mpa": built if np.isfinite(built) else None,
            "difference_percent": difference if np.isfinite(difference) else None,
        }
        for lift, asked, built, difference in zip(*(column.tolist() for column in columns), strict=True)
    ]


def _closes(path: Path | None, last_mm: float) -> float | None:
    """The lift at which the first gap closes, up to the largest lift compared."""
    closing = None if path is None else path.first_closing_mm()
    return closing if closing is not None and closing <= last_mm else None
