"""Drawings as pages show them: markup, words, and the way from documents and plans to the engine's input."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string
from django.utils import translation

from compat.engineering.drawing.half_section import half_section
from compat.engineering.drawing.items import Kind, Mark
from compat.engineering.drawing.shapes import NOTES, Drawing, Note, finished, line
from compat.pages import drawings, side_curves, valve_drawing
from compat.pages.calibration.calibration_pages import points_picture
from compat.pages.drawings import Shown
from compat.pages.valve_drawing import NutOn, Run
from compat.questions import asks
from inventory.dampers.checked import ValveIn
from inventory.dampers.document import ShaftEnd, Stacks, Valve
from inventory.documents.typed import read
from tests.api.conftest import stored
from tests.house.project import ROOT
from tests.pictures import QUESTIONS

FIXTURES = ROOT / "fixtures" / "demo"
SVG = "{http://www.w3.org/2000/svg}"
NUT = NutOn("M12x1.25", height_mm=10, across_flats_mm=18)
SPACER = [Run(30, 0.2, 2, bore_mm=12)]
PARTS: list[tuple[str, dict[str, Any]]] = [
    ("oring", {"ring_id_mm": 37.69, "section_mm": 3.53}),
    ("oring", {"ring_id_mm": 1.78, "section_mm": 1.78}),
    ("band", {"for_bore_mm": 46, "width_mm": 9.8, "band_thickness_mm": 0.95}),
    ("bush", {"outer_mm": 14, "inner_mm": 12, "length_mm": 12}),
    ("shim", {"od_mm": 34, "bore_mm": 12, "thickness_mm": 0.3, "form": "notched"}),
    ("nut", {"thread": "M12x1.25", "height_mm": 10, "across_flats_mm": 18}),
    ("nut", {"thread": "1/2-20 UNF", "height_mm": 11.1, "across_flats_mm": None}),
    ("washer", {"role": "base_plate", "inner_mm": 12, "outer_mm": 32, "height_mm": 4, "contact_diameter_mm": 28}),
    ("washer", {"role": "sleeve", "inner_mm": 12, "outer_mm": 16, "height_mm": 30}),
    ("piston", {"outer_mm": 46, "bore_mm": 12, "height_mm": 12}),
]


def damper(code: str = "QU-46-A") -> dict[str, Any]:
    found: list[dict[str, Any]] = json.loads((FIXTURES / "dampers.json").read_text())
    return next(one for one in found if one["code"] == code)


def stacks(name: str = "Long trail") -> dict[str, list[Run]]:
    found: list[dict[str, Any]] = json.loads((FIXTURES / "stacks.json").read_text())
    saved = next(one["stacks"] for one in found if one["damper"] == "QU-46-A" and one["name"] == name)
    return valve_drawing.runs_of(read(Stacks, saved))


def standing(lines: Mapping[str, list[Run]] | None = None, **more: Any) -> valve_drawing.OnShaft:
    model = stored(damper())
    options = {"shaft_end": model.shaft_end, "spacer": SPACER, "nut": NUT, **more}
    return valve_drawing.on_shaft(model.valves[0], stacks() if lines is None else lines, **options)


def markup(shown: Shown) -> str:
    return render_to_string("compat/drawing/_drawing.html", {"drawing": shown})


def all_drawings() -> Iterator[Shown]:
    marked = stacks()
    marked["compression"][1] = replace(marked["compression"][1], mark=Mark.STAND_IN)
    marked["rebound"][1] = replace(marked["rebound"][1], mark=Mark.MISSING)
    many = {"compression": [Run(40, 0.1, 30)]}
    long = read(ShaftEnd, {**damper()["shaft_end"], "shaft_end_mm": 90})
    for number, valve in enumerate((standing(), standing(marked), standing(many, shaft_end=long))):
        yield drawings.half_section_of(valve, prefix=f"valve-{number}", title="Long trail")[0]
    for question in QUESTIONS:
        yield drawings.question_picture(question, prefix=f"ask-{question}")[0]
    for number, (kind, sizes) in enumerate(PARTS):
        drawing = drawings.part_drawing(kind, sizes)
        assert drawing is not None
        yield drawings.shown(drawing, prefix=f"part-{number}", title=kind, desc="A part.")

    values = {
        "asked": [1.0, 2.0],
        "built": [1.1, 2.0],
        "low": [0.9, 1.8],
        "high": [1.3, 2.4],
        "difference": [10.0, 0.0],
    }
    closings = {"asked": 0.1, "built": 0.15}
    yield side_curves.curve_picture([0.1, 0.2], values, closings, prefix="curve", title="Force against lift")
    forces = {"force_n": 40.0, "computed_n": 41.0, "difference_percent": 2.5}
    yield points_picture([{"lift_mm": 0.1, **forces}, {"lift_mm": 0.2, **forces}])


ALL = list(all_drawings())


@pytest.mark.parametrize("shown", ALL, ids=lambda shown: shown.prefix)
def test_a_drawing_is_well_formed_and_names_itself(shown: Shown) -> None:
    root = ElementTree.fromstring(markup(shown))
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None and desc is not None
    assert title.text and desc.text
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"


@pytest.mark.parametrize("shown", ALL, ids=lambda shown: shown.prefix)
def test_a_drawing_passes_a_strict_content_security_policy(shown: Shown) -> None:
    for element in ElementTree.fromstring(markup(shown)).iter():
        assert element.tag.removeprefix(SVG) in {"svg", "title", "desc", "g", "path", "circle", "text"}
        assert not [name for name in element.attrib if name == "style" or name.startswith("on")]


def test_drawings_on_one_page_share_no_id() -> None:
    ids = [element.get("id") for shown in ALL for element in ElementTree.fromstring(markup(shown)).iter()]
    given = [one for one in ids if one]
    assert len(given) == 2 * len(ALL)
    assert len(set(given)) == len(given)


@pytest.mark.parametrize("language", ["en", "de", "fr"])
def test_numbers_are_written_the_same_in_every_language(language: str) -> None:
    with translation.override(language):
        texts = [markup(shown) for shown in ALL]
    number = r"-?\d+(\.\d{1,2})?"
    for text in texts:
        for element in ElementTree.fromstring(text).iter():
            for name in ("x", "y", "cx", "cy", "r", "width", "height", "font-size"):
                assert re.fullmatch(number, element.get(name, "0"))
            assert re.fullmatch(rf"(M({number} {number}L)*{number} {number}Z?)*", element.get("d", ""))
            assert re.fullmatch(rf"rotate\(-90 {number} {number}\)", element.get("transform", "rotate(-90 0 0)"))


def test_words_of_a_title_cannot_break_out_of_it() -> None:
    drawing = finished([line("thin", (0, 0), (9, 9))], width=20)
    shown = drawings.shown(drawing, prefix="a", title="</title><script>", desc='"&')
    root = ElementTree.fromstring(markup(shown))
    assert [element.text for element in root.iter() if element.tag in (f"{SVG}title", f"{SVG}desc")] == [
        "</title><script>",
        '"&',
    ]


@pytest.mark.parametrize("prefix", ["", "A", "1a", "a b", 'a"', "a_b"])
def test_a_prefix_that_is_no_id_is_refused(prefix: str) -> None:
    with pytest.raises(ValueError, match="lower-case word"):
        drawings.shown(Drawing(1, 1, ()), prefix=prefix, title="t", desc="d")


@pytest.mark.parametrize(("title", "desc"), [("", "d"), ("t", " ")])
def test_a_drawing_without_words_is_refused(title: str, desc: str) -> None:
    with pytest.raises(ValueError, match="a title and a description"):
        drawings.shown(Drawing(1, 1, ()), prefix="a", title=title, desc=desc)


def style_of_drawings() -> str:
    """The last part of the one style sheet."""
    sheet = (ROOT / "inventory" / "static" / "inventory" / "shimshelf.css").read_text()
    return sheet.partition("/* ======== drawings ======== */")[2]


def test_every_class_of_the_style_sheet_is_drawn_somewhere() -> None:
    sheet = style_of_drawings()
    styled = set(re.findall(r"\.(dr-[a-z_-]+)", sheet))
    drawn = {shape.css for shown in ALL for shape in shown.shapes}
    assert styled - drawn == set()


def test_every_colour_of_the_style_sheet_can_be_set_by_the_page() -> None:
    sheet = re.sub(r"/\*.*?\*/", "", style_of_drawings(), flags=re.DOTALL)
    outside = re.sub(r"var\(--[a-z-]+, #[0-9a-f]+\)", "", sheet)
    assert "#" not in outside
    assert {"--ink", "--paper", "--line", "--accent", "--hatch"} <= set(re.findall(r"var\((--[a-z-]+)", sheet))


def test_the_demo_s_damper_stands_in_the_order_of_assembly() -> None:
    kinds = [item.kind for item in standing().assembly.items]
    assert kinds == [
        Kind.WASHER,
        Kind.BASE_PLATE,
        *[Kind.SHIM] * 8,
        Kind.PISTON,
        *[Kind.SHIM] * 7,
        Kind.SPACER,
        Kind.BASE_PLATE,
        Kind.NUT,
    ]
    compression = [item.outer_mm for item in standing().assembly.items[2:10]]
    assert compression == [22, 26, 30, 34, 36, 38, 24, 40]


def test_references_are_the_numbers_of_the_parts_list() -> None:
    valve = standing()
    assert [row.ref for row in valve.rows] == [item.ref for item in valve.assembly.items]
    assert [row.ref for row in valve.rows] == [str(number) for number in range(1, 22)]
    names = {row.ref: (row.name, row.size, row.pieces) for row in valve.rows}
    assert names["1"] == ("Shoulder washer", "1.50 mm high", 1)
    assert names["10"] == ("compression shim", "40 × 0.15 mm", 4)
    assert names["3"] == ("compression shim", "22 × 0.30 mm", 1)
    assert names["19"] == ("spacer shim", "30 × 0.20 mm", 2)
    assert names["20"] == ("rebound base plate", "3.05 mm high", 1)
    assert names["21"] == ("nut", "M12x1.25", 1)


def test_the_description_says_how_the_plate_lies_at_the_lip() -> None:
    """21.95 mm under the plate, lip at 23.95, plate 3.05: 2.00 on the straight part and 1.05 past it."""
    shown, notes = drawings.half_section_of(standing(), prefix="a", title="Long trail")
    assert "2.00 mm of the outer base plate lie on the straight part, 1.05 mm past the lip" in shown.desc
    assert "shims are 12 times as thick as they are" in shown.desc
    assert "1, 2, 20: outer diameter unknown, drawn by eye." in notes
    assert "1, 20: height not to scale." in notes


def test_measured_thickness_decides_where_the_lip_falls_and_not_what_the_list_says() -> None:
    """0.02 mm more on each of the four 40 mm shims lifts the plate by 0.08: 1.92 is left on the straight part."""
    lines = stacks()
    lines["compression"][0] = replace(lines["compression"][0], mean_mm=0.17)
    valve = standing(lines)
    assert half_section(valve.assembly).data["straddle"].on_straight_mm == 1.92
    assert valve.rows[9].size == "40 × 0.15 mm"


@pytest.mark.parametrize(
    ("spacer", "said"),
    [
        ([], "2.40 mm of the outer base plate lie on the straight part, 0.65 mm past the lip"),
        ([Run(30, 0.3, 9)], "it lies wholly past the lip"),
    ],
)
def test_the_description_tells_a_plate_that_straddles_from_one_that_does_not(spacer: list[Run], said: str) -> None:
    shown, _ = drawings.half_section_of(standing(spacer=spacer), prefix="a", title="t")
    assert said in shown.desc


def test_a_plate_short_of_the_lip_is_described_so() -> None:
    few = {side: lines[:1] for side, lines in stacks().items()}
    shown, _ = drawings.half_section_of(standing(few, spacer=[]), prefix="a", title="t")
    assert "it lies wholly on the straight part" in shown.desc


@pytest.mark.parametrize("told", [(), ("compression",), ("rebound",)])
def test_where_a_stack_is_not_told_nothing_is_placed_that_depends_on_it(told: tuple[str, ...]) -> None:
    lines = {side: stack for side, stack in stacks().items() if side in told}
    shown, notes = drawings.half_section_of(standing(lines, spacer=[]), prefix="a", title="t")
    assert not [shape for shape in shown.shapes if shape.css == "dr-lip" or shape.value == drawings.LIP_WORD]
    assert "Lip, thread and the shaft's end are not placed: where they fall depends on the stacks." in notes
    assert not [note for note in notes if "unknown" in note and ("lip" in note or "thread" in note)]
    assert "lip" not in shown.desc
    assert ("times as thick" in shown.desc) == bool(told)


def test_shims_drawn_as_thick_as_they_are_are_said_to_be_so() -> None:
    thick = {side: [Run(30, 4, 9)] for side in drawings.SIDES}
    shown, _ = drawings.half_section_of(standing(thick, spacer=[]), prefix="a", title="t")
    assert "shims are as thick as they are" in shown.desc


def test_a_base_valve_stands_on_one_stack_alone() -> None:
    valve = read(Valve, {"code": "base", "sides": {"compression": {}}, "shaft_mm": 8, "body_bore_mm": 30})
    assert valve_drawing.on_shaft(valve, {}).assembly.whole


def test_stand_ins_and_missing_parts_are_told_in_words_too() -> None:
    lines = stacks()
    lines["compression"][1] = replace(lines["compression"][1], mark=Mark.STAND_IN)
    lines["rebound"][1] = replace(lines["rebound"][1], mark=Mark.MISSING)
    valve = standing(lines)
    assert [(row.ref, row.mark) for row in valve.rows if row.mark] == [("9", "stand-in"), ("13", "missing")]
    shown, _ = drawings.half_section_of(valve, prefix="a", title="t")
    assert "9: compression shim is a stand-in." in shown.desc
    assert "13: rebound shim is missing." in shown.desc


def test_a_valve_of_which_nothing_is_known_is_drawn_with_its_shims() -> None:
    valve = valve_drawing.on_shaft(Valve(code="main"), stacks())
    shown, notes = drawings.half_section_of(valve, prefix="a", title="t")
    assert "The lip is not drawn: shoulder to lip is unknown." in notes
    assert "lip" not in shown.desc
    assert [row.size for row in valve.rows if row.name == "piston"] == ["height unknown"]


@pytest.mark.parametrize("code", [one["code"] for one in json.loads((FIXTURES / "dampers.json").read_text())])
def test_every_damper_of_the_demo_can_be_drawn(code: str) -> None:
    model = stored(damper(code))
    for valve in model.valves:
        end = model.shaft_end if valve.code == "main" else None
        found = valve_drawing.on_shaft(valve, stacks(), shaft_end=end)
        assert drawings.half_section_of(found, prefix="a", title=code)[0].shapes


def test_a_mid_valve_has_no_piston_and_no_plate_but_those_told() -> None:
    kinds = {item.kind for item in valve_drawing.on_shaft(Valve(code="mid"), stacks()).assembly.items}
    assert kinds == {Kind.SHIM, Kind.NUT}
    told = read(Valve, {"code": "mid", "base_plates": {"rebound": {"height_mm": 3}}})
    assert [row.name for row in valve_drawing.on_shaft(told, stacks()).rows][-2:] == ["rebound base plate", "nut"]


def test_a_base_valve_of_one_side_has_one_plate() -> None:
    valve = read(Valve, {"code": "base", "sides": {"compression": {}}})
    names = [row.name for row in valve_drawing.on_shaft(valve, {"compression": stacks()["compression"]}).rows]
    assert [name for name in names if "plate" in name] == ["compression base plate"]
    assert "piston" in names


def test_a_washer_called_a_sleeve_is_drawn_as_one() -> None:
    washers = [{"name": "Mid sleeve", "height_mm": 6, "place": "outer"}, {"name": "Washer", "height_mm": 1}]
    kinds = [
        item.kind
        for item in valve_drawing.on_shaft(read(Valve, {"code": "main", "washers": washers}), stacks()).assembly.items
    ]
    assert kinds[0] is Kind.WASHER
    assert kinds[-3] is Kind.SLEEVE


@pytest.mark.parametrize(("kind", "sizes"), PARTS)
def test_every_kind_of_part_is_drawn_from_its_sizes(kind: str, sizes: dict[str, Any]) -> None:
    assert drawings.part_drawing(kind, sizes) is not None


def test_sizes_stand_on_a_part_as_the_trade_writes_them() -> None:
    drawing = drawings.part_drawing("shim", {"od_mm": 34, "bore_mm": 12.2, "thickness_mm": 0.3})
    assert drawing is not None
    shown = drawings.shown(drawing, prefix="a", title="t", desc="d")
    assert sorted(shape.value for shape in shown.shapes if shape.value) == ["0.30", "Ø12.2", "Ø34"]


@pytest.mark.parametrize(
    ("mm", "text"), [(0.15, "0.15"), (0.3, "0.30"), (0.125, "0.125"), (4.0, "4.00"), (12, "12.00")]
)
def test_a_thickness_keeps_two_decimals(mm: float, text: str) -> None:
    assert valve_drawing.thickness(mm) == text


def test_what_cannot_be_drawn_is_no_drawing() -> None:
    assert drawings.part_drawing("seal", {}) is None
    assert drawings.part_drawing("nut", {"thread": "M12x1.25x9", "height_mm": 10}) is None


def test_every_note_has_its_sentence() -> None:
    assert set(drawings.NOTES) == NOTES
    assert drawings.notes_of(Drawing(1, 1, (), (Note("lip_unknown"),))) == [drawings.NOTES["lip_unknown"]]
    about = Drawing(1, 1, (), (Note("height_unknown", "2"), Note("height_unknown", "5")))
    assert drawings.notes_of(about) == ["2, 5: height unknown, drawn by eye."]


def fields_of(serializer: Any, before: str = "") -> set[str]:
    """Dotted names of every field of a serializer, lists without their numbers."""
    names: set[str] = set()
    for name, field in serializer.get_fields().items():
        inner = getattr(field, "child", field)
        names.add(before + name)
        if hasattr(inner, "get_fields"):
            names |= fields_of(inner, f"{before}{name}.")
    return names


@pytest.mark.parametrize(
    ("question", "serializer"),
    [
        ("nut-on-shaft", asks.QUESTIONS["nut-on-shaft"][0]),
        ("thread-reading", asks.QUESTIONS["thread-reading"][0]),
        ("torque", asks.QUESTIONS["torque"][0]),
        ("face-shim", asks.QUESTIONS["face-shim"][0]),
        ("spacer", asks.QUESTIONS["spacer"][0]),
        ("oring", asks.QUESTIONS["oring"][0]),
        ("band", asks.QUESTIONS["band"][0]),
        ("clearance", asks.QUESTIONS["clearance"][0]),
    ],
)
def test_letters_belong_to_fields_of_the_question_and_every_length_has_one(question: str, serializer: Any) -> None:
    _, letters = drawings.question_picture(question, prefix="a")
    fields = fields_of(serializer())
    lengths = {name for name in fields if name.endswith(("_mm", "_per_inch")) and not name.endswith("_error_mm")}
    assert set(letters) == lengths


@pytest.mark.parametrize(
    ("question", "serializer"), [("bore", asks.QUESTIONS["bore"][0]), ("shaft", asks.QUESTIONS["shaft"][0])]
)
def test_letters_of_a_worn_part_are_those_of_its_readings_and_limits(question: str, serializer: Any) -> None:
    """The band in a bore has the band question's picture."""
    _, letters = drawings.question_picture(question, prefix="a")
    names = {name for name in fields_of(serializer()) if not name.startswith("band.")}
    assert set(letters) == {name for name in names if name.endswith(("_mm", "_deg"))}


def test_letters_of_the_stack_question_belong_to_a_valve_or_a_line() -> None:
    _, letters = drawings.question_picture("stack", prefix="a")
    lines = {f"stacks.{side}.{name}_mm" for side in ("compression", "rebound") for name in ("od", "bore", "thickness")}
    assert set(letters) <= fields_of(ValveIn()) | lines
    # The diameters of a face, and what must cover them, have a picture of their own: the face-shim question's.
    left = {name for name in fields_of(ValveIn()) if name.endswith("_mm")} - set(letters)
    assert {name for name in left if not name.startswith("sides.")} == {"overlap_mm"}
    # A raised seat has none: only the force that lifts a stack needs it.
    assert {name.rpartition(".")[2] for name in left} <= {*QUESTIONS["face-shim"], "seat_mm", "seat_height_mm"}


def test_a_questions_picture_is_drawn_once_and_its_letters_are_everyones_own() -> None:
    first, letters = drawings.question_picture("stack", prefix="once")
    letters["no_field"] = "?"
    again, own = drawings.question_picture("stack", prefix="once")
    assert again is first
    assert "no_field" not in own
    other, _ = drawings.question_picture("stack", prefix="another")
    assert (other.prefix, other.shapes) == ("another", first.shapes)
