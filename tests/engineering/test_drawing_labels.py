"""Spreading of references, and hatching. ISO 6433, ISO 128-3; the spreading against a general optimiser."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from compat.engineering.drawing.hatching import FALLING, RISING, direction, hatch
from compat.engineering.drawing.labels import PITCH, RADIUS, Label, balloons, spread
from compat.engineering.drawing.outlines import circle
from compat.engineering.drawing.shapes import Circle, Note, Path, Text, box, finished, line

SQUARE = box(0.0, 0.0, 30.0, 30.0)


def test_labels_with_room_stay_where_they_are_wanted() -> None:
    assert spread([0.0, 20.0, 55.0], 20.0) == [0.0, 20.0, 55.0]


def test_two_labels_on_one_place_move_apart_evenly() -> None:
    assert spread([10.0, 10.0], 20.0) == [0.0, 20.0]


def test_a_crowd_pushes_its_neighbour_and_nobody_else() -> None:
    """0 and 4 move to -4 and 8, only 10 from 18, so all three move: the mean of 0, 4 - 12, 18 - 24 is -14/3."""
    found = spread([0.0, 4.0, 18.0, 90.0], 12.0)
    assert found == pytest.approx([-14 / 3, 12 - 14 / 3, 24 - 14 / 3, 90.0])


def test_nothing_to_label_is_nothing() -> None:
    assert spread([], 20.0) == []


def test_labels_out_of_order_are_refused() -> None:
    with pytest.raises(ValueError, match="in the order"):
        spread([3.0, 2.0], 20.0)


@given(st.lists(st.floats(0, 500), max_size=130).map(sorted), st.floats(1, 30))
def test_no_two_labels_are_closer_than_the_pitch(wanted: list[float], pitch: float) -> None:
    found = spread(wanted, pitch)
    assert len(found) == len(wanted)
    assert all(after - before >= pitch - 1e-6 for before, after in pairwise(found))


@pytest.mark.parametrize("seed", range(6))
def test_the_spreading_moves_labels_the_least(seed: int) -> None:
    """Sequential quadratic programming on the same squares is the second source."""
    wanted = np.sort(np.random.default_rng(seed).uniform(0, 80, 7))
    gaps = [{"type": "ineq", "fun": lambda y, i=i: y[i + 1] - y[i] - 15.0} for i in range(6)]
    best = minimize(lambda y: float(((y - wanted) ** 2).sum()), wanted + np.arange(7) * 15.0, constraints=gaps)
    assert best.success
    assert spread([float(y) for y in wanted], 15.0) == pytest.approx(best.x, abs=1e-3)


def test_balloons_never_touch_and_each_leader_ends_on_its_balloon() -> None:
    shapes = balloons([Label(str(n), 40.0, 3.0 * n, 1 + n % 2) for n in range(9)], 60.0, 100.0)
    rings = [shape for shape in shapes if isinstance(shape, Circle)]
    leaders = [shape for shape in shapes if isinstance(shape, Path) and shape.kind == "leader"]
    assert len(rings) == len(leaders) == 9
    assert all(after.y - before.y >= 2 * RADIUS for before, after in pairwise(rings))
    assert [one.lines[0][-1] for one in leaders] == [(100.0 - RADIUS, ring.y) for ring in rings]
    assert [one.lines[0][0] for one in leaders] == [(40.0, 3.0 * n) for n in range(9)]


def test_a_reference_of_three_figures_stays_inside_its_balloon() -> None:
    (text,) = [shape for shape in balloons([Label("128", 0, 0)], 10, 50) if isinstance(shape, Text)]
    assert text.length < 2 * RADIUS
    assert PITCH > 2 * RADIUS


@pytest.mark.parametrize(("slope", "sign"), [(RISING, -1), (FALLING, 1)])
def test_hatch_lines_lie_at_45_degrees_and_a_pitch_apart(slope: int, sign: int) -> None:
    """Rising lines go up to the right: with y downward, y falls by as much as x grows."""
    lines = hatch([SQUARE], slope, 5.0).lines
    offsets = []
    for (x0, y0), (x1, y1) in lines:
        assert y1 - y0 == pytest.approx(sign * (x1 - x0))
        offsets.append((x0 - sign * y0) / math.sqrt(2))
    assert all(after - before == pytest.approx(5.0) for before, after in pairwise(sorted(offsets)))


def test_hatching_fills_the_area() -> None:
    """Total length times pitch is the area, within one line's worth: 30 x 30 = 900."""
    total = sum(math.dist(*ends) for ends in hatch([SQUARE], RISING, 0.25).lines) * 0.25
    assert total == pytest.approx(900, rel=0.01)


def test_hatching_leaves_holes_free() -> None:
    """A ring of radii 20 and 8 has pi (400 - 64) = 1055.6."""
    rings = [circle(50, 50, 20), circle(50, 50, 8)]
    path = hatch(rings, FALLING, 0.25)
    assert sum(math.dist(*ends) for ends in path.lines) * 0.25 == pytest.approx(math.pi * 336, rel=0.01)
    middles = [((x0 + x1) / 2, (y0 + y1) / 2) for (x0, y0), (x1, y1) in path.lines]
    assert all(math.dist(middle, (50, 50)) > 7.9 for middle in middles)


def test_cuts_of_one_part_drawn_apart_share_one_grid() -> None:
    left, right = hatch([SQUARE], RISING, 6.0), hatch([box(60.0, 0.0, 90.0, 30.0)], RISING, 6.0)
    step = 6.0 * math.sqrt(2)
    for path in (left, right):
        assert all((x + y) / step == pytest.approx(round((x + y) / step), abs=1e-9) for (x, y), _ in path.lines)


def test_neighbours_take_opposite_directions() -> None:
    assert all(direction(n) == -direction(n + 1) for n in range(9))


def test_a_pitch_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        hatch([SQUARE], RISING, 0.0)


def test_a_drawing_is_moved_into_its_box_and_grows_where_it_must() -> None:
    small = finished([line("thin", (10, -40), (20, 10))], width=100)
    assert (small.width, small.height) == (100, 62)
    assert small.shapes[0] == line("thin", (10, 6), (20, 56))
    wide = finished([line("thin", (-10, 0), (150, 10))], width=100)
    assert (wide.width, wide.shapes[0]) == (172, line("thin", (6, 6), (166, 16)))


@pytest.mark.parametrize("shapes", [[], [line("thin", (math.nan, 0), (1, 1))], [Circle("dot", 0, math.inf, 1)]])
def test_nothing_and_points_that_are_no_numbers_are_refused(shapes: list[Path | Circle]) -> None:
    with pytest.raises(ValueError, match=r"nothing to draw|not a number"):
        finished(shapes, width=100)


def test_turned_text_takes_its_room_upward() -> None:
    text = Text("side", 10, 100, "rebound", 10, turned=True)
    xs, ys = {x for x, _ in text.points()}, [y for _, y in text.points()]
    assert xs == {5, 15}
    assert max(ys) - min(ys) == pytest.approx(text.length)
    assert (max(ys) + min(ys)) / 2 == pytest.approx(100)


def test_a_note_that_nobody_knows_is_refused() -> None:
    with pytest.raises(ValueError, match="no note hight_unknown"):
        Note("hight_unknown")
