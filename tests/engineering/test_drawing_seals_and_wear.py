"""What to measure on seals, bores and shafts: each letter at its size. ISO 128-3, ISO 129-1; proportions invented."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest

from compat.engineering.drawing import part_pictures
from compat.engineering.drawing.rings import squeezed
from compat.engineering.drawing.shapes import Circle, Drawing, Path, Point, Shape, Text, bounds
from tests.pictures import PICTURES, QUESTIONS, measuring_picture

NEW = ("oring", "band", "bore", "shaft", "clearance")
Box = tuple[float, float, float, float]


def paths(drawing: Drawing, kind: str) -> list[Path]:
    return [shape for shape in drawing.shapes if isinstance(shape, Path) and shape.kind == kind]


def boxes(drawing: Drawing, kind: str) -> list[Box]:
    """(left, top, right, bottom) of each shape of a kind, circles too, from left to right."""
    return sorted(bounds([shape]) for shape in drawing.shapes if shape.kind == kind)


def letters(drawing: Drawing, one: str) -> list[Text]:
    return [s for s in drawing.shapes if isinstance(s, Text) and s.kind == "letter" and s.value == one]


def span(drawing: Drawing, text: Text) -> tuple[float, float]:
    """The two arrow tips between which a letter stands, as (low, high): x for a level dimension, y for an upright one.

    The letter of a dimension without room stands past its end, or beside its line.
    """
    tips = [path.lines[0][0] for path in paths(drawing, "arrow")]
    level = sorted(x for x, y in tips if abs(y - text.y) < 1e-6)
    upright = sorted(y for x, y in tips if abs(x - text.x) < 11)
    for ends, at in ((level, text.x), (upright, text.y)):
        for low, high in pairwise(ends):
            if low <= at <= high or (high - low < 31 and low - 30 < at < high + 30):
                return low, high
    raise AssertionError(f"{text.value} measures nothing")


def one(drawing: Drawing, letter: str) -> tuple[float, float]:
    (text,) = letters(drawing, letter)
    return span(drawing, text)


def apart(point: Point, start: Point, end: Point) -> float:
    """The distance of a point from a line between two others."""
    (x0, y0), (x1, y1) = start, end
    length = math.dist(start, end)
    along = 0.0 if length == 0 else ((point[0] - x0) * (x1 - x0) + (point[1] - y0) * (y1 - y0)) / length**2
    nearest = min(1.0, max(0.0, along))
    return math.dist(point, (x0 + nearest * (x1 - x0), y0 + nearest * (y1 - y0)))


def touches(shape: Shape, ring: Circle) -> bool:
    if isinstance(shape, Path):
        lines = [[*points, points[0]] if shape.closed else list(points) for points in shape.lines]
        return any(apart((ring.x, ring.y), a, b) < ring.radius for points in lines for a, b in pairwise(points))
    left, top, right, bottom = bounds([shape])
    return (
        left < ring.x + ring.radius
        and ring.x - ring.radius < right
        and (top < ring.y + ring.radius and ring.y - ring.radius < bottom)
    )


@pytest.mark.parametrize("question", PICTURES)
def test_no_line_is_drawn_over_a_letter(question: str) -> None:
    """A badge covers what lies under it; what is drawn after it keeps clear of it, but for its own letter."""
    shapes = measuring_picture(question).shapes
    for number, ring in enumerate(shapes):
        if isinstance(ring, Circle) and ring.kind == "badge":
            assert not [later for later in shapes[number + 2 :] if touches(later, ring)]


@pytest.mark.parametrize("question", NEW)
def test_no_outline_runs_under_a_letter_of_a_seal_or_of_wear(question: str) -> None:
    """A ring that lies on a part's outline hides it, and nobody sees what the letter measures."""
    drawing = measuring_picture(question)
    rings = [shape for shape in drawing.shapes if isinstance(shape, Circle) and shape.kind == "badge"]
    outlines = [*paths(drawing, "cut"), *paths(drawing, "outline"), *paths(drawing, "shaft"), *paths(drawing, "hidden")]
    solid = [shape for shape in drawing.shapes if shape.kind in ("solid", "jaw")]
    assert not [(ring, shape) for ring in rings for shape in [*outlines, *solid] if touches(shape, ring)]


@pytest.mark.parametrize("question", NEW)
def test_words_and_figures_keep_clear_of_each_other(question: str) -> None:
    texts = [shape for shape in measuring_picture(question).shapes if isinstance(shape, Text)]
    for first, second in combinations(texts, 2):
        a, b = bounds([first]), bounds([second])
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


