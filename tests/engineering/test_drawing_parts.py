"""Single parts to scale, and the pictures of what to measure. ISO 128-3, ISO 129-1, ISO 6410-1."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.drawing.dimensions import ARROW, Label, across, along, letter
from compat.engineering.drawing.items import PistonFace
from compat.engineering.drawing.outlines import FORMS, hexagon, shim_outline
from compat.engineering.drawing.part_pictures import nut, piston, shim, washer
from compat.engineering.drawing.shapes import Circle, Drawing, Path, Point, Shape, Text, bounds
from tests.pictures import PICTURES, QUESTIONS, measuring_picture

# A thread may be a shaft's or a nut's; the width of a groove, the diameter of its
# bottom and the land beside it belong to several glands.
REPEATED = {"thread-reading": {"A": 2, "B": 2}, "oring": {"D": 2, "F": 3, "K": 2}}
TEXTS = {"outer": "Ø34", "bore": "Ø12", "thickness": "0.15"}


def paths(drawing: Drawing, kind: str) -> list[Path]:
    return [shape for shape in drawing.shapes if isinstance(shape, Path) and shape.kind == kind]


def texts(shapes: Drawing | list[Shape]) -> list[str]:
    found = shapes.shapes if isinstance(shapes, Drawing) else shapes
    return [shape.value for shape in found if isinstance(shape, Text)]


def inside(drawing: Drawing) -> bool:
    left, top, right, bottom = bounds(drawing.shapes)
    return left >= 0 and top >= 0 and right <= drawing.width and bottom <= drawing.height


def size(path: Path) -> tuple[float, float]:
    left, top, right, bottom = bounds([path])
    return right - left, bottom - top


def arrow_tips(shapes: list[Shape]) -> list[Point]:
    return [shape.lines[0][0] for shape in shapes if isinstance(shape, Path) and shape.kind == "arrow"]


@pytest.mark.parametrize("form", FORMS)
def test_every_form_of_shim_is_drawn_with_its_bore_to_scale(form: str) -> None:
    """34 mm fill 128 units, so a bore of 12 mm is 128 * 12 / 34 = 45.18 across."""
    drawing = shim(34, 12, 0.15, form, TEXTS)
    (plan,) = paths(drawing, "plain")
    assert size(Path("bore", (plan.lines[1],))) == pytest.approx((45.176, 45.176), abs=0.05)
    assert inside(drawing)
    assert sorted(texts(drawing)) == ["0.15", "Ø12", "Ø34"]


def test_the_forms_look_different() -> None:
    plans = [shim_outline(form, 0, 0, 17, 6) for form in FORMS]
    same = [pair for pair in combinations(FORMS, 2) if plans[FORMS.index(pair[0])] == plans[FORMS.index(pair[1])]]
    assert same == [("round", "ring")]  # a ring is round: its bore tells


@given(st.sampled_from(FORMS), st.floats(1, 100), st.floats(0.05, 0.95))
def test_no_outline_leaves_its_rim_or_cuts_its_bore(form: str, outer: float, share: float) -> None:
    for ring in shim_outline(form, 0, 0, outer, outer * share):
        radii = [math.hypot(x, y) for x, y in ring]
        assert max(radii) <= outer * (1 + 1e-9)
        assert min(radii) >= outer * share * (1 - 1e-9)


def test_the_cut_of_a_shim_is_as_many_times_thicker_as_is_told() -> None:
    drawing = shim(34, 12, 0.15, "round", TEXTS)
    scale, factor = drawing.data["scale"], drawing.data["thickness_factor"]
    assert scale == pytest.approx(128 / 34)
    for half in paths(drawing, "solid"):
        assert size(half) == pytest.approx((0.15 * scale * factor, (34 - 12) / 2 * scale))
    assert [note.code for note in drawing.notes] == ["thickness_exaggerated"]


def test_a_size_without_text_gets_no_dimension() -> None:
    assert texts(shim(34, 12, 0.15, "round", {"outer": "Ø34"})) == ["Ø34"]
    assert paths(shim(34, 12, 0.15, "round", {}), "arrow") == []


def test_a_hexagon_is_as_wide_across_its_flats_as_is_told() -> None:
    points = hexagon(0, 0, 18)
    assert max(y for _, y in points) - min(y for _, y in points) == pytest.approx(18)
    assert max(x for x, _ in points) == pytest.approx(18 / math.sqrt(3))


def test_a_nut_is_to_scale_and_shows_its_thread_as_three_quarters_of_a_circle() -> None:
    drawing = nut(12, 10, {"across_flats": "18", "thread": "M12x1.25", "thickness": "10"}, 18)
    scale = drawing.data["scale"]
    upper, lower = paths(drawing, "cut")
    assert size(upper)[0] == size(lower)[0] == pytest.approx(10 * scale)
    assert bounds([upper, lower])[3] - bounds([upper, lower])[1] == pytest.approx(18 * scale)
    arc = max(paths(drawing, "thin"), key=lambda path: len(path.lines[0])).lines[0]
    assert math.dist(arc[0], arc[-1]) == pytest.approx(math.sqrt(2) * 6 * scale)
    assert drawing.notes == ()
    assert inside(drawing)


def test_a_nut_of_unknown_width_says_so() -> None:
    drawing = nut(12, 10, {})
    assert [note.code for note in drawing.notes] == ["across_flats_unknown"]


def test_a_base_plate_shows_where_shims_lean() -> None:
    drawing = washer(32, 12, 4, {**TEXTS, "contact": "Ø28"}, 28)
    scale = drawing.data["scale"]
    (lean,) = [path for path in paths(drawing, "edge") if path.closed]
    assert size(lean) == pytest.approx((28 * scale, 28 * scale), abs=0.05)
    right = max(x for path in paths(drawing, "cut") for x, _ in path.points())
    on_face = [y for path in paths(drawing, "cut") for x, y in path.points() if x == right]
    assert max(on_face) - min(on_face) == pytest.approx(28 * scale)
    assert "Ø28" in texts(drawing)
    assert inside(drawing)


def test_both_halves_of_one_cut_are_hatched_alike() -> None:
    for drawing in (washer(32, 12, 4, TEXTS), piston(46, 12, 12, TEXTS), nut(12, 10, TEXTS, 18)):
        upper, lower = paths(drawing, "hatch")
        for path in (upper, lower):
            assert all(x0 + y0 == pytest.approx(x1 + y1) for (x0, y0), (x1, y1) in path.lines)


def test_a_long_sleeve_is_drawn_smaller_as_a_whole() -> None:
    drawing = washer(18, 12, 120, TEXTS)
    scale = drawing.data["scale"]
    assert size(paths(drawing, "cut")[0]) == pytest.approx((120 * scale, 3 * scale))
    assert inside(drawing)


def test_a_thin_washer_says_that_its_height_is_not_to_scale() -> None:
    assert [note.code for note in washer(30, 12, 0.5, TEXTS).notes] == ["height_not_to_scale"]


def test_a_piston_shows_what_is_known_of_its_faces() -> None:
    drawing = piston(46, 12, 12, TEXTS, PistonFace(22, 38.2, 40.8, 14), PistonFace())
    right = max(paths(drawing, "cut"), key=lambda path: bounds([path])[2])
    low = bounds([right])[3]
    middle = drawing.width / 2
    on_face = {round((x - middle) * 2 / drawing.data["scale"], 2) for x, y in right.points() if abs(y - low) < 1e-6}
    assert {12.0, 14.0, 22.0, 38.2, 40.8} < on_face  # and the far edge of the groove outside the hub
    assert inside(drawing)


sizes = st.floats(0.05, 500)


@given(sizes, sizes, sizes)
def test_parts_of_any_size_stay_inside_or_are_refused(outer: float, inner: float, height: float) -> None:
    made: list[Callable[[], Drawing]] = [
        lambda: shim(outer, inner, height, "slotted", TEXTS),
        lambda: washer(outer, inner, height, TEXTS),
        lambda: piston(outer, inner, height, TEXTS),
        lambda: nut(inner, height, TEXTS, outer),
    ]
    for make in made:
        if inner < outer:
            assert inside(make())
        else:
            with pytest.raises(ValueError, match="not inside the outer one"):
                make()


@pytest.mark.parametrize("wrong", [0.0, -3.0, math.nan])
def test_a_part_with_a_size_that_is_none_is_refused(wrong: float) -> None:
    made: list[Callable[[], Drawing]] = [
        lambda: shim(34, 12, wrong, "round", {}),
        lambda: shim(34, wrong, 0.1, "round", {}),
        lambda: washer(30, 12, wrong, {}),
        lambda: washer(30, 12, 3, {}, wrong),
        lambda: nut(wrong, 10, {}, 18),
        lambda: nut(12, wrong, {}, 18),
        lambda: piston(wrong, 12, 10, {}),
        lambda: piston(46, 12, wrong, {}),
    ]
    for make in made:
        with pytest.raises(ValueError, match="a length above zero"):
            make()


def test_a_contact_diameter_outside_the_plate_and_an_unknown_form_are_refused() -> None:
    with pytest.raises(ValueError, match="between bore and rim"):
        washer(30, 12, 4, {}, 31)
    with pytest.raises(ValueError, match="between bore and rim"):
        washer(30, 12, 4, {}, 12)
    with pytest.raises(ValueError, match="not oval"):
        shim(34, 12, 0.1, "oval", {})


def test_arrows_touch_both_ends_of_what_they_measure() -> None:
    assert sorted(arrow_tips(across(10, 90, 5, Label("80"), 0))) == [(10, 5), (90, 5)]
    assert sorted(arrow_tips(along(90, 10, 5, Label("80"), 0))) == [(5, 10), (5, 90)]


def test_arrows_without_room_point_inward_from_outside() -> None:
    shapes = across(50, 53, 5, Label("3"), 0)
    bases = sorted(point[0] for s in shapes if isinstance(s, Path) and s.kind == "arrow" for point in s.lines[0][1:])
    assert bases == [50 - ARROW, 50 - ARROW, 53 + ARROW, 53 + ARROW]
    (text,) = [shape for shape in shapes if isinstance(shape, Text)]
    assert text.x - text.length / 2 > 53


def test_the_value_stands_above_its_line_and_turned_on_an_upright_one() -> None:
    (level,) = [shape for shape in across(0, 80, 50, Label("80"), 0) if isinstance(shape, Text)]
    assert (level.x, level.turned) == (40, False)
    assert level.y + level.size / 2 < 50
    (upright,) = [shape for shape in along(0, 80, 50, Label("80"), 0) if isinstance(shape, Text)]
    assert (upright.y, upright.turned) == (40, True)
    assert upright.x + upright.size / 2 < 50


def test_extension_lines_start_clear_of_the_part_and_pass_the_dimension_line() -> None:
    lines = [shape for shape in along(10, 60, 100, letter("A"), 20, 40) if isinstance(shape, Path)][:2]
    assert [(line.lines[0][0], line.lines[0][1]) for line in lines] == [
        ((21.5, 10), (102.5, 10)),
        ((41.5, 60), (102.5, 60)),
    ]
    lines = [shape for shape in across(10, 60, -30, letter("A"), 0) if isinstance(shape, Path)][:2]
    assert [line.lines[0] for line in lines] == [((10, -1.5), (10, -32.5)), ((60, -1.5), (60, -32.5))]


@pytest.mark.parametrize("question", PICTURES)
def test_every_letter_of_a_question_stands_once_in_its_picture(question: str) -> None:
    """And as often as it is told where one size is drawn on several parts."""
    drawing = measuring_picture(question)
    letters = [shape.value for shape in drawing.shapes if isinstance(shape, Text) and shape.kind == "letter"]
    assert Counter(letters) == {**dict.fromkeys(QUESTIONS[question].values(), 1), **REPEATED.get(question, {})}
    assert drawing.data == {"letters": dict(QUESTIONS[question]), "to_scale": False}


@pytest.mark.parametrize("question", PICTURES)
def test_letters_of_a_picture_never_overlap_and_stay_inside(question: str) -> None:
    drawing = measuring_picture(question)
    assert inside(drawing)
    assert drawing.width == 340
    badges = [shape for shape in drawing.shapes if isinstance(shape, Circle) and shape.kind == "badge"]
    for one, other in combinations(badges, 2):
        assert math.dist((one.x, one.y), (other.x, other.y)) > one.radius + other.radius


def measured(drawing: Drawing, letter_: str) -> tuple[float, float]:
    """The ends of the upright dimension nearest to a letter, from the arrows on its line."""
    (badge,) = [shape for shape in drawing.shapes if isinstance(shape, Text) and shape.value == letter_]
    pairs: dict[float, list[float]] = {}
    for x, y in arrow_tips(list(drawing.shapes)):
        pairs.setdefault(round(x, 3), []).append(y)
    near = [x for x in pairs if abs(x - badge.x) < 12 and len(pairs[x]) >= 2]
    line_x = min(near, key=lambda x: abs(x - badge.x))
    ys = sorted(pairs[line_x])
    ends = [pair for pair in pairwise(ys) if pair[0] <= badge.y <= pair[1]]
    return ends[0]


def test_the_letters_of_the_spacer_picture_measure_what_their_fields_name() -> None:
    drawing = measuring_picture("spacer")
    shoulder = bounds([paths(drawing, "jaw")[0]])[3]
    lip = bounds([paths(drawing, "jaw")[1]])[3]
    bars = sorted(bounds([path])[1::2] for path in paths(drawing, "solid"))
    assert measured(drawing, "B") == pytest.approx((lip, shoulder))
    top, bottom = measured(drawing, "A")
    assert bottom == pytest.approx(shoulder)
    assert top == pytest.approx(bars[2][0])  # the two spacers lie above the stack and do not count in its height
    plate = [path for path in paths(drawing, "cut") if bounds([path])[3] < bars[0][0] + 1e-6]
    _, plate_top, _, plate_bottom = bounds(plate)
    assert measured(drawing, "D") == pytest.approx((lip, plate_bottom))
    assert measured(drawing, "E") == pytest.approx((plate_top, lip))


def test_the_letters_of_the_nut_picture_measure_what_their_fields_name() -> None:
    drawing = measuring_picture("nut-on-shaft")
    (outline,) = paths(drawing, "shaft")
    _, end, _, foot = bounds([outline])
    nut_top, nut_under = bounds([paths(drawing, "cut")[0]])[1::2]
    shoulder = measured(drawing, "D")[1]
    assert end < shoulder < foot
    assert measured(drawing, "D") == pytest.approx((end, shoulder))
    assert measured(drawing, "J") == pytest.approx((nut_under, shoulder))
    assert measured(drawing, "G") == pytest.approx((nut_top, nut_under))
    thread = [y for y in measured(drawing, "C") if y != pytest.approx(shoulder)]
    assert bounds([paths(drawing, "thin")[0]])[3] == pytest.approx(thread[0])


def test_the_letters_of_the_stack_picture_measure_what_their_fields_name() -> None:
    drawing = measuring_picture("stack")
    parts = sorted((bounds([path])[1::2] for path in paths(drawing, "cut")), reverse=True)
    for one, part in zip("ABDE", parts, strict=True):  # washer, plate, piston, plate from the shoulder up
        if one != "A":
            assert measured(drawing, one) == pytest.approx(part)
    shim_bars = sorted((bounds([path]) for path in paths(drawing, "solid")), key=lambda bar: -bar[1])[:2]
    tips = {round(x, 3) for x, y in arrow_tips(list(drawing.shapes)) if y > shim_bars[0][1] - 24}
    edges = {round(x, 3) for left, _, right, _ in shim_bars for x in (left, right)}
    assert edges <= tips


def test_letters_that_look_like_figures_are_left_out() -> None:
    assert not {"I", "O"} & {value for letters in QUESTIONS.values() for value in letters.values()}


def test_one_letter_stands_for_one_size_however_it_is_written() -> None:
    """A pitch in millimetres or threads per inch, a section by its series or as read, a run-out and its limit."""
    shared = [
        {field for field, value in letters.items() if value == one} - {""}
        for letters in QUESTIONS.values()
        for one in set(letters.values())
        if list(letters.values()).count(one) > 1
    ]
    assert sorted(sorted(pair) for pair in shared) == [
        ["energiser.section_mm", "energiser_section_mm"],
        ["max_runout_mm", "runout_mm"],
        ["nut.gauged_pitch_mm", "nut.gauged_threads_per_inch"],
        ["pitch_mm", "threads_per_inch"],
        ["shaft.gauged_pitch_mm", "shaft.gauged_threads_per_inch"],
        *([f"stacks.{side}.{size}_mm" for side in ("compression", "rebound")] for size in ("bore", "od", "thickness")),
    ]


@pytest.mark.parametrize(("question", "jaws"), [("spacer", 4), ("face-shim", 2), ("band", 2)])
def test_jaws_show_where_lengths_are_easily_measured_wrong(question: str, jaws: int) -> None:
    assert len(paths(measuring_picture(question), "jaw")) == jaws


def test_the_jaws_in_the_ports_touch_their_outer_walls() -> None:
    drawing = measuring_picture("face-shim")
    left, right = sorted(paths(drawing, "jaw"), key=lambda path: bounds([path])[0])
    width = bounds([right])[2] - bounds([left])[0]
    reach = [shape.lines[0] for shape in paths(drawing, "dim")]
    assert any(abs(line[0][1] - line[-1][1]) < 1e-9 and abs(line[-1][0] - line[0][0] - width) < 1e-6 for line in reach)


def test_the_depth_rod_reaches_from_the_shoulder_to_the_lip() -> None:
    drawing = measuring_picture("spacer")
    rod = min(paths(drawing, "jaw"), key=lambda path: size(path)[0])
    letters = {shape.value: shape for shape in drawing.shapes if isinstance(shape, Text)}
    assert bounds([rod])[1] < letters["B"].y < bounds([rod])[3]
    spans = [size(path)[1] for path in paths(drawing, "dim") if size(path)[0] == 0]
    assert any(span == pytest.approx(size(rod)[1]) for span in spans)


def test_the_pitch_in_the_picture_is_one_tooth() -> None:
    """Crest to crest once, not over several teeth: the dimension spans the distance between neighbouring crests."""
    drawing = measuring_picture("nut-on-shaft")
    profiles = [path for path in paths(drawing, "cut") if len(path.lines[0]) > 8]
    for profile in profiles:
        xs = [x for x, _ in profile.lines[0]]
        tooth = xs[3] - xs[0]
        spans = [size(path)[0] for path in paths(drawing, "dim") if size(path)[1] == 0]
        assert any(span == pytest.approx(tooth) for span in spans)
    assert len(profiles) == 2


def test_a_question_without_a_picture_is_refused() -> None:
    with pytest.raises(ValueError, match="stack-curve has no picture"):
        measuring_picture("stack-curve")
