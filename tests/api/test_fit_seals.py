"""O-rings, bands, bores, shafts and clearances over HTTP. Check values as in tests/engineering."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.conftest import Caller, Json, fields, problem
from tests.api.fit import asked, codes, without
from tests.conftest import HeldClock

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
# The clock of the tests stands in March 2030.
RING: Json = {
    "ring": {"size": "222", "cure_date": "2029-Q1"},
    "gland": {
        "kind": "piston",
        "bore_mm": {"min": 44.0, "max": 44.039, "nominal": 44.0},
        "groove_mm": {"min": 38.238, "max": 38.3, "nominal": 38.3},
        "width_mm": 4.75,
        "extrusion_gap_mm": {"min": 0.08, "max": 0.15},
    },
    "motion": "static",
    "compound": "NBR",
    "fluid": "mineral_oil",
    "temperature_c": 80,
    "coldest_c": -10,
    "pressure_bar": {"min": 10, "max": 25},
    "hardness_shore_a": 70,
    "reused": False,
}
BAND: Json = {
    "bore_mm": {"min": 46.0, "max": 46.039, "nominal": 46.0},
    "groove_mm": {"min": 38.538, "max": 38.6, "nominal": 38.6},
    "band_thickness_mm": {"min": 0.93, "max": 0.97},
    "energiser": {"size": "222"},
    "energiser_section_mm": {"min": 3.43, "max": 3.63},
    "band_wear_radial_mm": 0,
    "bore_wear_diametral_mm": 0,
    "coldest_c": -10,
}
# Ellipses by hand: mean and half ovality 46.01 and 0.005, 46.03 and 0.016, 46.02 and 0.005, the axis at 0 degrees;
# at 60 and 120 degrees each measures its mean less half of that half. Each reading is 0.005 mm wide either way.
READINGS: list[Json] = [
    {"depth_mm": depth, "angle_deg": angle, "diameter_mm": {"min": size, "max": round(size + 0.01, 3)}}
    for depth, mean, half in ((20, 46.01, 0.005), (65, 46.03, 0.016), (110, 46.02, 0.005))
    for angle, size in (
        (0, round(mean + half - 0.005, 3)),
        *((t, round(mean - half / 2 - 0.005, 3)) for t in (60, 120)),
    )
]
TRAVEL: Json = {"travel_from_mm": 15, "travel_to_mm": {"min": 112, "max": 118}}
BORE: Json = {"nominal_mm": 46, "max_diameter_mm": 46.08, "readings": READINGS, **TRAVEL}
SHAFT: Json = {
    "nominal_mm": 46.06,
    "min_diameter_mm": 45.99,
    "readings": READINGS,
    **TRAVEL,
    "runout_mm": 0.02,
    "max_runout_mm": 0.05,
    "surface": "ok",
}
CLEARANCE: Json = {
    "nominal_mm": 12,
    "bore_mm": {"min": 12.0, "max": 12.043},
    "bore_class": "H9",
    "shaft_mm": {"min": 11.983, "max": 11.994},
    "shaft_class": "g6",
    "most_clearance_mm": 0.06,
}
WHOLE: dict[str, Json] = {"oring": RING, "band": BAND, "bore": BORE, "shaft": SHAFT, "clearance": CLEARANCE}


@pytest.mark.parametrize("question", sorted(WHOLE))
def test_what_is_wholly_known_and_sound_fits(storefront: Caller, question: str) -> None:
    assert asked(storefront, question, WHOLE[question])["verdict"] == "fits"


def test_the_figures_of_the_worked_examples(storefront: Caller) -> None:
    """tests/engineering/test_oring.py, test_band.py and test_clearance.py show where they come from; the 13.7 to 21.0
    percent of the ring are those on one axis, and half the gap of 0.15 takes 0.075 of a section of 3.361 and adds
    0.075 of 3.608 where the parts lie to one side: 11.5 and 23.1, by hand at the same corners."""
    ring = asked(storefront, "oring", RING)["values"]
    assert (round(ring["squeeze_percent"]["min"], 1), round(ring["squeeze_percent"]["max"], 1)) == (11.5, 23.1)
    assert round(ring["stretch_percent"]["nominal"], 1) == 1.6 and ring["ring"]["size"] == "222"
    band = asked(storefront, "band", BAND)["values"]
    assert round(band["squeeze_percent"]["min"], 1) == 15.7
    assert round(band["free_od_mm"]["nominal"], 2) == 47.42
    play = asked(storefront, "clearance", CLEARANCE)["values"]["clearance_mm"]
    assert (play["min"], play["max"]) == (0.006, 0.06)
    bore = asked(storefront, "bore", BORE)["values"]
    assert bore["wear_mm"]["nominal"] == 0.046 and bore["ovality_mm"]["nominal"] == 0.032


@pytest.mark.parametrize(
    ("question", "path"),
    [
        *(("oring", path) for path in ("ring", "ring.size", "gland.bore_mm", "gland.groove_mm", "gland.width_mm")),
        *(("oring", path) for path in ("motion", "compound", "fluid", "temperature_c", "reused")),
        *(("oring", path) for path in ("coldest_c", "pressure_bar", "hardness_shore_a")),
        *(("oring", path) for path in ("gland.extrusion_gap_mm", "ring.cure_date")),
        *(("band", path) for path in BAND),
        *(("bore", path) for path in BORE),
        *(("shaft", path) for path in SHAFT),
        ("bore", "readings.6"),
        *(("clearance", path) for path in ("nominal_mm", "bore_mm", "shaft_mm")),
    ],
)
def test_without_any_one_reading_it_cannot_tell(storefront: Caller, question: str, path: str) -> None:
    body: Any = WHOLE[question]
    if path == "readings.6":
        body = {**body, "readings": body["readings"][:6]}
    else:
        body = without(body, path)
    answer = asked(storefront, question, body)
    assert answer["verdict"] == "cannot_tell" and codes(answer, "measure")


@pytest.mark.parametrize(
    ("question", "change", "field"),
    [
        ("oring", {"ring": {"size": "P22"}}, "ring.size"),
        ("oring", {"ring": {"size": "222", "id_mm": 37.7}}, "ring.size"),
        ("oring", {"ring": {"size": "222", "cure_date": "2026"}}, "ring.cure_date"),
        ("oring", {"ring": {"size": "222", "cure_date": "0001-Q1"}}, "ring.cure_date"),
        ("oring", {"gland": {"kind": "oval"}}, "gland.kind"),
        ("oring", {"gland": {"kind": "piston", "rod_mm": 16}}, "gland.rod_mm"),
        ("oring", {"gland": {"kind": "piston", "bore_mm": -44}}, "gland.bore_mm"),
        ("oring", {"gland": {"kind": "piston", "bore_mm": {"min": 45, "max": 44}}}, "gland.bore_mm"),
        ("oring", {"temperature_c": 900}, "temperature_c"),
        ("oring", {"temperature_c": 20, "coldest_c": 30}, "coldest_c"),
        ("oring", {"motion": "slow"}, "motion"),
        ("oring", {"shelf_life_policy": "mine"}, "shelf_life_policy"),
        ("oring", {"pressure_mpa": 1.0}, "pressure_bar"),
        ("oring", {"pressure_bar": {"min": 3, "max": 2}}, "pressure_bar"),
        ("oring", {"pressure_bar": "high"}, "pressure_bar"),
        ("oring", {"hardness_shore_a": 700}, "hardness_shore_a"),
        ("oring", {"gland": {**RING["gland"], "land_mm": 43.9}}, "gland.extrusion_gap_mm"),
        ("bore", {"travel_to_mm": 5}, "travel_to_mm"),
        ("band", {"bore_mm": 0}, "bore_mm"),
        ("band", {"energiser": {"size": "999"}}, "energiser.size"),
        ("band", {"band_wear_radial_mm": -0.1}, "band_wear_radial_mm"),
        ("bore", {"readings": [{"depth_mm": 20, "angle_deg": 0}]}, "readings.0.diameter_mm"),
        ("bore", {"readings": [{**READINGS[0], "angle_deg": 1000}]}, "readings.0.angle_deg"),
        ("bore", {"readings": READINGS * 100}, "readings"),
        ("bore", {"band": {"energiser": {"size": "P22"}}}, "band.energiser.size"),
        ("shaft", {"surface": "shiny"}, "surface"),
        ("shaft", {"runout_mm": -0.01}, "runout_mm"),
        ("clearance", {"bore_class": "H4"}, "bore_class"),
        ("clearance", {"shaft_class": "k6"}, "shaft_class"),
        ("clearance", {"nominal_mm": 81}, "nominal_mm"),
        ("clearance", {"colour": "blue"}, "colour"),
    ],
)
def test_what_cannot_be_read_is_refused_at_its_field(
    storefront: Caller, question: str, change: Json, field: str
) -> None:
    refused = problem(storefront.ask(f"/fit/{question}", {**WHOLE[question], **change}), 400, "invalid")
    assert fields(refused) == {field}


def test_inches_are_asked_about_and_not_judged(storefront: Caller) -> None:
    """1.732 and 1.508 inches are the worked gland's 44.00 and 38.30 mm."""
    gland = {"kind": "piston", "bore_mm": 1.732, "groove_mm": 1.508, "width_mm": 0.187}
    answer = asked(storefront, "oring", {**RING, "gland": gland})
    assert answer["verdict"] == "cannot_tell" and "gland_looks_like_inches" in codes(answer)