@pytest.mark.parametrize("question", NEW)
def test_a_letter_that_nobody_gave_is_missed(question: str) -> None:
    """Of two fields that share a letter the picture asks for one."""
    given = QUESTIONS[question]
    for letter in set(given.values()):
        left = {field: value for field, value in given.items() if value != letter}
        with pytest.raises(KeyError):
            PICTURES[question](left)


def test_a_squeezed_section_touches_both_its_walls_and_is_round_elsewhere() -> None:
    shape = squeezed(50, 20, 18, 23)
    assert isinstance(shape, Path)
    assert bounds([shape]) == pytest.approx((41, 8.5, 59, 31.5))
    assert (41.0, 8.5) not in shape.lines[0]
    assert all(math.dist(a, b) < 9 for a, b in pairwise(shape.lines[0]))


def test_the_free_ring_is_measured_inside_and_across_its_section() -> None:
    for question, inner, section in (("oring", "A", "B"), ("band", "D", "E")):
        drawing = measuring_picture(question)
        left, right = sorted(
            (shape for shape in drawing.shapes if isinstance(shape, Circle) and shape.kind == "solid"),
            key=lambda circle: circle.x,
        )
        assert one(drawing, inner) == pytest.approx((left.x + left.radius, right.x - right.radius))
        assert one(drawing, section) == pytest.approx((right.y - right.radius, right.y + right.radius))


def test_the_letters_of_the_glands_measure_what_their_fields_name() -> None:
    drawing = measuring_picture("oring")
    rings = [bounds([path]) for path in paths(drawing, "solid")]
    face, piston, rod = ([rings[n], rings[n + 1]] for n in (0, 2, 4))
    # Piston: the ring reaches from the groove's bottom to the bore. Rod: from the rod to the groove's bottom.
    assert one(drawing, "C") == pytest.approx((piston[0][0], piston[1][2]))
    assert one(drawing, "E") == pytest.approx((rod[0][2], rod[1][0]))
    bottoms = [span(drawing, text) for text in sorted(letters(drawing, "D"), key=lambda text: text.x)]
    assert bottoms == [pytest.approx((piston[0][2], piston[1][0])), pytest.approx((rod[0][0], rod[1][2]))]
    # Face: the ring reaches from the groove's bottom to the cover.
    assert one(drawing, "G") == pytest.approx((face[0][1], face[0][3]))
    inner, outer = one(drawing, "H"), one(drawing, "J")
    assert outer[0] < face[0][0] < face[0][2] < inner[0] < inner[1] < face[1][0] < face[1][2] < outer[1]
    widths = [span(drawing, text) for text in letters(drawing, "F")]
    lengths = [face[0][2] - face[0][0], piston[0][3] - piston[0][1], rod[0][3] - rod[0][1]]
    assert (outer[0], inner[0]) == pytest.approx(widths[0])
    assert all(high - low > length for (low, high), length in zip(widths, lengths, strict=True))


def test_a_ring_in_its_gland_is_flatter_than_it_is_long_where_its_walls_press() -> None:
    drawing = measuring_picture("oring")
    sizes = [
        (right - left, bottom - top)
        for left, top, right, bottom in (bounds([path]) for path in paths(drawing, "solid"))
    ]
    assert [wide > high for wide, high in sizes] == [True, True, False, False, False, False]


def test_the_letters_of_the_band_measure_what_their_fields_name() -> None:
    drawing = measuring_picture("band")
    left, right, enlarged = (bounds([path]) for path in paths(drawing, "solid"))
    bands = sorted((bounds([path]) for path in paths(drawing, "cut")), key=lambda box: box[0])
    wall, band, band_right, wall_right, band_enlarged, wall_enlarged = bands
    assert one(drawing, "A") == pytest.approx((wall[2], wall_right[0])) == (band[0], band_right[2])
    assert one(drawing, "B") == pytest.approx((left[2], right[0]))
    assert (left[0], right[2]) == pytest.approx((band[2], band_right[0]))  # the energiser presses the band
    assert enlarged[2] == band_enlarged[0]
    assert one(drawing, "C") == pytest.approx((band_enlarged[0], band_enlarged[2]))
    # What wears off lies on both sides of the face on which the band runs, behind broken lines.
    worn_band, worn_bore = sorted(bounds([path])[0] for path in paths(drawing, "hidden"))
    assert one(drawing, "G") == pytest.approx((worn_band, band_enlarged[2]))
    assert one(drawing, "H") == pytest.approx((wall_enlarged[0], worn_bore))


