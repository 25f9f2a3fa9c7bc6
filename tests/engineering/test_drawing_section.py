"""The half section of a valve on its shaft; coordinates against figures worked by hand. ISO 128-3, ISO 6433."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.drawing.half_section import AXIS, half_section
from compat.engineering.drawing.heights import GAP, HALF, MOST_BARS, THINNEST, place, scale_of
from compat.engineering.drawing.items import Assembly, Item, Kind, Mark, PistonFace, ShaftEnd
from compat.engineering.drawing.labels import PITCH
from compat.engineering.drawing.levels import straddle
from compat.engineering.drawing.shapes import Circle, Drawing, Path, Text, bounds

BORE = 46.0
SHAFT = ShaftEnd(12.0, 23.95, 24.85, 42.95)
BELOW = PistonFace(22.0, 38.2, 40.8, 20.0)
ABOVE = PistonFace(22.0, 34.2, 36.8, 20.0)
Sizes = Sequence[tuple[float, float, int]]
# (outer diameter, thickness, pieces), face first.
COMPRESSION: Sizes = [
    (40, 0.15, 4),
    (24, 0.1, 1),
    (38, 0.15, 1),
    (36, 0.15, 1),
    (34, 0.15, 4),
    (30, 0.15, 1),
    (26, 0.2, 1),
    (22, 0.3, 1),
]
REBOUND: Sizes = [(36, 0.2, 3), (22, 0.1, 1), (32, 0.15, 2), (30, 0.15, 1), (28, 0.15, 1), (24, 0.2, 1), (20, 0.3, 1)]
SPACERS: Sizes = [(30, 0.2, 2)]
ALL = [*COMPRESSION, *REBOUND, *SPACERS]


def shims(side: str, sizes: Sizes, kind: Kind = Kind.SHIM, mark: Mark = Mark.NONE) -> list[Item]:
    return [Item(kind, "?", side, od, 12.0, thick, pieces, mark=mark) for od, thick, pieces in sizes]


def numbered(items: list[Item]) -> tuple[Item, ...]:
    return tuple(replace(one, ref=str(n)) for n, one in enumerate(items, start=1))


def valve(
    compression: Sizes = COMPRESSION,
    rebound: Sizes = REBOUND,
    spacers: Sizes = SPACERS,
    shaft: ShaftEnd = SHAFT,
    mark: Mark = Mark.NONE,
) -> Assembly:
    items = [
        Item(Kind.WASHER, "?", outer_mm=20, inner_mm=12, height_mm=1.5),
        Item(Kind.BASE_PLATE, "?", "compression", 32, 12, 4.0, contact_diameter_mm=28),
        *reversed(shims("compression", compression, mark=mark)),
        Item(Kind.PISTON, "?", outer_mm=BORE, inner_mm=12, height_mm=12),
        *shims("rebound", rebound),
        *shims("rebound", spacers, Kind.SPACER),
        Item(Kind.BASE_PLATE, "?", "rebound", 32, 12, 3.05, contact_diameter_mm=28),
        Item(Kind.NUT, "?", outer_mm=18, inner_mm=12, height_mm=10),
    ]
    return Assembly(numbered(items), shaft, BELOW, ABOVE, BORE)


def paths(drawing: Drawing, kind: str) -> list[Path]:
    return [shape for shape in drawing.shapes if isinstance(shape, Path) and shape.kind == kind]


def references(drawing: Drawing) -> list[Text]:
    return [shape for shape in drawing.shapes if isinstance(shape, Text) and shape.kind == "ref"]


def box_of(path: Path) -> tuple[float, float, float, float]:
    return bounds([path])


def inside(drawing: Drawing) -> bool:
    left, top, right, bottom = bounds(drawing.shapes)
    return left >= 0 and top >= 0 and right <= drawing.width and bottom <= drawing.height


def crossing(one: Path, other: Path) -> bool:
    """Do two polylines cross? By the sign of areas, segment by segment."""

    def turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    return any(
        turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0
        for a, b in pairwise(one.lines[0])
        for c, d in pairwise(other.lines[0])
    )


def test_diameters_are_to_scale() -> None:
    """The bore, 46 mm, fills 2 x 116 units, so a 40 mm shim reaches 116 * 40 / 46 = 100.87 units from the axis."""
    drawing = half_section(valve())
    reach = sorted({round(box_of(path)[2] - AXIS, 3) for path in paths(drawing, "solid")})
    expected = sorted({round(116 * od / 46, 3) for od, _, _ in ALL})
    assert reach == expected
    assert {round(box_of(path)[0] - AXIS, 3) for path in paths(drawing, "solid")} == {round(116 * 12 / 46, 3)}
    assert drawing.data["scale"] == pytest.approx(116 / 23)


def test_every_piece_has_its_own_bar_and_its_thickness_is_exaggerated_by_the_factor_told() -> None:
    drawing = half_section(valve())
    bars = paths(drawing, "solid")
    assert len(bars) == sum(pieces for _, _, pieces in ALL)
    per_mm = 116 / 23 * drawing.data["thickness_factor"]
    heights = sorted(round(bottom - top, 6) for _, top, _, bottom in map(box_of, bars))
    expected = sorted(round(thick * per_mm, 6) for _, thick, pieces in ALL for _ in range(pieces))
    assert heights == expected
    assert heights[0] >= THINNEST


def test_the_same_piece_is_seen_from_outside_to_the_left() -> None:
    drawing = half_section(valve())
    right = sorted(round(box_of(path)[2] - AXIS, 3) for path in paths(drawing, "solid"))
    left = sorted(round(AXIS - box_of(path)[0], 3) for path in paths(drawing, "thin_face"))
    assert left == right


def test_parts_stand_in_their_order_from_the_shoulder_to_the_nut() -> None:
    placed, _ = place(valve(), scale_of(valve()))
    kinds = [one.item.kind for one in placed]
    assert kinds == ["washer", "base_plate", *["shim"] * 8, "piston", *["shim"] * 7, "spacer", "base_plate", "nut"]
    assert [one.item.outer_mm for one in placed[2:10]] == [22, 26, 30, 34, 36, 38, 24, 40]
    assert placed[0].low == 0
    for one, following in pairwise(placed):
        assert following.low >= one.high


def test_references_run_from_the_nut_at_the_top_to_the_shoulder() -> None:
    drawing = half_section(valve())
    by_height = sorted(references(drawing), key=lambda text: text.y)
    assert [text.value for text in by_height] == [str(n) for n in range(21, 0, -1)]


def test_light_separates_thin_neighbours_and_nothing_separates_a_face_shim_from_its_face() -> None:
    placed, _ = place(valve(), scale_of(valve()))
    bars = [bar for one in placed for bar in one.bars if one.item.kind in (Kind.SHIM, Kind.SPACER)]
    piston = next(one for one in placed if one.item.kind is Kind.PISTON)
    for (_, high), (low, _) in pairwise(bars):
        between = low - high
        assert between == pytest.approx(GAP) or (high, low) == (piston.low, piston.high)


def test_the_lip_divides_the_base_plate_as_the_true_heights_do() -> None:
    """Below the plate: 1.5 + 4 + 2.25 + 12 + 1.8 + 0.4 = 21.95. The lip at 23.95 leaves 2.00 of 3.05 below it.

    2.25 is 0.6 + 0.1 + 0.15 + 0.15 + 0.6 + 0.15 + 0.2 + 0.3; 1.8 is 0.6 + 0.1 + 0.3 + 0.15 + 0.15 + 0.2 + 0.3.
    """
    drawing = half_section(valve())
    found = drawing.data["straddle"]
    assert (found.on_straight_mm, found.past_lip_mm) == (2.0, 1.05)
    assert found.fraction == pytest.approx(2.0 / 3.05)
    assert found.straddles
    (lip,) = paths(drawing, "lip")
    _, top, _, bottom = box_of(paths(drawing, "cut")[-1])
    assert (bottom - lip.lines[0][0][1]) / (bottom - top) == pytest.approx(2.0 / 3.05)


def test_the_shaft_steps_down_at_the_lip_and_its_thread_starts_and_ends_where_they_truly_fall() -> None:
    """In the plate, 21.95 to 25.00: lip at 2.00 of 3.05, thread at 2.90. The nut, 10 high, ends at 35.00, the shaft
    7.95 above it."""
    drawing = half_section(valve())
    (outline,) = paths(drawing, "shaft")
    radius = 116 * 12 / 46
    _, top, _, bottom = box_of(paths(drawing, "cut")[-1])
    lip, thread = (bottom - (bottom - top) * share / 3.05 for share in (2.0, 2.9))
    wide = [y for x, y in outline.points() if x == pytest.approx(AXIS + radius)]
    shoulder = max(wide)
    end = box_of(paths(drawing, "nut")[0])[1] - 7.95 * 116 / 23
    assert wide == pytest.approx([shoulder, lip, thread, end + 2.5])
    assert min(y for _, y in outline.points()) == pytest.approx(end)
    relief = [y for x, y in outline.points() if AXIS < x < AXIS + radius - 3 and y > end + 1]
    assert max(relief) == pytest.approx(lip)
    assert all(thread < y <= lip + 1e-9 for y in relief)


def test_a_plate_that_does_not_reach_the_lip_is_drawn_below_it() -> None:
    """Without rebound shims and spacers the plate ends at 19.75 + 3.05 = 22.80, 1.15 short of the lip."""
    drawing = half_section(valve(rebound=[], spacers=[]))
    found = drawing.data["straddle"]
    assert found.past_lip_mm == -1.15
    assert not found.straddles
    (lip,) = paths(drawing, "lip")
    assert lip.lines[0][0][1] < box_of(paths(drawing, "cut")[-1])[1]


def test_a_plate_wholly_past_the_lip_is_drawn_above_it() -> None:
    """Twelve more 0.2 mm spacers lift the plate from 21.95 to 24.35: 0.40 above the lip."""
    drawing = half_section(valve(spacers=[(30, 0.2, 8), (31, 0.2, 6)]))
    found = drawing.data["straddle"]
    assert found.on_straight_mm == -0.4
    assert not found.straddles
    (lip,) = paths(drawing, "lip")
    assert lip.lines[0][0][1] > box_of(paths(drawing, "cut")[-1])[3]


def test_the_lip_is_not_drawn_while_a_height_below_it_is_unknown() -> None:
    items = list(valve().items)
    items[0] = Item(Kind.WASHER, "1", outer_mm=20)
    drawing = half_section(Assembly(tuple(items), SHAFT, BELOW, ABOVE, BORE))
    assert drawing.data["straddle"] is None
    assert paths(drawing, "lip") == []
    codes = {(note.code, note.ref) for note in drawing.notes}
    assert {("height_unknown", "1"), ("shaft_not_placed", "")} <= codes


def test_an_unknown_nut_leaves_the_lip_in_its_place() -> None:
    items = [*valve().items[:-1], Item(Kind.NUT, "21")]
    drawing = half_section(Assembly(tuple(items), SHAFT, BELOW, ABOVE, BORE))
    assert drawing.data["straddle"].on_straight_mm == 2.0
    assert len(paths(drawing, "lip")) == 1
    assert ("shaft_not_placed", "") not in {(note.code, note.ref) for note in drawing.notes}


def test_hatching_of_neighbours_differs() -> None:
    """In one direction x + y is the same at both ends of every line, in the other x - y."""
    drawing = half_section(valve())
    slopes = []
    for path in paths(drawing, "hatch"):
        rising = {abs(x0 + y0 - x1 - y1) < 1e-6 for (x0, y0), (x1, y1) in path.lines}
        assert len(rising) == 1
        slopes.append(rising.pop())
    washer, lower_plate = slopes[:2]
    assert washer != lower_plate
    assert len(slopes) == 4  # washer, plate, piston, plate: shims are filled, shaft and nut are not cut


@given(st.lists(st.sampled_from([Kind.WASHER, Kind.SLEEVE, Kind.BASE_PLATE]), min_size=2, max_size=8))
def test_thick_neighbours_never_have_one_hatching(kinds: list[Kind]) -> None:
    items = tuple(Item(kind, str(n), outer_mm=20, inner_mm=12, height_mm=5) for n, kind in enumerate(kinds))
    drawing = half_section(Assembly(items, ShaftEnd(12)))
    slopes = [abs(sum(path.lines[0][0]) - sum(path.lines[0][1])) < 1e-6 for path in paths(drawing, "hatch")]
    assert len(slopes) == len(kinds)
    assert all(one != other for one, other in pairwise(slopes))


def test_shaft_and_nut_are_not_cut() -> None:
    drawing = half_section(valve())
    (nut,) = paths(drawing, "nut")
    top, bottom = box_of(nut)[1], box_of(nut)[3]
    for path in paths(drawing, "hatch"):
        assert all(x >= AXIS + 116 * 12 / 46 - 1e-6 for x, _ in path.points())
        assert not any(top + 1e-6 < y < bottom - 1e-6 for _, y in path.points())


def test_ports_open_on_their_own_face_at_their_diameters() -> None:
    """Compression, below: 22 to 38.2 mm, land to 40.8. Rebound, above: 22 to 34.2, land to 36.8."""
    drawing = half_section(valve())
    piston = paths(drawing, "cut")[2].lines[0]
    _, top, _, bottom = box_of(paths(drawing, "cut")[2])
    on_face = {
        face: {round((x - AXIS) * 46 / 116, 2) for x, y in piston if abs(y - level) < 1e-6}
        for face, level in (("above", top), ("below", bottom))
    }
    assert on_face["below"] == {12.0, 22.0, 38.2, 40.8}
    assert on_face["above"] == {12.0, 22.0, 34.2, 36.8}


def test_a_piston_of_unknown_faces_is_plain() -> None:
    drawing = half_section(Assembly(valve().items, SHAFT, body_bore_mm=BORE))
    assert len(paths(drawing, "cut")[2].lines[0]) == 4


def test_a_base_plate_falls_back_to_its_contact_diameter_on_the_stack_s_side() -> None:
    drawing = half_section(valve())
    lower, upper = paths(drawing, "cut")[1], paths(drawing, "cut")[-1]
    contact = AXIS + 116 * 28 / 46
    for path, level in ((lower, box_of(lower)[1]), (upper, box_of(upper)[3])):
        assert max(x for x, y in path.points() if abs(y - level) < 1e-6) == pytest.approx(contact)


@pytest.mark.parametrize(("mark", "drawn"), [(Mark.MISSING, "missing"), (Mark.STAND_IN, "stand_in")])
def test_missing_pieces_and_stand_ins_differ_by_outline_and_balloon(mark: Mark, drawn: str) -> None:
    drawing = half_section(valve(mark=mark))
    assert len(paths(drawing, "solid")) == sum(pieces for _, _, pieces in [*REBOUND, *SPACERS])
    closed = [path for path in paths(drawing, drawn) if path.closed]
    assert len(closed) == sum(pieces for _, _, pieces in COMPRESSION)
    balloons = [shape for shape in drawing.shapes if shape.kind == f"balloon-{mark}"]
    assert len(balloons) == len(COMPRESSION)
    assert {isinstance(shape, Circle) for shape in balloons} == {mark is Mark.MISSING}


@pytest.mark.parametrize(("mark", "drawn"), [(Mark.MISSING, "missing"), (Mark.STAND_IN, "stand_in")])
def test_a_nut_that_is_missing_or_another_one_has_another_outline_too(mark: Mark, drawn: str) -> None:
    items = [*valve().items[:-1], replace(valve().items[-1], mark=mark)]
    drawing = half_section(Assembly(tuple(items), SHAFT, BELOW, ABOVE, BORE))
    (outline,) = paths(drawing, drawn)
    assert len(outline.lines[0]) == 6
    assert paths(drawing, "nut") == []


def test_a_nut_is_seen_across_its_corners() -> None:
    """18 mm across flats are 18 * 2 / sqrt(3) = 20.78 mm across corners."""
    left, _, right, _ = box_of(paths(half_section(valve()), "nut")[0])
    assert (right - left) * 23 / 116 == pytest.approx(20.785, abs=1e-3)


def test_a_bracket_spans_all_shims_of_a_side_and_no_spacer() -> None:
    drawing = half_section(valve(), side_words={"compression": "c", "rebound": "r"})
    brackets = sorted(box_of(path)[1::2] for path in paths(drawing, "thin") if box_of(path)[2] < 20)
    bars = sorted((box_of(path)[1::2] for path in paths(drawing, "solid")), reverse=True)
    spacers, rebound, compression = bars[-2:], bars[14:-2], bars[:14]
    assert len(spacers) == 2
    assert brackets == [
        (min(top for top, _ in side), max(bottom for _, bottom in side)) for side in (rebound, compression)
    ]


def test_a_line_of_many_pieces_is_one_broken_block_with_its_number() -> None:
    drawing = half_section(valve(rebound=[(36, 0.2, MOST_BARS + 1)]))
    assert ("pieces_in_a_block", "12") in {(note.code, note.ref) for note in drawing.notes}
    assert "×9" in [shape.value for shape in drawing.shapes if isinstance(shape, Text)]
    at_36 = [path for path in paths(drawing, "solid") if abs(box_of(path)[2] - AXIS - 116 * 36 / 46) < 1e-6]
    assert len(at_36) == 2 + 1  # the block's two ends, and the one 36 mm shim of the other side


def test_numbers_of_pieces_stand_beside_the_balloons_of_lines_with_more_than_one() -> None:
    drawing = half_section(valve())
    counts = [shape for shape in drawing.shapes if isinstance(shape, Text) and shape.kind == "count"]
    assert sorted(text.value for text in counts) == ["×2", "×2", "×3", "×4", "×4"]


def test_a_shaft_that_ends_far_above_is_shortened_and_says_so() -> None:
    drawing = half_section(valve(shaft=ShaftEnd(12, 23.95, 24.85, 140)))
    assert "shaft_end_shortened" in {note.code for note in drawing.notes}
    assert drawing.height < 700


def test_what_is_unknown_of_the_shaft_is_said() -> None:
    drawing = half_section(valve(shaft=ShaftEnd()))
    codes = {note.code for note in drawing.notes}
    assert {"shaft_diameter_unknown", "lip_unknown", "thread_start_unknown", "shaft_end_unknown"} <= codes
    assert inside(drawing)


def test_parts_without_any_size_are_drawn_and_each_says_so() -> None:
    items = tuple(Item(kind, str(n)) for n, kind in enumerate(Kind))
    drawing = half_section(Assembly(items))
    assert inside(drawing)
    assert {note.ref for note in drawing.notes if note.code == "height_unknown"} == {str(n) for n in range(len(Kind))}
    assert {note.ref for note in drawing.notes if note.code == "outer_unknown"} == {str(n) for n in range(len(Kind))}


def test_a_single_shim_is_a_drawing() -> None:
    drawing = half_section(Assembly((Item(Kind.SHIM, "1", outer_mm=30, inner_mm=10, height_mm=0.2),)))
    assert inside(drawing)
    assert drawing.data["straddle"] is None


def test_words_stand_only_where_they_are_given() -> None:
    worded = half_section(valve(), side_words={"compression": "C side", "rebound": "R side"}, lip_word="edge")
    words = {shape.value for shape in worded.shapes if isinstance(shape, Text)}
    assert {"C side", "R side", "edge"} <= words
    plain = {shape.value for shape in half_section(valve()).shapes if isinstance(shape, Text)}
    assert all(word.lstrip("×").isdigit() for word in plain)


def test_sixty_lines_a_side_stay_inside_and_apart() -> None:
    lines = [(40.0 - n / 4, 0.1 + 0.05 * (n % 5), 1 + n % 3) for n in range(60)]
    drawing = half_section(valve(lines, lines))
    assert inside(drawing)
    ys = sorted(text.y for text in references(drawing))
    assert len(ys) == 60 + 60 + 6
    assert min(after - before for before, after in pairwise(ys)) >= PITCH - 1e-6


sizes = st.tuples(
    st.integers(14, 60),
    st.sampled_from([0.08, 0.1, 0.11, 0.15, 0.2, 0.25, 0.3, 0.4, 5.0]),
    st.integers(1, 40),
)
stacks = st.lists(sizes, max_size=12)
length = st.none() | st.floats(0.5, 120)


@given(stacks, stacks, stacks, st.builds(ShaftEnd, st.none() | st.floats(6, 13), length, length, length))
def test_whatever_the_stack_everything_is_inside_and_nothing_overlaps(
    compression: Sizes, rebound: Sizes, spacers: Sizes, shaft: ShaftEnd
) -> None:
    assembly = valve(compression, rebound, spacers, shaft)
    drawing = half_section(assembly)
    assert inside(drawing)
    assert drawing.width == 340
    scale = scale_of(assembly)
    placed, _ = place(assembly, scale)
    bars = [bar for one in placed for bar in one.bars]
    assert all(low < high for low, high in bars)
    assert all(high <= low + 1e-9 for (_, high), (low, _) in pairwise(bars))
    assert all(one.outer <= HALF + 1e-9 for one in placed)
    ys = sorted(text.y for text in references(drawing))
    assert all(after - before >= PITCH - 1e-6 for before, after in pairwise(ys))
    leaders = paths(drawing, "leader")
    assert not any(crossing(one, other) for one, other in pairwise(leaders))


@given(stacks, stacks, st.floats(1, 90))
def test_the_straddle_told_is_the_one_summed_by_hand(compression: Sizes, rebound: Sizes, lip: float) -> None:
    """Micrometres as whole numbers are the second way to the same sum."""
    assembly = valve(compression, rebound, [], ShaftEnd(12, lip))
    below = 1500 + 4000 + 12000 + sum(round(thick * 1000) * n for _, thick, n in [*compression, *rebound])
    scale = scale_of(assembly)
    found = straddle(place(assembly, scale)[0], lip)
    assert found is not None
    assert found.on_straight_mm == pytest.approx(lip - below / 1000, abs=1e-5)
    assert found.past_lip_mm == pytest.approx((below + 3050) / 1000 - lip, abs=1e-5)


def test_a_shim_too_thin_for_any_factor_is_a_bar_all_the_same_and_says_so() -> None:
    thin = Item(Kind.SHIM, "1", outer_mm=30, inner_mm=10, height_mm=1e-300)
    drawing = half_section(Assembly((thin,), ShaftEnd(10, 1.0)))
    (bar,) = paths(drawing, "solid")
    assert box_of(bar)[3] - box_of(bar)[1] == pytest.approx(THINNEST)
    assert ("height_not_to_scale", "1") in {(note.code, note.ref) for note in drawing.notes}


@pytest.mark.parametrize("field", ["outer_mm", "inner_mm", "height_mm", "contact_diameter_mm"])
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_a_size_that_is_none_is_refused(field: str, value: float) -> None:
    told: dict[str, Any] = {field: value}
    with pytest.raises(ValueError, match=f"{field} is a length above zero"):
        Item(Kind.SHIM, "1", **told)


def test_no_piece_a_bore_outside_the_rim_and_nothing_to_draw_are_refused() -> None:
    with pytest.raises(ValueError, match="at least one piece"):
        Item(Kind.SHIM, "1", pieces=0)
    with pytest.raises(ValueError, match="not inside the outer one"):
        Item(Kind.SHIM, "1", outer_mm=12, inner_mm=12)
    with pytest.raises(ValueError, match="at least one item"):
        Assembly(())
    with pytest.raises(ValueError, match="shoulder_to_lip_mm"):
        ShaftEnd(12, 0)
    with pytest.raises(ValueError, match="ports_inner_mm"):
        PistonFace(0)
    with pytest.raises(ValueError, match="body_bore_mm"):
        Assembly(valve().items, body_bore_mm=-1)
