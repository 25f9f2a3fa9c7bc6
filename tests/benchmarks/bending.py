"""Curves of force against lift: their time on one core, their error, and both against finite elements."""

from __future__ import annotations

import os
import random
import statistics
import time
from dataclasses import replace

import numpy as np

from compat.engineering.bending.active_set import NotSolved
from compat.engineering.bending.contact import FILL, contacts_of
from compat.engineering.bending.path import Path, follow
from compat.engineering.bending.plates import Array
from compat.engineering.bending.stack import Groups, Layer, Mount
from tests.benchmarks.figures import Figure, timed
from tests.engineering.cases_bending import random_stack
from tests.engineering.oracle_bending import lifts_by_elements

CASES = 60
WITH_ELEMENTS = 12
LIFT_MM = 0.5
LIFTS = np.geomspace(0.02, LIFT_MM, 10)
FINE = 4 * FILL


def run(seed: int) -> list[Figure]:
    """60 random stacks of 8-25 shims to 0.5 mm, set-up included; every twelfth part of them by elements too."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {0})  # one core: a small matrix gains nothing from two
    random_ = random.Random(seed)
    cases = [random_stack(random_) for _ in range(CASES)]
    follow(contacts_of(Groups.of(cases[0][0]), cases[0][1]), LIFT_MM)  # imports and first calls
    seconds, at_lift, errors = [], [], []
    for layers, mount in cases:
        path, took = _timed(layers, mount)
        seconds.append(took)
        try:
            fine = follow(contacts_of(Groups.of(layers), mount, fill=FINE), LIFT_MM)
        except NotSolved:  # so many radii that the contacts of the reference do not settle
            continue
        by_pressure, by_lift = _off(path, fine)
        at_lift.append(float(by_pressure.max()) * 100)
        errors.append(float(np.minimum(by_pressure, by_lift).max()) * 100)
    median_ms, p90_ms = (float(np.percentile(seconds, share)) * 1000 for share in (50, 90))
    median_error, worst_error = statistics.median(at_lift), max(errors)
    times, ours, theirs = _against_elements(cases[:WITH_ELEMENTS])
    return [
        Figure(
            "stacks compared with a reference", len(errors), "", f"{CASES - 2} of {CASES}", len(errors) >= CASES - 2
        ),
        timed("a whole curve, median", median_ms, "ms", 3, digits=2),
        timed("a whole curve, 90 of 100", p90_ms, "ms", 8, digits=2),
        Figure(
            "error of force at a lift, 4 times the radii, median",
            round(median_error, 4),
            "%",
            "under 0.1",
            median_error < 0.1,
        ),
        Figure("the same, worst", round(max(at_lift), 3), "%", "printed: some curves are all but upright", True),
        Figure("error of the curve (force or lift), worst", round(worst_error, 3), "%", "under 1", worst_error < 1),
        Figure("time of elements over own time, median", round(times), "times", "100 is the aim", times > 1),
        Figure("error of elements over own error, median", round(theirs / ours, 1), "times", "printed", True),
    ]


def _off(path: Path, fine: Path) -> tuple[Array, Array]:
    """How far off a path is at LIFTS, shares of one: in force at the same lift, and in lift at the same force.

    Where a gap has just closed behind a thin face shim a curve stands all but upright: there a force at a lift says
    nothing, and a lift at a force does.
    """
    pressures = fine.pressures_at(LIFTS)
    lifts = np.interp(pressures, path.pressure_mpa, path.lift_mm)
    return abs(path.pressures_at(LIFTS) / pressures - 1), abs(lifts / LIFTS - 1)


def _timed(layers: list[Layer], mount: Mount) -> tuple[Path, float]:
    start = time.perf_counter()
    path = follow(contacts_of(Groups.of(layers), mount), LIFT_MM)
    return path, time.perf_counter() - start


def _against_elements(cases: list[tuple[list[Layer], Mount]]) -> tuple[float, float, float]:
    """(times, own error, elements' error), medians: unmerged Hermite elements of 0.25 mm at the same ten pressures.

    Errors are of the lift at a pressure, against 4 times the contact radii. The clamp's edge does not slip here, so
    that every radius lies on the elements' grid.
    """
    ratios, own, other = [], [], []
    for layers, slipping in cases:
        mount = replace(slipping, edge_slip=0.0)
        fine = follow(contacts_of(Groups.of(layers), mount, fill=FINE), LIFT_MM)
        pressures = fine.pressures_at(LIFTS)
        path, took = _timed(layers, mount)
        own.append(float(abs(path.pressures_at(LIFTS) / pressures - 1).max()))
        start = time.perf_counter()
        lifts = lifts_by_elements(layers, mount, pressures.tolist())
        ratios.append((time.perf_counter() - start) / took)
        other.append(float(abs(lifts / LIFTS - 1).max()))
    return statistics.median(ratios), statistics.median(own), statistics.median(other)