def test_the_wear_of_a_diameter_is_said_to_be_drawn_half() -> None:
    drawing = measuring_picture("band")
    (half,) = [shape for shape in drawing.shapes if isinstance(shape, Text) and shape.value == "/2"]
    (letter,) = letters(drawing, "H")
    assert (half.y, half.kind) == (letter.y, "value")
    assert 0 < half.x - letter.x < 12


def test_the_jaws_only_touch_the_band_of_the_free_piston() -> None:
    """Beside the land there is air: a jaw that leans on the piston would not measure the band."""
    drawing = measuring_picture("band")
    piston, band = sorted((bounds([path]) for path in paths(drawing, "shaft")[1:3]), key=lambda box: -box[0])
    left, right = boxes(drawing, "jaw")
    assert one(drawing, "F") == pytest.approx((band[0], band[2])) == (left[2], right[0])
    assert left[2] < piston[0] and piston[2] < right[0]
    for jaw in (left, right):
        assert band[1] < jaw[1] < band[3] < piston[3] < jaw[3]


def test_the_letters_of_the_bore_measure_what_their_fields_name() -> None:
    drawing = measuring_picture("bore")
    wall, other = (path for path in paths(drawing, "cut") if len(path.lines) == 1)
    mouth, foot = bounds([wall])[1], bounds([wall])[3]
    inner = sorted({round(x, 6) for x, _ in wall.points()})[1:]
    opposite = sorted({round(x, 6) for x, _ in other.points()})[:-1]
    worn, new = (inner[0], opposite[-1]), (inner[-1], opposite[0])
    assert one(drawing, "A") == pytest.approx(new)
    assert one(drawing, "C") == pytest.approx(worn)
    limit = tuple(sorted(bounds([path])[0] for path in paths(drawing, "hidden")))
    assert one(drawing, "B") == pytest.approx(limit)
    assert limit[0] < worn[0] < new[0]
    # The gauge touches both walls, at the depth that is told.
    pins = max((bounds([path]) for path in paths(drawing, "jaw")), key=lambda box: box[2] - box[0])
    assert (pins[0], pins[2]) == pytest.approx(worn)
    depth = one(drawing, "D")
    assert depth == pytest.approx((mouth, (pins[1] + pins[3]) / 2))
    planes = [path.lines[0] for path in paths(drawing, "axis") if path.lines[0][0][1] == path.lines[0][1][1]]
    assert len(planes) == 3 and all(mouth < plane[0][1] < foot for plane in planes)
    assert depth[1] in [pytest.approx(plane[0][1]) for plane in planes]


@pytest.mark.parametrize("question", ["bore", "shaft"])
def test_an_end_view_has_two_diameters_at_right_angles_and_the_turn_between_them(question: str) -> None:
    drawing = measuring_picture(question)
    (letter,) = letters(drawing, "E")
    lines = [path.lines[0] for path in paths(drawing, "dim")]
    upright = [one for one in lines if one[0][0] == one[-1][0] and 0 < letter.x - one[0][0] < 15 and len(one) == 2]
    level = [one for one in lines if one[0][1] == one[-1][1] and one[0][0] < letter.x < one[-1][0] and len(one) == 2]
    (first,) = [one for one in upright if one[0][1] < letter.y < one[-1][1]]
    (second,) = [one for one in level if first[0][1] < one[0][1] < first[-1][1]]
    middle = (first[0][0], second[0][1])
    assert math.dist(*first) == pytest.approx(math.dist(*second))
    (arc,) = [one for one in lines if len(one) > 9]
    radius = math.dist(arc[0], middle)
    assert all(math.dist(point, middle) == pytest.approx(radius) for point in arc)
    assert (arc[0][0], arc[-1][1]) == pytest.approx(middle)
    assert arc[0][1] < middle[1] and arc[-1][0] > middle[0]
    assert math.dist((letter.x, letter.y), middle) + 7.5 < radius
    marks = {shape.value: shape for shape in drawing.shapes if isinstance(shape, Text) and shape.kind == "value"}
    assert marks["0°"].x == pytest.approx(middle[0]) and marks["90°"].y == pytest.approx(middle[1])


