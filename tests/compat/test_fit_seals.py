"""Seals, bands, bores, shafts and clearances at the fit desk; check values as in tests/engineering."""

from __future__ import annotations

import contextlib
from typing import Any

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from compat.pages.diameters_text import read_diameters, write_diameters
from tests import factories, people
from tests.api.conftest import damper_document, limit, saved_damper
from tests.compat.test_fit_desk import address, read, verdict
from tests.visiting import signed_in


@pytest.fixture
def clerk(client: Client, db: Any) -> Client:
    return signed_in(client, people.clerk())


RING = {
    "ring_size": "222",
    "reused": "no",
    "compound": "NBR",
    "gland_kind": "piston",
    "gland_bore_mm": "44..44.039 (44)",
    "gland_groove_mm": "38.238..38.3 (38.3)",
    "gland_width_mm": "4,75",
    "gland_land_mm": "43,9",
    "hardness_shore_a": "70",
    "ring_cure_date": "2026-Q1",
    "motion": "static",
    "fluid": "mineral_oil",
    "temperature_c": "80",
    "coldest_c": "-10",
    "pressure_bar": "20",
}


def test_a_ring_in_its_gland_is_answered_with_its_figures_and_its_margin(clerk: Client) -> None:
    """The worked example of tests/engineering/test_oring.py: 13.7 to 21.0 percent of squeeze on one axis; to one side a
    land of 43.9 takes (44.039 - 43.9)/2 = 0.0695 of 3.361 and adds (44.0 - 43.9)/2 = 0.05 of 3.608, by hand."""
    page = clerk.post(address("oring"), RING)
    assert verdict(page) == "fits"
    assert "Squeeze 11.6 to 22.4 %" in read(page) and "Margin at the worst corner" in read(page)
    cold = clerk.post(address("oring"), {**RING, "coldest_c": "-40"})
    assert verdict(cold) == "does_not_fit" and "stays elastic to -30 C" in read(cold)


def test_a_size_that_is_none_stands_beside_its_field(clerk: Client) -> None:
    page = clerk.post(address("oring"), {**RING, "ring_size": "P22"})
    assert page.status_code == 422
    assert "no O-ring size P22 in AS568" in read(page)
    other = clerk.post(address("oring"), {**RING, "gland_rod_mm": "16"})
    assert other.status_code == 422 and "A piston gland has \u201cBore\u201d" in read(other)


def test_the_touch_of_the_caliper_is_not_enough_on_the_page_either(clerk: Client) -> None:
    """46.05 on 46.00 is 0.7 % of squeeze: tests/engineering/test_band.py."""
    band = {"bore_mm": "46", "groove_mm": "38.6", "band_thickness_mm": "0.95", "energiser_size": "222"}
    page = clerk.post(address("band"), {**band, "measured_od_mm": "46.05", "bore_wear_diametral_mm": "0"})
    assert verdict(page) == "does_not_fit"
    assert "The energiser is squeezed by 0.7 %; under 5 % the band does not seal." in read(page)


def test_a_bore_is_typed_depth_by_depth(clerk: Client) -> None:
    bore = {"nominal_mm": "46", "max_diameter_mm": "46.08", "travel_from_mm": "15", "travel_to_mm": "118"}
    # An ellipse of 46.05 and 46.01 measures 46.02 at 60 and 120 degrees from its axis.
    typed = "20: 46.02 46.01 46.015\n65 46,05 46,02 46,02\n110: 46.03 46.02@60 46.025@120"
    page = clerk.post(address("bore"), {**bore, "readings": typed})
    assert verdict(page) == "fits"
    assert "Wear 0.050 mm" in read(page) and "Out of round 0.040 mm" in read(page)
    few = clerk.post(address("bore"), {**bore, "readings": "20: 46.02 46.01 46.01"})
    assert verdict(few) == "cannot_tell" and "a taper needs 3" in read(few)
    wrong = clerk.post(address("bore"), {**bore, "readings": "20: 46.02 46.01\nworn"})
    assert wrong.status_code == 422 and "Line 2" in read(wrong) and "worn" in wrong.content.decode()


def test_a_pitted_shaft_stops_whatever_else_is_open(clerk: Client) -> None:
    page = clerk.post(address("shaft"), {"nominal_mm": "16", "surface": "pitted"})
    assert verdict(page) == "does_not_fit" and "pits cut the seal" in read(page)


def test_a_shim_of_one_class_on_a_shaft_of_another(clerk: Client) -> None:
    """12 H9/g6: ISO 286, tests/engineering/test_clearance.py."""
    page = clerk.post(address("clearance"), {"nominal_mm": "12", "bore_class": "H9", "shaft_class": "g6"})
    assert verdict(page) == "cannot_tell" and "0.006 to 0.060 mm" in read(page)
    allowed = {"nominal_mm": "12", "bore_class": "H9", "shaft_class": "g6", "most_clearance_mm": "0,06"}
    by_class = clerk.post(address("clearance"), allowed)
    assert verdict(by_class) == "cannot_tell" and "which says how it was meant" in read(by_class)
    measured = {**allowed, "bore_mm": "12..12,02", "shaft_mm": "11.985..11.99"}
    assert verdict(clerk.post(address("clearance"), measured)) == "fits"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("20: 46.02 46.01", [(20, 0, 46.02), (20, 90, 46.01)]),
        ("20 46,02 46,01 46,03", [(20, 0, 46.02), (20, 60, 46.01), (20, 120, 46.03)]),
        ("# top\n\n5mm: 46@-45  46.1@45 # by hand", [(5, -45, 46), (5, 45, 46.1)]),
        ("", []),
    ],
)
def test_diameters_by_depth_are_read(text: str, found: list[tuple[float, float, float]]) -> None:
    readings = read_diameters(text)
    assert [(one["depth_mm"], one["angle_deg"], one["diameter_mm"]) for one in readings] == found
    assert read_diameters(write_diameters(readings)) == readings


