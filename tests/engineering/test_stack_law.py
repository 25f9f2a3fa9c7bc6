"""The corner law over face shim, lip and stack: no verdict becomes `fits` because a reading is dropped or made vaguer.

A case is a set of readings, nested ones by their path; its variants leave one or two of them out or widen them. Not
varied, because they are no readings of the parts at hand:

- `kind`, the sides, which plates and washers there are, and the lines of a stack with their numbers, diameters, bores
  and forms: what is built, as the tuner writes it. A line without a bore names the shim that is made for this shaft.
- the lot of a line: without it any piece of the strip may be the one, with the strip's tolerance (ISO 9445-1), and the
  answer is of those pieces.
- the least lengths on the straight part and past the lip are widened by nothing: the damper's instructions state
  them. Left out they are asked for.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from itertools import combinations

import pytest

from compat.engineering.answers import Verdict, verdict_of
from compat.engineering.face import face_shim
from compat.engineering.groups import Ply
from compat.engineering.lip import LipRule, window
from compat.engineering.shims import Form, Line, Size
from compat.engineering.stacks import stack
from compat.engineering.units import Range
from compat.engineering.valves import BasePlate, Kind, Place, Spacing, Valve, ValveSide

Readings = dict[str, Range | None]
Judge = Callable[[Readings], Verdict]
STATED = ("on_straight_mm", "past_lip_mm")
FIXED = ("thickness",)  # a ply always has a thickness

FACE = {
    "shim_od_mm": 36.0,
    "shim_bore_mm": 12.0,
    "shaft_mm": 11.98,
    "hub_mm": 20.0,
    "ports_inner_mm": 22.0,
    "ports_outer_mm": 34.2,
    "land_outer_mm": 36.8,
    "body_bore_mm": 46.0,
    "other_side_feed_inner_mm": 37.6,
    "overlap_mm": 0.5,
}
LIP = {"height_mm": 19.6, "shoulder_to_lip_mm": 22.0, "base_plate_mm": 4.0, "on_straight_mm": 1.8, "past_lip_mm": 1.8}
SIDE = ("hub_mm", "ports_inner_mm", "ports_outer_mm", "land_outer_mm", "other_side_feed_inner_mm")
LINES = ((36.0, 0.2, 2), (22.0, 0.1, 1), (32.0, 0.15, 2), (20.0, 0.3, 1))


def of_face(readings: Readings) -> Verdict:
    return face_shim(**readings).verdict


def of_lip(readings: Readings) -> Verdict:
    on, past = (None if readings[name] is None else readings[name].nominal for name in STATED)  # type: ignore[union-attr]  # asked just before
    rule = LipRule(readings["shoulder_to_lip_mm"], readings["base_plate_mm"], on, past)
    return verdict_of(window(readings["height_mm"], rule).findings)


def of_stack(readings: Readings) -> Verdict:
    sides = tuple(
        ValveSide(
            side,
            ports_inner_mm=readings[f"{side}.ports_inner_mm"],
            ports_outer_mm=readings[f"{side}.ports_outer_mm"],
            land_outer_mm=readings[f"{side}.land_outer_mm"],
            hub_mm=readings[f"{side}.hub_mm"],
            other_side_feed_inner_mm=readings[f"{side}.other_side_feed_inner_mm"],
        )
        for side in ("compression", "rebound")
    )
    plates = {side.name: BasePlate(readings[f"{side.name}.plate_mm"], Range.exact(28.0)) for side in sides}
    valve = Valve(
        kind=Kind.MAIN,
        sides=sides,
        piston_height_mm=readings["piston_height_mm"],
        base_plates=plates,
        spacings=(Spacing("washer", readings["washer_mm"], Place.SHOULDER),),
        body_bore_mm=readings["body_bore_mm"],
        shaft_mm=readings["shaft_mm"],
    )
    plies = {}
    for side in ("compression", "rebound"):
        plies[side] = [
            Ply(Line(Size(round(od * 1000), round(thick * 1000), 12_000, Form.ROUND), count), known)
            for (number, (od, thick, count)) in enumerate(LINES)
            if (known := readings[f"{side}.{number}.thickness"]) is not None
        ]
    on, past = (None if readings[name] is None else readings[name].nominal for name in STATED)  # type: ignore[union-attr]  # asked just before
    rule = LipRule(readings["shoulder_to_lip_mm"], None, on, past)
    return stack(valve, plies, overlap_mm=readings["overlap_mm"], rule=rule).verdict


def stack_readings() -> dict[str, float]:
    found = {name: FACE[name] for name in ("body_bore_mm", "shaft_mm", "overlap_mm")}
    found |= {"piston_height_mm": 12.0, "washer_mm": 1.5, "shoulder_to_lip_mm": 22.0}
    found |= {"on_straight_mm": 1.8, "past_lip_mm": 1.8}
    for side in ("compression", "rebound"):
        found |= {f"{side}.{name}": FACE[name] for name in SIDE}
        found[f"{side}.plate_mm"] = 4.0
        found |= {f"{side}.{number}.thickness": line[1] for number, line in enumerate(LINES)}
    return found


# What turns a good case into another one: each reading is pushed by up to this much, mm.
QUESTIONS: dict[str, tuple[dict[str, float], Judge, float]] = {
    "face": (FACE, of_face, 16.0),
    "lip": (LIP, of_lip, 1.5),
    "stack": (stack_readings(), of_stack, 16.0),
}


def case(readings: dict[str, float], push: float, draw: random.Random) -> Readings:
    """A good case with one to three of its readings off, each as exact as one gets or spread a little."""
    found = dict(readings)
    for name in draw.sample(sorted(found), draw.randint(1, 3)):
        most = 0.05 if "thickness" in name else push
        found[name] = max(0.01, round(found[name] + draw.uniform(-most, most), 3))
    return {
        name: Range.exact(value)
        if name in STATED
        else Range(value, value + _spread(readings[name], value, draw), value)
        for name, value in found.items()
    }


def _spread(good: float, value: float, draw: random.Random) -> float:
    return draw.choice((0, 0, 0.01)) if value == good else draw.choice((0, 0.01, 0.4))


def vaguer(readings: Readings, names: tuple[str, ...], draw: random.Random) -> Readings:
    """The same with these readings left out or wider, and the nominal value anywhere inside."""
    found = dict(readings)
    for name in names:
        known = found[name]
        assert known is not None
        if draw.random() < 0.4 and not name.endswith(FIXED):
            found[name] = None
        elif name not in STATED:
            most = 0.08 if name.endswith(FIXED) else draw.choice((0.05, 0.5, 3, 20))
            low = max(0.001, known.low - draw.choice((0, draw.uniform(0, most))))
            high = known.high + draw.choice((0, draw.uniform(0, most)))
            found[name] = Range(low, high, draw.uniform(low, high))
    return found


def variants(readings: Readings, draw: random.Random) -> Iterator[tuple[tuple[str, ...], Readings]]:
    """Each reading alone, and some pairs."""
    pairs = list(combinations(sorted(readings), 2))
    for names in [*((name,) for name in readings), *draw.sample(pairs, min(len(pairs), 25))]:
        yield names, vaguer(readings, names, draw)


@pytest.mark.parametrize(("question", "cases"), [("face", 150), ("lip", 400), ("stack", 90)])
def test_no_vaguer_reading_makes_a_verdict_fit(question: str, cases: int) -> None:
    readings, judge, push = QUESTIONS[question]
    draw = random.Random(question)
    seen: dict[Verdict, int] = dict.fromkeys(Verdict, 0)
    tried = 0
    for _ in range(cases):
        known = case(readings, push, draw)
        verdict = judge(known)
        seen[verdict] += 1
        if verdict is Verdict.FITS:
            continue
        for names, vague in variants(known, draw):
            tried += 1
            assert judge(vague) is not Verdict.FITS, (names, {name: (known[name], vague[name]) for name in names})
    assert tried >= 1_800
    assert all(number >= 5 for number in seen.values()), seen


@pytest.mark.parametrize("question", sorted(QUESTIONS))
def test_a_reading_left_out_of_a_good_case_asks(question: str) -> None:
    readings, judge, _ = QUESTIONS[question]
    good: Readings = {name: Range.exact(value) for name, value in readings.items()}
    assert judge(good) is Verdict.FITS
    for name in readings:
        if not name.endswith(FIXED):
            assert judge({**good, name: None}) is Verdict.CANNOT_TELL, name


@pytest.mark.parametrize("question", sorted(QUESTIONS))
def test_a_case_that_fits_vaguely_fits_at_every_corner(question: str) -> None:
    """The other way round: what fits as a range fits at each end of every reading."""
    readings, judge, _ = QUESTIONS[question]
    draw = random.Random(question)
    for _ in range(200):
        wide = {
            name: Range(value - draw.uniform(0, 0.02), value + draw.uniform(0, 0.02), value)
            if name not in STATED
            else Range.exact(value)
            for name, value in readings.items()
        }
        if judge(dict(wide)) is Verdict.FITS:
            ends = {name: Range.exact(draw.choice((one.low, one.high))) for name, one in wide.items()}
            assert judge(dict(ends)) is Verdict.FITS