def test_an_old_ring_is_stopped_by_the_policy_that_the_shop_chose(
    storefront: Caller, clock: HeldClock, settings: Any
) -> None:
    """NBR cured in 2017-Q1: 7 + 3 years by ISO 2230 are over in 2030, 15 by SAE ARP5316D are not."""
    assert clock.time.year == 2030
    old = {**RING, "ring": {"size": "222", "cure_date": "2017-Q1"}}
    assert "shelf_life_over" in codes(asked(storefront, "oring", old), "stop")
    assert asked(storefront, "oring", {**old, "shelf_life_policy": "arp5316d"})["verdict"] == "fits"
    settings.SHELF_LIFE = "arp5316d"
    assert asked(storefront, "oring", old)["verdict"] == "fits"


def test_no_readings_and_five_hundred(storefront: Caller) -> None:
    none = asked(storefront, "bore", {**BORE, "readings": []})
    assert none["verdict"] == "cannot_tell" and "diameters_missing" in codes(none)
    many = [{"depth_mm": 5 * n, "angle_deg": m, "diameter_mm": 46.02} for n in range(25) for m in range(0, 180, 9)]
    assert asked(storefront, "bore", {**BORE, "readings": many})["verdict"] == "fits"


@pytest.mark.parametrize("cure_date", ["9999-Q4", "0000-Q1", "1899-Q4", "2026-Q5"])
def test_a_quarter_that_cannot_be_is_refused(storefront: Caller, cure_date: str) -> None:
    ring = {"size": "222", "cure_date": cure_date}
    refused = problem(storefront.ask("/fit/oring", {**RING, "ring": ring}), 400, "invalid")
    assert fields(refused) == {"ring.cure_date"}


