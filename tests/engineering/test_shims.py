"""Shims as goods: strip tolerance, what a lot's readings say, and the roles of a stack's lines."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.shims import (
    MICROMETER_UM,
    Form,
    Line,
    Size,
    roles_of,
    strip_tolerance_um,
    thickness_of,
)


def lines(*diameters: int, quantity: int = 1) -> list[Line]:
    return [Line(Size(od * 1000, 200, 12_000), quantity) for od in diameters]


@pytest.mark.parametrize(("thickness_um", "tolerance"), [(100, 10), (150, 15), (200, 15), (250, 17), (300, 20)])
def test_strip_tolerance_is_that_of_iso_9445_1_normal_class(thickness_um: int, tolerance: int) -> None:
    """ISO 9445-1, narrow cold-rolled stainless strip, normal class, as tabulated by strip makers."""
    assert strip_tolerance_um(thickness_um) == tolerance


@pytest.mark.parametrize(("thickness_um", "tolerance"), [(80, 10), (110, 15), (120, 15), (400, 25)])
def test_thicknesses_between_the_rows_take_the_next_row(thickness_um: int, tolerance: int) -> None:
    """The rarer shim thicknesses; the row to 0.50 mm is from memory."""
    assert strip_tolerance_um(thickness_um) == tolerance


@given(st.integers(1, 3000), st.integers(1, 3000))
def test_a_thicker_strip_is_never_held_closer(one: int, other: int) -> None:
    thin, thick = sorted((one, other))
    assert strip_tolerance_um(thin) <= strip_tolerance_um(thick)


def test_above_the_table_the_tolerance_grows_in_proportion_rounded_up() -> None:
    assert strip_tolerance_um(1000) == 50
    assert strip_tolerance_um(501) == 26


def test_an_unmeasured_lot_has_its_nominal_thickness_and_the_strips_tolerance() -> None:
    assert thickness_of(150, 0, 0.0, 0, 0) == (150, 15)


@pytest.mark.parametrize("readings", [1, 2])
def test_one_or_two_readings_say_where_a_lot_lies_but_not_how_far_it_scatters(readings: int) -> None:
    assert thickness_of(150, readings, 146.0, 146, 146) == (146, 15)


def test_three_readings_give_mean_and_largest_distance() -> None:
    """148, 150, 155: mean 151, farthest reading 4 um away."""
    assert thickness_of(150, 3, 151.0, 148, 155) == (151, 4)
    assert thickness_of(150, 3, 151.0, 145, 155) == (151, 6)


def test_two_readings_far_apart_are_a_mixed_bag_and_spread_at_least_that_far() -> None:
    """0.15 and 0.20 in one bag: both readings lie 25 um from their mean, more than the strip's 15."""
    assert thickness_of(150, 2, 175.0, 150, 200) == (175, 25)


def test_a_spread_is_never_smaller_than_what_the_micrometer_leaves_open() -> None:
    assert thickness_of(150, 5, 150.0, 150, 150) == (150, MICROMETER_UM)


@given(st.lists(st.integers(90, 320), min_size=1, max_size=12))
def test_every_reading_lies_inside_the_spread(readings: list[int]) -> None:
    mean, spread = thickness_of(200, len(readings), sum(readings) / len(readings), min(readings), max(readings))
    assert mean - spread <= min(readings)
    assert mean + spread >= max(readings)


ROLES = [
    ("two-stage", (40, 24, 38, 34, 30, 20), ["face", "crossover", "taper", "taper", "taper", "clamp"]),
    ("two-stage, runs of one diameter", (40, 40, 24, 38, 38, 20, 20), "face face crossover taper taper clamp clamp"),
    ("single-stage", (40, 36, 32, 20), ["face", "taper", "taper", "clamp"]),
    ("face and clamp only", (40, 20), ["face", "clamp"]),
    ("one diameter", (40, 40), ["face", "face"]),
    ("one line", (40,), ["face"]),
    ("nothing", (), []),
    ("reverse taper", (30, 34, 38), ["face", "taper", "clamp"]),
    ("reverse taper, then clamp", (30, 34, 20), ["face", "taper", "clamp"]),
    ("several crossovers", (40, 22, 38, 20, 34, 18), "face crossover taper crossover taper clamp"),
    ("a stepped crossover", (40, 22, 24, 38, 18), ["face", "crossover", "crossover", "taper", "clamp"]),
    ("a crossover as large as the clamp", (40, 20, 36, 20), ["face", "crossover", "taper", "clamp"]),
    ("the face diameter again", (40, 24, 40, 20), ["face", "crossover", "taper", "clamp"]),
]


@pytest.mark.parametrize(("diameters", "roles"), [case[1:] for case in ROLES], ids=[case[0] for case in ROLES])
def test_roles_of_a_stack(diameters: tuple[int, ...], roles: list[str] | str) -> None:
    """Common practice of the trade; no published source."""
    assert roles_of(lines(*diameters)) == (roles.split() if isinstance(roles, str) else roles)


def test_roles_depend_on_the_outer_diameter_alone() -> None:
    plain = lines(40, 24, 38, 20)
    other = [Line(Size(line.size.od_um, 100, 8_000, Form.NOTCHED), 3) for line in plain]
    assert roles_of(plain) == roles_of(other)


stacks = st.lists(st.integers(14, 44), min_size=1, max_size=10)


@given(stacks, st.data())
def test_splitting_a_line_in_two_leaves_every_role_as_it_is(diameters: list[int], data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(diameters) - 1))
    whole = lines(*diameters, quantity=2)
    half = Line(whole[at].size, 1)
    roles = roles_of(whole)
    assert roles_of([*whole[:at], half, half, *whole[at + 1 :]]) == [*roles[: at + 1], *roles[at:]]


@given(stacks)
def test_a_stack_begins_at_the_face_and_ends_at_the_clamp(diameters: list[int]) -> None:
    roles = roles_of(lines(*diameters))
    assert roles[0] == "face"
    assert roles[-1] == ("clamp" if len(set(diameters)) > 1 else "face")