def test_the_letters_of_the_shaft_measure_what_their_fields_name() -> None:
    drawing = measuring_picture("shaft")
    (outline,) = paths(drawing, "shaft")
    left, top, _, bottom = bounds([outline])
    heights = sorted({round(y, 6) for _, y in outline.points()})
    assert one(drawing, "A") == pytest.approx((top, bottom)) == (heights[0], heights[-1])
    assert one(drawing, "C") == pytest.approx((heights[1], heights[2]))
    limit = tuple(sorted(bounds([path])[1] for path in paths(drawing, "hidden")))
    assert one(drawing, "B") == pytest.approx(limit)
    assert heights[1] < limit[0] < limit[1] < heights[2]
    (reading,) = letters(drawing, "C")
    assert one(drawing, "D") == pytest.approx((left, reading.x))


def test_the_shaft_lies_between_centres_and_all_that_reads_it_touches_it() -> None:
    drawing = measuring_picture("shaft")
    (outline,) = paths(drawing, "shaft")
    left, _, right, _ = bounds([outline])
    worn = sorted({round(y, 6) for _, y in outline.points()})[1:3]
    tools = boxes(drawing, "jaw")
    assert tools[0][2] == pytest.approx(left) and tools[-1][0] == pytest.approx(right)
    above = [tool for tool in tools[1:-1] if tool[3] == pytest.approx(worn[0])]
    below = [tool for tool in tools[1:-1] if tool[1] == pytest.approx(worn[1])]
    (reading,) = letters(drawing, "C")
    spindle, plunger = sorted(above)
    (anvil,) = below
    assert (spindle[0] + spindle[2]) / 2 == pytest.approx(reading.x) == (anvil[0] + anvil[2]) / 2
    (dial,) = [s for s in drawing.shapes if isinstance(s, Circle) and s.kind == "balloon-none"]
    assert (plunger[0] + plunger[2]) / 2 == pytest.approx(dial.x)
    (letter,) = letters(drawing, "F")
    leader = [path for path in paths(drawing, "dim") if path.lines[0][-1] == pytest.approx((letter.x, letter.y))]
    assert leader[0].lines[0][0] == pytest.approx((dial.x + dial.radius, dial.y))


def test_the_letters_of_the_clearance_measure_what_their_fields_name() -> None:
    drawing = measuring_picture("clearance")
    left, right = sorted(bounds([path]) for path in paths(drawing, "cut"))[:2]
    (outline,) = paths(drawing, "shaft")
    bore, shaft = one(drawing, "A"), one(drawing, "B")
    assert bore == pytest.approx((left[2], right[0]))
    assert shaft == pytest.approx(bounds([outline])[::2])
    nominal = tuple(sorted(bounds([path])[0] for path in paths(drawing, "hidden")))
    assert one(drawing, "C") == pytest.approx(nominal)
    assert bore[0] < nominal[0] < shaft[0]


def test_the_whole_clearance_shows_where_the_shaft_lies_on_one_side() -> None:
    """Pushed to one side, the gap on the other is bore less shaft: what a dial gauge reads as play."""
    drawing = measuring_picture("clearance")
    bush, shaft = (path for path in paths(drawing, "cut") if len(path.lines[0]) > 9)
    hole = bounds([Path("hole", (bush.lines[1],))])
    inside = bounds([shaft])
    assert inside[3] == pytest.approx(hole[3])
    gap = one(drawing, "D")
    assert gap == pytest.approx((hole[1], inside[1]))
    bore, thick = one(drawing, "A"), one(drawing, "B")
    assert gap[1] - gap[0] == pytest.approx((bore[1] - bore[0]) - (thick[1] - thick[0]))


def test_an_o_ring_of_the_catalogue_is_cut_to_scale() -> None:
    """Its section is as wide as it is drawn high, and lies between its inner and its outer diameter."""
    drawing = part_pictures.ring(37.69, 3.53, {"bore": "Ø37.69", "thickness": "3.53"})
    cut = [shape for shape in drawing.shapes if isinstance(shape, Circle) and shape.kind == "solid"]
    scale = drawing.data["scale"]
    assert len(cut) == 2 and {one.radius for one in cut} == {3.53 / 2 * scale}
    assert abs(cut[0].y - cut[1].y) == pytest.approx((37.69 + 3.53) * scale)
    with pytest.raises(ValueError, match="section"):
        part_pictures.ring(37.69, 0, {})
