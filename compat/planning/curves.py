"""The curves of the sides that have stand-ins: as asked and as built, with the spacers that lie behind the clamp."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.path import Path
from compat.engineering.bending.plates import Array
from compat.engineering.bending.shape import peak_stress_mpa
from compat.engineering.bending.stack import CannotBend, Layer
from compat.engineering.plans.bent.response import Pieces, Response
from compat.engineering.plans.problem import SPACER
from compat.engineering.plans.solution import Solution
from compat.engineering.units import um_to_mm
from compat.planning.drawn import draws_at
from compat.shelf import ShimRows


@dataclass(frozen=True, slots=True)
class BuiltSide:
    """One side of a plan that has stand-ins at some `positions`: `path` as built, None where there is none."""

    response: Response
    positions: tuple[str, ...]
    path: Path | None

    @property
    def score_percent(self) -> float | None:
        """How far the curve as built is from the one asked for; None where there is none to compare."""
        if self.path is None:
            return None
        pressures = self.path.pressures_at(self.response.lifts_mm)
        return round(int(self.response.score_ppm(pressures)) / 10_000, 3) if np.isfinite(pressures).all() else None


def sides_of(responses: Sequence[Response], solution: Solution, rows: ShimRows) -> list[BuiltSide]:
    """Every side with stand-ins, all of them together, as this plan builds it."""
    pieces = [(response, _pieces(response, solution)) for response in responses]
    return [
        BuiltSide(response, tuple(given), _built(response, solution, rows, given))
        for response, given in pieces
        if given
    ]


def scores_of(sides: Sequence[BuiltSide]) -> dict[str, float]:
    """{position: percent} of every position with stand-ins: the change of the curve of its side; positions of sides
    without a curve are left out."""
    return {key: score for side in sides if (score := side.score_percent) is not None for key in side.positions}


def curves_of(sides: Sequence[BuiltSide]) -> list[dict[str, Any]]:
    """Both curves of every side, at ten lifts; nominal sizes, so that only what was changed differs."""
    found = []
    for one in sides:
        response, built = one.response, one.path
        asked = response.path({})
        given = None if built is None else built.pressures_at(response.lifts_mm)
        last = float(response.lifts_mm[-1])
        valve, side, _ = response.positions[0].key.split(".")
        found.append(
            {
                "valve": valve,
                "side": side,
                "score_percent": one.score_percent,
                "curve": [_row(at, response, given) for at in range(len(response.lifts_mm))],
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


def _built(response: Response, solution: Solution, rows: ShimRows, pieces: Mapping[str, Pieces]) -> Path | None:
    """The path with the stand-ins and, on the side under the rebound base plate, the spacers; None without one."""
    behind: list[Layer] = []
    if response.positions[0].key.startswith("main.rebound."):
        sizes = [(rows.places[draw.row].size, draw.quantity) for draw in draws_at(solution, SPACER)]
        behind = [
            Layer(um_to_mm(size.od_um), um_to_mm(size.thickness_um), number)
            for size, number in sorted(sizes, key=lambda pair: pair[0].od_um)
        ]
    try:
        return response.path(pieces, behind)
    except (CannotBend, NotSolved):
        return None


def _row(at: int, response: Response, given: Array | None) -> dict[str, Any]:
    asked = float(response.asked[at])
    built = None if given is None or not np.isfinite(given[at]) else float(given[at])
    change = None if built is None else 100 * (built / asked - 1)
    return {
        "lift_mm": float(response.lifts_mm[at]),
        "asked_mpa": asked,
        "built_mpa": built,
        "difference_percent": change,
    }


def _closes(path: Path | None, last_mm: float) -> float | None:
    """The lift at which the first gap closes, up to the largest lift compared."""
    closing = None if path is None else path.first_closing_mm()
    return closing if closing is not None and closing <= last_mm else None
