"""The plot of force against lift: points where the numbers say, ticks that are round, marks where gaps close."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from compat.engineering.drawing.curve_plot import HEIGHT, LEFT, RIGHT, TOP, Curves, curve_plot, ticks
from compat.engineering.drawing.shapes import Circle, Drawing, Path, Text

WORDS = {"lift": "lift", "pressure": "pressure", "difference": "difference", "asked": "asked", "built": "built"}
CURVES = Curves(
    lifts_mm=(0.1, 0.2, 0.4),
    asked=(1.0, 2.0, 8.0),
    built=(1.1, 2.0, 6.0),
    low=(0.9, 1.8, 5.0),
    high=(1.3, 2.4, None),
    closings={"asked": 0.3, "built": None},
    difference=(10.0, 0.0, -25.0),
)


def plot(curves: Curves = CURVES) -> Drawing:
    return curve_plot(curves, WORDS, lambda value: f"{value:g}")


def paths(drawing: Drawing, kind: str) -> list[Path]:
    return [shape for shape in drawing.shapes if isinstance(shape, Path) and shape.kind == kind]


@pytest.mark.parametrize(("most", "expected"), [(1.0, 0.2), (0.225, 0.05), (8.4, 2.0), (0.003, 0.001)])
def test_ticks_are_one_two_or_five_times_a_power_of_ten(most: float, expected: float) -> None:
    found = ticks(most)
    assert found[0] == 0
    assert found[1] == pytest.approx(expected)
    assert found[-1] <= most
    mantissa = found[1] / 10 ** math.floor(math.log10(found[1]))
    assert round(mantissa, 6) in (1, 2, 5)


def test_no_range_has_no_ticks() -> None:
    for most in (0.0, -1.0, math.nan, math.inf):
        with pytest.raises(ValueError, match="no range"):
            ticks(most)


def test_a_curve_runs_from_rest_to_its_last_lift() -> None:
    drawing = plot()
    (asked, *_) = paths(drawing, "curve_asked")
    points = asked.lines[0]
    shift = points[0][1] - (TOP + HEIGHT)  # the whole drawing is moved into its box
    assert points[0][0] == pytest.approx(LEFT)
    assert points[-1][0] == pytest.approx(RIGHT)
    # up to 5 % over the largest value
    assert points[-1][1] - shift == pytest.approx(TOP + HEIGHT - HEIGHT / 1.05)
    assert points[1][0] - LEFT == pytest.approx((RIGHT - LEFT) / 4)


def test_the_band_ends_where_it_is_not_known() -> None:
    (band,) = paths(plot(), "band")
    assert band.closed
    assert len(band.lines[0]) == 5  # rest, two low, two high: the third has no upper end


def test_a_square_marks_the_asked_gap_and_a_ring_the_built_one() -> None:
    assert len(paths(plot(), "mark")) == 1
    assert not [shape for shape in plot().shapes if isinstance(shape, Circle)]
    both = plot(replace(CURVES, closings={"built": 0.3}))
    (ring,) = [shape for shape in both.shapes if isinstance(shape, Circle)]
    built = paths(both, "curve_built")[0].lines[0]
    assert built[2][0] < ring.x < built[3][0]
    assert built[3][1] < ring.y < built[2][1]


def test_the_difference_stands_below_with_its_sign() -> None:
    drawing = plot()
    strip = paths(drawing, "curve_built")[-1].lines[0]
    assert len(strip) == 3
    assert strip[0][1] < strip[1][1] < strip[2][1]  # +10 %, 0, -25 %
    texts = {shape.value for shape in drawing.shapes if isinstance(shape, Text)}
    assert {"lift", "pressure", "difference", "asked", "built"} <= texts
    assert {"-20", "0", "+20"} <= texts


def test_a_curve_that_ends_early_is_drawn_as_far_as_it_goes() -> None:
    drawing = plot(Curves((0.1, 0.2), (1.0, 2.0), (1.0, None), (None, None), (None, None), {}, (0.0, None)))
    assert len(paths(drawing, "curve_built")[0].lines[0]) == 2
    assert not paths(drawing, "band")


def test_nothing_to_draw_is_refused() -> None:
    with pytest.raises(ValueError, match="nothing to draw"):
        plot(Curves((0.1,), (None,), (None,), (None,), (None,), {}, (None,)))


def test_what_was_measured_is_points_above_the_line_with_their_numbers() -> None:
    drawing = plot(replace(CURVES, closings={}, as_points=True))
    assert not paths(drawing, "curve_asked")  # nothing is known between two points
    kinds = [shape.kind for shape in drawing.shapes]
    points = [shape for shape in drawing.shapes if isinstance(shape, Circle) and shape.kind == "point"]
    assert len(points) == 3 + 1  # one names them
    assert kinds.index("curve_built") < kinds.index("point")
    line = paths(drawing, "curve_built")[0].lines[0]
    assert [point.x for point in points[:3]] == pytest.approx([x for x, _ in line[1:]])
    assert points[1].y == pytest.approx(line[2][1])  # measured and computed are equal there
    numbers = {shape.value: shape for shape in drawing.shapes if isinstance(shape, Text)}
    for number, point in enumerate(points[:3], start=1):
        text = numbers[str(number)]
        assert abs(text.x - point.x) < 10 and abs(text.y - point.y) < 10


def test_of_many_points_only_some_are_numbered() -> None:
    lifts = tuple(0.01 * place for place in range(1, 61))
    nothing = (None,) * 60
    many = plot(Curves(lifts, lifts, lifts, nothing, nothing, {}, (0.0,) * 60, as_points=True))
    assert len([shape for shape in many.shapes if isinstance(shape, Circle)]) == 60 + 1
    numbered = [
        shape for shape in many.shapes if isinstance(shape, Text) and shape.anchor == "end" and shape.value.isdigit()
    ]
    assert {shape.value for shape in numbered} >= {"1", "6", "56"} and "2" not in {shape.value for shape in numbered}