def test_a_new_ring_without_a_cure_date_cannot_be_told_and_a_used_one_is_only_warned_of(storefront: Caller) -> None:
    unread = asked(storefront, "oring", without(RING, "ring.cure_date"))
    assert unread["verdict"] == "cannot_tell" and "cure_date_missing" in codes(unread, "measure")
    ring = {"id_mm": {"min": 37.5, "max": 37.8}, "section_mm": {"min": 3.5, "max": 3.55}, "cure_date": "2012-Q1"}
    old = asked(storefront, "oring", {**RING, "ring": ring, "reused": True})
    assert old["verdict"] == "fits" and "used_ring_is_old" in codes(old, "warn")


def test_a_used_ring_has_the_section_that_was_read_and_not_that_of_its_size(storefront: Caller) -> None:
    """A ring takes a set where it lay squeezed; its size says what it was when new. Common practice, no published
    source."""
    used = asked(storefront, "oring", {**RING, "reused": True})
    assert used["verdict"] == "cannot_tell" and "reused_by_size" in codes(used, "measure")


def test_pressure_is_told_in_either_unit(storefront: Caller) -> None:
    """2.5 MPa are 25 bar."""
    in_mpa = {**without(RING, "pressure_bar"), "pressure_mpa": {"min": 1.0, "max": 2.5}}
    assert asked(storefront, "oring", in_mpa)["values"] == asked(storefront, "oring", RING)["values"]


