"""What E and what slip of the clamp's edge explain a measured curve?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from compat.asking.fields import length, number, refuse_value, request, rows, text, word
from compat.asking.question import Question
from compat.engineering.answers import Answer
from compat.engineering.bending.calibration import LEAST_POINTS
from compat.engineering.bending.stack import Mount
from compat.engineering.curve_calibration import curve_calibration
from compat.engineering.groups import Ply, gauged
from compat.questions.told_mounts import MountedStack, StackOfLines, names_lots
from compat.texts.refusals import engine_errors
from inventory.dampers.words import SIDES, VALVES

MOST_POINTS = 100  # of a measured curve


@request
class Point:
    """One measured point: the lift at the face shim's rim, and the force of the oil on the whole ring."""

    lift_mm: float = length(most_um=5_000, needed=True)
    force_n: float = number(least=0.001, most=1_000_000, needed=True)


def accept_points(points: Sequence[Point]) -> None:
    """Refuses points that make no curve."""
    if not LEAST_POINTS <= len(points) <= MOST_POINTS:
        refuse_value("points", f"needs {LEAST_POINTS} to {MOST_POINTS} points")
    if any(after.lift_mm <= before.lift_mm for before, after in pairwise(points)):
        refuse_value("not_rising", "lifts must rise")


@request
class Measurement(StackOfLines):
    """A stack and the points of force against lift that were measured on it.

    `thickness_error_mm`: what the gauge may be off that read the thicknesses told; without it they are nominal.
    """

    thickness_error_mm: float | None = length(least_um=0, most_um=50)
    points: tuple[Point, ...] = rows(Point, needed=True, accepts=accept_points)


@request
class CurveCalibration(Measurement, MountedStack):
    """What E and what slip of the clamp's edge explain these points?"""


@request
class NewCalibration(Measurement):
    """Points to be explained and kept for the piston that they were measured on."""

    valve: str = word(VALVES, default="main")
    side: str = word(SIDES, needed=True)
    note: str = text(most=400, empty=True)


@dataclass(frozen=True, slots=True)
class Explained:
    """The answer to a measured curve, the mount that it was measured on, None where that is not known, and the shims
    with the thickness that they were taken to have."""

    answer: Answer
    mount: Mount | None
    plies: Sequence[Ply]


def explained(asked: CurveCalibration) -> Explained:
    """A measured curve with all that is worth keeping of it.

    Raises DomainError `invalid` for what cannot be computed, `not_found` for an unknown damper.
    """
    held = asked.held(asked.told(), calibrated=False)
    plies = _read(asked.plies(held), asked)
    if held.spread is None:
        return Explained(held.open("curve-calibration"), None, plies)
    with engine_errors("points"):
        found = curve_calibration(
            plies, held.spread, [one.lift_mm for one in asked.points], [one.force_n for one in asked.points]
        )
    found = replace(found, findings=(*found.findings, *held.findings, *asked.bores(held)))
    return Explained(found, held.spread.mount, plies)


def _read(plies: list[Ply], asked: CurveCalibration) -> list[Ply]:
    """Shims whose thickness was read with a gauge: as told, plus or minus its error; those of a lot by its readings."""
    error = asked.thickness_error_mm
    if error is None:
        return plies
    return [
        ply if one.lot else gauged(ply.line, round(error * 1000)) for ply, one in zip(plies, asked.stack, strict=True)
    ]


def answer(asked: CurveCalibration) -> Answer:
    """Raises as explained() does."""
    return explained(asked).answer


QUESTION = Question(
    "curve-calibration",
    "What E and what slip of the clamp's edge explain a measured curve?",
    CurveCalibration,
    answer,
    names_lots=names_lots,
)
