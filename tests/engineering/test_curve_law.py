"""The corner law for curves: a quantity that is told more vaguely, or not at all, never makes an answer better."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest

from compat.engineering.answers import Verdict
from compat.engineering.bending.spread import Spread
from compat.engineering.bending.stack import Mount, Preload
from compat.engineering.groups import Ply
from compat.engineering.shims import Line, Size
from compat.engineering.stack_curve import YIELD_MPA, stack_curve
from compat.engineering.units import Range

CASES = [*range(32), 209, 284, 315, 377]  # the last four: oil beside the ports bends a stiff shim most
SIZES = ("hub_radius_mm", "base_radius_mm", "inner_radius_mm", "outer_radius_mm", "seat_radius_mm", "seat_height_mm")
# What nothing is told of has the range of all spring strip and of every clamp.
UNTOLD = {
    "youngs_mpa": Range.between(180_000, 220_000),
    "poisson": Range.between(0.27, 0.31),
    "edge_slip": Range.between(0, 1),
    "yield_mpa": YIELD_MPA,
}
Case = dict[str, Any]


def shim(od_mm: float, thickness: Range, count: int = 1, bore_um: int = 12_000) -> Ply:
    return Ply(Line(Size(round(od_mm * 1000), round(thickness.nominal * 1000), bore_um), count), thickness)


def case(number: int) -> Case:
    """A small stack at lifts round the end of what it bears, with every quantity told exactly."""
    drawn = random.Random(number)
    clamp, face = drawn.choice((18.0, 20.0)), drawn.choice((30.0, 34.0))
    thick = drawn.choice((0.15, 0.3, 0.8, 1.2))
    outer = face / 2 - drawn.choice((0.5, 1.5))
    told: dict[str, Range] = {
        "hub_radius_mm": Range.exact(clamp / 2 + drawn.choice((-0.5, 0.0, 1.0))),
        "base_radius_mm": Range.exact(drawn.choice((clamp / 2, clamp / 2 + 0.5, face / 2))),
        "inner_radius_mm": Range.exact(outer - drawn.choice((1.0, 3.0))),
        "outer_radius_mm": Range.exact(outer),
        "youngs_mpa": Range.exact(drawn.choice((185_000, 206_000, 230_000))),
        "poisson": Range.exact(0.3),
        "edge_slip": Range.exact(drawn.choice((0.0, 0.1, 0.5))),
        "yield_mpa": Range.exact(drawn.choice((1250, 1600, 1650, 1800))),
    }
    if drawn.random() < 0.4:
        told |= {
            "seat_radius_mm": Range.exact(face / 2 - 0.4),
            "seat_height_mm": Range.exact(drawn.choice((0.02, 0.2))),
        }
    plies = [
        shim(face, Range.exact(thick)),
        *([shim(clamp + 4, Range.exact(0.1)), shim(face - 2, Range.exact(0.2))] if drawn.random() < 0.5 else []),
        shim(clamp, Range.exact(0.3), bore_um=drawn.choice((12_000, 18_000)) if clamp == 20 else 12_000),
    ]
    return {**told, "plies": plies, "lift_mm": drawn.choice((0.02, 0.05, 0.15, 0.3))}


def verdict(of: Case) -> Verdict:
    exact: dict[str, Any] = {name: one.nominal for name, one in of.items() if isinstance(one, Range)}
    seat = Preload(exact["seat_radius_mm"], exact["seat_height_mm"]) if "seat_radius_mm" in of else None
    mount = Mount(**{name: exact[name] for name in (*SIZES[:4], "youngs_mpa", "poisson", "edge_slip")}, preload=seat)
    told = {name: one for name, one in of.items() if isinstance(one, Range) and name != "yield_mpa"}
    lifts = [of["lift_mm"] / 2, of["lift_mm"]]
    answer = stack_curve(
        of["plies"], Spread.of(mount, **told), lifts_mm=lifts, open_fraction=1.0, yield_mpa=of["yield_mpa"]
    )
    return answer.verdict


def wider(of: Case, name: str, drawn: random.Random) -> Case:
    """The same with one quantity between limits, its nominal value anywhere between; or, of some, not told."""
    if name == "plies":
        plies = [
            replace(ply, thickness_mm=_around(ply.thickness_mm, drawn.choice((0.002, 0.01, 0.02)), drawn))
            for ply in of["plies"]
        ]
        return {**of, name: plies}
    if name in UNTOLD and UNTOLD[name].low <= of[name].low and of[name].high <= UNTOLD[name].high:
        whole = UNTOLD[name]
        return {**of, name: whole if drawn.random() < 0.5 else _both(of[name], whole, drawn)}
    by = drawn.choice((0.001, 0.02, 0.1)) * of[name].nominal
    return {**of, name: _around(of[name], by, drawn)}


def _around(one: Range, by: float, drawn: random.Random) -> Range:
    low, high = one.low - by * drawn.choice((0, 1)), one.high + by * drawn.choice((0, 1))
    return Range(low, high, drawn.uniform(low, high))


def _both(one: Range, whole: Range, drawn: random.Random) -> Range:
    low, high = drawn.uniform(whole.low, one.low), drawn.uniform(one.high, whole.high)
    return Range(low, high, drawn.uniform(low, high))


def variants(of: Case, drawn: random.Random) -> Iterator[tuple[tuple[str, ...], Case]]:
    names = [name for name, one in of.items() if isinstance(one, Range)] + ["plies"]
    pairs = list(combinations(names, 2))
    for chosen in [*((name,) for name in names), *drawn.sample(pairs, 4)]:
        widened = of
        for name in chosen:
            widened = wider(widened, name, drawn)
        yield chosen, widened


def test_the_cases_stand_on_both_sides_of_the_limits() -> None:
    """A law about answers that are all alike would say nothing."""
    found = [verdict(case(number)) for number in CASES]
    assert {found.count(one) > 2 for one in Verdict} == {True}


@pytest.mark.parametrize("number", CASES)
def test_vaguer_is_never_better(number: int) -> None:
    drawn, known = random.Random(number), case(number)
    if verdict(known) is Verdict.FITS:
        return  # nothing to become better
    for names, widened in variants(known, drawn):
        assert verdict(widened) is not Verdict.FITS, (names, widened)