@pytest.mark.parametrize("number", [10**400, -(10**400)])
def test_a_number_of_four_hundred_digits_is_refused(storefront: Caller, number: int) -> None:
    refused = problem(storefront.ask("/fit/oring", {**RING, "temperature_c": number}), 400, "invalid")
    assert fields(refused) == {"temperature_c"}


def test_half_a_character_is_refused(storefront: Caller) -> None:
    for body in ({**SHAFT, "surface": "\ud800"}, {**SHAFT, "\ud800": 1}):
        assert storefront.ask("/fit/shaft", body).status_code == 400


# Readings that make something not fit, and whose absence leaves it open at best.
BAD: list[tuple[str, Json]] = [
    ("oring", {**RING, "gland": {**RING["gland"], "bore_mm": 45.5}}),
    ("oring", {**RING, "gland": {**RING["gland"], "width_mm": 3.2}}),
    ("oring", {**RING, "compound": "EPDM"}),
    ("oring", {**RING, "temperature_c": 130}),
    ("oring", {**RING, "ring": {"id_mm": 37.7, "section_mm": 2.62, "cure_date": "2029-Q1"}}),
    ("band", {**without(BAND, "energiser_section_mm"), "measured_od_mm": 45.9}),
    ("band", {**BAND, "bore_wear_diametral_mm": 1.5}),
    ("band", {**BAND, "band_wear_radial_mm": 0.9}),
    ("bore", {**BORE, "max_diameter_mm": 46.03}),
    ("shaft", {**SHAFT, "runout_mm": 0.2}),
    ("shaft", {**SHAFT, "surface": "worn"}),
    ("shaft", {**SHAFT, "min_diameter_mm": 46.04}),
    ("oring", {**RING, "ring": {"size": "222", "cure_date": "2012-Q1"}}),
    ("oring", {**RING, "coldest_c": -45}),
    ("oring", {**RING, "pressure_bar": 180}),
    ("oring", {**RING, "gland": {**RING["gland"], "extrusion_gap_mm": 0.5}}),
    ("clearance", {**without(CLEARANCE, "bore_class"), "bore_mm": 11.98}),
    ("clearance", {**CLEARANCE, "most_clearance_mm": 0.004}),
]


def paths(body: Json, before: str = "") -> list[str]:
    """Every field of a body that can be left out, as a dotted path; a list as one."""
    found = []
    for name, value in body.items():
        found.append(before + name)
        if isinstance(value, dict) and "min" not in value:
            found += paths(value, f"{before}{name}.")
    return [path for path in found if path != "gland" and not path.endswith("kind")]


@pytest.mark.parametrize(("question", "body"), BAD, ids=[f"{name}-{n}" for n, (name, _) in enumerate(BAD)])
def test_no_verdict_improves_when_a_reading_is_left_out(storefront: Caller, question: str, body: Json) -> None:
    """Nothing that does not fit, fits once somebody has not measured; the engine's law stands in
    tests/engineering/test_seals_law.py with what may be left out."""
    assert asked(storefront, question, body)["verdict"] == "does_not_fit"
    for path in paths(body):
        found = asked(storefront, question, without(body, path))
        assert found["verdict"] != "fits", f"{path}: {found['summary']}"