def test_a_diameter_with_limits_is_kept_through_writing() -> None:
    one = read_diameters("20: 46.01..46.03 46.02")
    assert one[0]["diameter_mm"] == {"min": 46.01, "max": 46.03}
    again = read_diameters(write_diameters(one))
    assert again == one


@pytest.mark.parametrize("text", ["20:", "20", "a: 46", "20: x", "20: 46@", "20: 1..2..3", "20 46@north"])
def test_what_is_no_row_of_diameters_is_refused_with_its_line(text: str) -> None:
    with pytest.raises(ValueError, match="Line 2"):
        read_diameters("20: 46 46\n" + text)


@given(st.text(max_size=60))
def test_no_text_breaks_the_reading_of_diameters(text: str) -> None:
    with contextlib.suppress(ValueError):
        read_diameters(text)


def test_rings_on_the_shelf_that_fit_the_gland_stand_below_the_answer(clerk: Client) -> None:
    ring = factories.oring(number="OR-222-NBR", size="222", ring_id_mm=37.69, section_mm=3.53, compound="NBR")
    factories.stocked(ring, 12, lot="L-222", drawer="R-06", cure_date="2026-Q1")
    thin = factories.oring(number="OR-128", size="128", ring_id_mm=37.77, section_mm=2.62, compound="NBR")
    factories.stocked(thin, 9, lot="L-128", drawer="R-07", cure_date="2026-Q1")
    page = clerk.post(address("oring"), {name: text for name, text in RING.items() if name != "ring_size"})
    assert verdict(page) == "cannot_tell"
    shelf = read(page).split("On the shelf for this gland")[1]
    assert "OR-222-NBR" in shelf and "12 free" in shelf and "OR-128" not in shelf
    unknown = {name: text for name, text in RING.items() if name != "gland_bore_mm"}
    assert "Measure the gland first" in read(clerk.post(address("oring"), unknown))


def test_a_ring_in_many_lots_shows_three_and_says_how_many_more(clerk: Client) -> None:
    part = factories.oring(number="OR-222-NBR", compound="NBR", hardness="70", size="222")
    for number in range(5):
        factories.stocked(part, 2, lot=f"L-{number}", drawer=f"D-{number}", cure_date="2029-Q4")
    shelf = read(clerk.post(address("oring"), RING)).split("On the shelf for this gland")[1]
    assert [f"D-{number} , 2 free" in shelf for number in range(5)] == [True] * 3 + [False] * 2
    assert "2 more lots , 10 free in all" in shelf


def test_a_ring_of_the_catalogue_fills_in_its_size_and_the_model_its_gland(clerk: Client) -> None:
    factories.oring(
        number="OR-2.4",
        ring_id_mm=11.6,
        section_mm=2.4,
        ring_id_tolerance_mm=0.1,
        section_tolerance_mm=0.05,
        compound="FKM",
    )
    gland = {"groove_mm": 16, "width_mm": 3.4, "ring": {"size": "111"}}
    saved_damper({**damper_document(), "shaft": {"diameter_mm": 12}, "rod_gland": gland})
    page = clerk.get(address("oring"), {"damper": "HA-46", "part": "OR-2.4"}).content.decode()
    assert 'value="11.6 \u00b10.1"' in page and 'value="2.4 \u00b10.05"' in page
    assert "OR-2.4, not measured" in page and "HA-46, not measured" in page
    # The model's own ring, by its size, gives way to the one that was chosen.
    assert 'value="111"' not in page


def test_the_ring_under_a_models_band_is_not_judged_in_the_gland_of_its_seal_head(clerk: Client) -> None:
    for size, inner in (("222", 37.69), ("111", 10.77)):
        factories.oring(number=f"OR-{size}", size=size, ring_id_mm=inner, section_mm=3.53 if size == "222" else 2.62)
    head = {"groove_mm": 16, "width_mm": 3.4, "ring": {"size": "111"}}
    band = {"groove_mm": 38.6, "energiser": {"size": "222"}}
    saved_damper({**damper_document(), "shaft": {"diameter_mm": 12}, "rod_gland": head, "band": band})
    picked = {"damper": "HA-46", "part": "OR-222"}
    page = clerk.get(address("oring"), picked)
    assert "ring under the band of HA-46" in read(page) and 'value="222"' in page.content.decode()
    assert 'value="16"' not in page.content.decode()
    said = clerk.get(address("oring"), {**picked, "place": "seal_head"})
    assert 'value="16"' in said.content.decode() and "that of the seal head" in read(said)
    own = clerk.get(address("oring"), {**picked, "part": "OR-111"})
    assert 'value="16"' in own.content.decode()


def test_a_limit_of_the_model_names_its_source(clerk: Client) -> None:
    saved_damper({**damper_document(), "limits": [limit("bore_max_mm", 46.08)]})
    page = read(clerk.get(address("bore"), {"damper": "HA-46"}))
    assert limit("bore_max_mm", 46.08)["source"] in page and "as HA-46 says" in page
