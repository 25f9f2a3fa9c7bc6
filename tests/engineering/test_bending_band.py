"""The band of a curve: every possible stack that is drawn at random lies inside it."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from compat.engineering.bending.band import Band, band, nominal
from compat.engineering.bending.contact import contacts_of
from compat.engineering.bending.path import Path, follow
from compat.engineering.bending.shape import peaks_mpa
from compat.engineering.bending.spread import Spread
from compat.engineering.bending.stack import CannotBend, Groups, Layer, Mount, Preload
from compat.engineering.groups import Ply
from compat.engineering.shims import Line, Size
from compat.engineering.units import Range
from tests.engineering.cases_bending import random_stack

DRAWN = 12
SOLVER = 2e-3  # of a pressure: what the steps of a path leave; half a percent is its own error at its worst
SIZES = ("hub_radius_mm", "base_radius_mm", "inner_radius_mm", "outer_radius_mm")


def plies_of(layers: list[Layer], spread_mm: float) -> list[Ply]:
    return [
        Ply(
            Line(Size(round(one.od_mm * 1000), round(one.thickness_mm * 1000), 1000), one.count),
            Range.around(one.thickness_mm, spread_mm),
        )
        for one in layers
    ]


def case(number: int) -> tuple[list[Ply], Spread]:
    """A random stack on a mount of which some sizes are open, one in three with a raised seat."""
    drawn = random.Random(number)
    layers, mount = random_stack(drawn, most=12)
    face = layers[0].od_mm / 2
    told = {
        name: Range.around(getattr(mount, name), drawn.choice((0.02, 0.1, 0.3)))
        for name in SIZES
        if drawn.random() < 0.5 and name != "outer_radius_mm"
    }
    if drawn.random() < 0.5:
        outer = min(mount.outer_radius_mm, face - 0.2)
        mount = Mount(mount.hub_radius_mm, mount.base_radius_mm, mount.inner_radius_mm, outer)
        told["outer_radius_mm"] = Range.around(outer, 0.1)
    if number % 3 == 0:
        seat = Preload(face - 0.4, 0.03)
        mount = replace(mount, preload=seat)
        told |= {"seat_radius_mm": Range.around(seat.radius_mm, 0.3), "seat_height_mm": Range.around(0.03, 0.02)}
    return plies_of(layers, drawn.choice((0.001, 0.004))), Spread.of(mount, **told)


def member(plies: list[Ply], spread: Spread, drawn: random.Random, end_mm: float) -> Path:
    """One possible stack: each quantity anywhere inside its limits, at an end as often as not."""

    def inside(one: Range) -> float:
        return drawn.choice((one.low, one.high, drawn.uniform(one.low, one.high), drawn.uniform(one.low, one.high)))

    layers = [Layer(ply.od_mm, inside(ply.thickness_mm)) for ply in plies for _ in range(ply.line.quantity)]
    mount = spread.at({name: inside(one) for name, one in spread.open.items()})
    return follow(contacts_of(Groups.of(layers), mount), end_mm)


def found(number: int) -> tuple[list[Ply], Spread, Band]:
    plies, spread = case(number)
    try:
        return plies, spread, band(plies, spread)
    except CannotBend:
        pytest.skip("a corner of this one lies outside the model")


@pytest.mark.parametrize("number", range(24))
def test_every_possible_stack_lies_inside_the_band(number: int) -> None:
    plies, spread, known = found(number)
    drawn = random.Random(1000 + number)
    for _ in range(DRAWN):
        path = member(plies, spread, drawn, float(known.lifts_mm[-1]))
        area = path.contacts.mount.ring_area_mm2
        pressures = path.pressures_at(known.lifts_mm)
        assert np.isfinite(pressures).all()
        assert (pressures >= known.low * (1 - SOLVER)).all(), (pressures / known.low, path.contacts.mount)
        assert (pressures <= known.high * (1 + SOLVER)).all(), (pressures / known.high, path.contacts.mount)
        assert (pressures * area >= known.low_n * (1 - SOLVER)).all(), (
            pressures * area / known.low_n,
            path.contacts.mount,
        )
        assert (pressures * area <= known.high_n * (1 + SOLVER)).all(), (
            pressures * area / known.high_n,
            path.contacts.mount,
        )
        stress = peaks_mpa(path, known.lifts_mm)
        assert (stress <= known.stress_high * (1 + SOLVER)).all(), (stress / known.stress_high, path.contacts.mount)


def test_a_band_about_a_path_that_is_known_is_the_same() -> None:
    plies, spread = case(4)
    known = band(plies, spread)
    path = follow(contacts_of(Groups.of(nominal(plies)), spread.mount), float(known.lifts_mm[-1]))
    found, given = band(plies, spread, known.lifts_mm), band(plies, spread, known.lifts_mm, path=path)
    assert given.path is path
    for name in ("pressures_mpa", "low", "high", "low_n", "high_n", "stretch", "stress_low", "stress_high"):
        assert np.array_equal(getattr(found, name), getattr(given, name), equal_nan=True)
    assert given.dominated_by() == found.dominated_by()
