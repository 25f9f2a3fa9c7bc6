"""The inspection sheet over HTTP: every verdict at once, and what on the shelf would replace what is worn."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.catalogue.models import Part
from inventory.stock.models import Lot
from tests import factories
from tests.api.conftest import Caller, Json, damper_document, fields, limit, ok, problem, saved_damper
from tests.api.fit import asked, codes
from tests.api.test_fit_nut import PAIR as JOINT
from tests.api.test_fit_seals import BAND, READINGS, TRAVEL

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
BORE: Json = {"nominal_mm": 46, "max_diameter_mm": 46.08, "readings": READINGS, **TRAVEL}
ON_IT: Json = {name: value for name, value in BAND.items() if not name.startswith(("bore", "coldest"))}
SHAFT_READINGS: list[Json] = [
    {"depth_mm": depth, "angle_deg": angle, "diameter_mm": 15.98} for depth in (10, 60, 110) for angle in (0, 60, 120)
]
SHAFT: Json = {
    "nominal_mm": 16,
    "min_diameter_mm": 15.95,
    "readings": SHAFT_READINGS,
    "travel_from_mm": 5,
    "travel_to_mm": 115,
    "runout_mm": 0.02,
    "max_runout_mm": 0.05,
    "surface": "ok",
}
SEAL: Json = {
    "ring": {"size": "208"},
    "section_mm": 3.5,
    "groove_mm": 21.9,
    "width_mm": 4.8,
    "land_mm": 16.02,
    "compound": "NBR",
    "hardness_shore_a": 70,
    "motion": "dynamic",
}
OIL: Json = {"fluid": "mineral_oil", "temperature_c": 80, "coldest_c": -10, "pressure_bar": 20}


def stock(number: str, *, cure_date: str = "2029-Q1", lot: str = "", **sizes: Any) -> None:
    """Twelve rings of a size, -222 of NBR unless said, cured in that quarter; today is in March 2030."""
    of_222 = {"size": "222", "ring_id_mm": 37.69, "section_mm": 3.53, "compound": "NBR", "hardness": "70"}
    ring = Part.objects.filter(number=number).first() or factories.oring(number=number, **{**of_222, **sizes})
    factories.stocked(ring, 12, lot=lot or f"L-{number}", cure_date=cure_date)


def sheet(**parts: Any) -> Json:
    return {"bore": BORE, "band": ON_IT, "shaft": SHAFT, "oil": OIL, **parts}


def items(answer: Json) -> dict[str, Json]:
    return {one["item"]: one for one in answer["values"]["items"]}


def test_nothing_read_is_nothing_reused(tuner: Caller) -> None:
    answer = asked(tuner, "inspection", {})
    assert answer["verdict"] == "cannot_tell" and codes(answer) == {"not_inspected"}
    assert [one["verdict"] for one in answer["values"]["items"]] == ["cannot_tell"] * 5
    assert not any(one["inspected"] for one in answer["values"]["items"])
    assert all(one["next"] for one in answer["values"]["items"])


def test_sound_parts_are_reused_and_each_answer_is_that_of_its_own_question(tuner: Caller) -> None:
    found = items(asked(tuner, "inspection", sheet()))
    assert {name: one["verdict"] for name, one in found.items() if one["inspected"]} == {
        "bore": "reuse",
        "band": "reuse",
        "shaft": "reuse",
    }
    assert found["shaft"]["answer"] == asked(tuner, "shaft", SHAFT)
    # The band is judged in the whole bore that was read: at its largest 46.046, and what the readings leave open.
    at_most = found["bore"]["answer"]["values"]["largest_mm"]["max"]
    assert 46.051 <= at_most <= 46.06
    worn = {**BAND, "bore_mm": round(at_most, 3), "bore_wear_diametral_mm": 0}
    values = found["band"]["answer"]["values"]
    assert values["squeeze_percent"]["min"] == pytest.approx(
        asked(tuner, "band", worn)["values"]["squeeze_percent"]["min"], abs=0.02
    )


def test_a_joint_as_its_own_question_judges_it_but_used(tuner: Caller) -> None:
    found = items(asked(tuner, "inspection", {"joint": JOINT}))["joint"]
    assert found["inspected"]
    alone = asked(tuner, "nut-on-shaft", JOINT)
    assert found["answer"]["verdict"] == alone["verdict"]


def test_a_flat_energiser_is_replaced_from_the_shelf(tuner: Caller) -> None:
    """Lightly touched under 46 mm: the O-ring under the band is worn flat (common practice, no published source)."""
    stock("OR-222")
    stock("OR-222-E", compound="EPDM")
    stock("OR-222-U", compound="unknown")
    stock("OR-128", size="128", ring_id_mm=37.77, section_mm=2.62)
    factories.stocked(factories.band(number="BD-46", for_bore_mm=46), 3, lot="L-46")
    flat = {**ON_IT, "measured_od_mm": 45.98}
    found = items(asked(tuner, "inspection", sheet(band=flat)))["band"]
    assert found["verdict"] == "replace" and "worn flat" in found["why"]
    assert found["mend"] == "A new O-ring under the same band would seal in this bore."
    # A new ring alone would do, so no band; mineral oil attacks EPDM, and nobody knows what the unknown one bears.
    assert [(one["part"], one["available"]) for one in found["replacements"]] == [("OR-222", 12)]
    assert found["replacements"][0]["drawers"] and found["replacements"][0]["age"] == "good"
    without_oil = {name: value for name, value in sheet(band=flat).items() if name != "oil"}
    assert items(asked(tuner, "inspection", without_oil))["band"]["replacements"] == []


def test_a_body_worn_beyond_every_new_part_says_so(tuner: Caller) -> None:
    wide = [{**one, "diameter_mm": 47.6} for one in READINGS]
    body = sheet(bore={**BORE, "readings": wide}, band={**ON_IT, "band_wear_radial_mm": 0})
    found = items(asked(tuner, "inspection", body))
    assert found["bore"]["verdict"] == found["band"]["verdict"] == "replace"
    assert found["band"]["mend"].endswith("the body is worn out.")


def test_held_and_over_age_rings_are_not_offered(tuner: Caller, storefront: Caller) -> None:
    """NBR of 2015-Q2 is past 7 + 3 years of ISO 2230."""
    stock("OR-222", lot="OLD", cure_date="2015-Q2")
    stock("OR-222", lot="NEW")
    stock("OR-222-B", cure_date="2021-Q1")
    stock("OR-222-C", cure_date="")
    ok(storefront.post("/holds", {"lines": [{"lot": "NEW", "quantity": 11}]}), 201)
    flat = {**ON_IT, "measured_od_mm": 45.98}
    found = items(asked(tuner, "inspection", sheet(band=flat)))["band"]
    shown = {one["part"]: (one["available"], one["age"]) for one in found["replacements"]}
    assert shown == {"OR-222": (1, "good"), "OR-222-B": (12, "inspect"), "OR-222-C": (12, "unknown")}
    Lot.objects.filter(number="L-OR-222-C").update(cure_date="0001-Q1")
    assert items(asked(tuner, "inspection", sheet(band=flat)))["band"]["replacements"]
    ok(storefront.post("/holds", {"lines": [{"lot": "NEW", "quantity": 1}]}), 201)
    found = items(asked(tuner, "inspection", sheet(band=flat)))["band"]
    assert {one["part"] for one in found["replacements"]} == {"OR-222-B", "OR-222-C"}


def test_the_seal_heads_ring_is_judged_on_the_shaft_that_was_read(tuner: Caller) -> None:
    found = items(asked(tuner, "inspection", sheet(seal=SEAL)))["seal"]
    assert found["inspected"]
    values = found["answer"]["values"]
    # By hand: -208 is 15.47 less 0.23 at its smallest, stretched by 4.86 % on 15.98; its section loses 0.56 + 0.59 s -
    # 0.0046 s^2 = 3.32 %; height (21.9 - 15.98)/2 = 2.96, and to one side (16.02 - 15.98)/2 = 0.02 more.
    assert values["squeeze_percent"]["min"] == pytest.approx(100 * (1 - 2.98 / (3.5 * (1 - 0.0332))), abs=0.02)
    assert "ring_reused" in {one["code"] for one in found["answer"]["findings"]}


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"bore": {**BORE, "readings": [{"depth_mm": 20, "angle_deg": 0}]}}, "bore.readings.0.diameter_mm"),
        ({"band": {"energiser": {"size": "P22"}, "measured_od_mm": 46}}, "band.energiser.size"),
        ({"seal": {**SEAL, "ring": {"size": "P22"}}}, "seal.ring.size"),
        ({"joint": {"shaft": {"thread": "M twelve"}}}, "joint.shaft.thread"),
        ({"bore": {**BORE, "band": {}}}, "bore.band"),
        ({"wheels": {}}, "wheels"),
    ],
)
def test_what_cannot_be_read_is_refused_at_its_path(tuner: Caller, change: Json, field: str) -> None:
    refused = problem(tuner.ask("/fit/inspection", sheet(**change)), 400, "invalid")
    assert fields(refused) == {field}


@pytest.mark.parametrize("part", ["bore", "band", "shaft"])
def test_a_part_left_out_is_never_reused(tuner: Caller, part: str) -> None:
    body = sheet()
    del body[part]
    assert items(asked(tuner, "inspection", body))[part]["verdict"] == "cannot_tell"


def test_a_groove_that_was_measured_is_there_whatever_the_model_says(tuner: Caller) -> None:
    saved_damper(damper_document(thread_relief=False, relief_diameter_mm=None))
    whole = items(asked(tuner, "inspection", {"damper": "HA-46"}))["joint"]["answer"]
    assert not {"thread_relief_unknown", "relief_diameter_unknown"} & {one["code"] for one in whole["findings"]}
    read = {"damper": "HA-46", "joint": {"shaft": {"relief_diameter_mm": 6.5}}}
    deep = items(asked(tuner, "inspection", read))["joint"]["answer"]
    assert "groove_wall_too_thin_to_judge" in {one["code"] for one in deep["findings"]}


def test_a_damper_model_tells_what_is_not_told_and_nothing_of_it_is_a_reading(tuner: Caller) -> None:
    """Limits and sizes of the model stand in; what was read on the damper goes before them."""
    limits = [limit("bore_max_mm", 46.08), limit("shaft_min_mm", 15.95), limit("runout_max_mm", 0.05)]
    model = {"shaft": {"diameter_mm": 16}, "band": {"groove_mm": 38.6, "energiser": {"size": "222"}}, "limits": limits}
    saved_damper({**damper_document(), **model})
    unread = items(asked(tuner, "inspection", {"damper": "HA-46"}))
    assert not any(one["inspected"] for one in unread.values())
    read = {
        "damper": "HA-46",
        "bore": {"readings": READINGS, **TRAVEL},
        "shaft": {"readings": SHAFT_READINGS, "surface": "ok", "travel_from_mm": 5, "travel_to_mm": 115},
    }
    found = items(asked(tuner, "inspection", {**read, "band": {"measured_od_mm": 47.1}}))
    assert found["bore"]["verdict"] == "reuse"
    assert found["bore"]["answer"]["values"]["limit_mm"]["nominal"] == 46.08
    assert found["shaft"]["verdict"] == "cannot_tell" and "run-out" in found["shaft"]["why"]
    assert found["band"]["answer"]["values"]["squeeze_percent"] is None
    told = {**read, "bore": {"readings": READINGS, **TRAVEL, "max_diameter_mm": 46.035}}
    assert items(asked(tuner, "inspection", told))["bore"]["verdict"] == "replace"
    problem(tuner.ask("/fit/inspection", {"damper": "NO-SUCH"}), 404, "not_found")


# What a sceptic found: nothing of it may come back.


def test_no_nut_is_offered_for_a_shaft_whose_thread_or_end_is_doubted(tuner: Caller) -> None:
    factories.stocked(factories.nut("M12x1.25", number="NU-12"), 4, lot="L-12")
    shaft, nut = JOINT["shaft"], {**JOINT["nut"], "gauged_pitch_mm": 1.5}
    wrong = {"shaft": shaft, "nut": nut}
    offered = items(asked(tuner, "inspection", {"joint": wrong}))["joint"]
    assert offered["verdict"] == "replace" and [one["part"] for one in offered["replacements"]] == ["NU-12"]
    for change in ({"gauged_pitch_mm": 1.5}, {"end_condition": "damaged"}, {"hand": None}, {"gauged_pitch_mm": None}):
        doubted = {"shaft": {**shaft, **change}, "nut": nut}
        assert items(asked(tuner, "inspection", {"joint": doubted}))["joint"]["replacements"] == []


def test_the_seal_heads_ring_is_replaced_only_by_rings_that_fit_its_groove_and_its_oil(tuner: Caller) -> None:
    sizes: dict[str, Any] = {"size": "208", "ring_id_mm": 15.47, "section_mm": 3.53}
    stock("OR-208", **sizes)
    stock("OR-208-E", **{**sizes, "compound": "EPDM"})
    stock("OR-210", size="210", ring_id_mm=18.64)
    swells = items(asked(tuner, "inspection", sheet(seal={**SEAL, "compound": "EPDM"})))["seal"]
    assert swells["verdict"] == "replace" and [one["part"] for one in swells["replacements"]] == ["OR-208"]


def test_a_band_is_never_reused_in_a_bore_that_is_not_read_for_sure(tuner: Caller) -> None:
    one = {"nominal_mm": 46, "readings": READINGS[:1]}
    found = items(asked(tuner, "inspection", sheet(bore=one)))["band"]
    assert found["verdict"] == "cannot_tell" and "bore_not_sure" in {f["code"] for f in found["answer"]["findings"]}
    slip = [*READINGS, {"depth_mm": 90, "angle_deg": 0, "diameter_mm": 64.05}]
    doubted = items(asked(tuner, "inspection", sheet(bore={**BORE, "readings": slip})))["band"]
    assert doubted["verdict"] == "cannot_tell" and doubted["mend"] is None


def test_a_seal_is_never_reused_on_a_shaft_that_is_unread_or_pitted(tuner: Caller) -> None:
    good = items(asked(tuner, "inspection", sheet(seal=SEAL)))["seal"]
    assert good["verdict"] == "reuse"
    assert "The ring is a used one" in good["why"]
    unread = sheet(seal=SEAL, shaft={"nominal_mm": 16, "surface": "ok"})
    assert items(asked(tuner, "inspection", unread))["seal"]["verdict"] == "cannot_tell"
    pitted = sheet(seal=SEAL, shaft={**SHAFT, "surface": "pitted"})
    assert items(asked(tuner, "inspection", pitted))["seal"]["verdict"] == "cannot_tell"
    other = sheet(seal={**SEAL, "section_mm": 2.62, "groove_mm": 20.4})
    found = items(asked(tuner, "inspection", other))["seal"]["answer"]["findings"]
    assert "section_contradicts_size" in {one["code"] for one in found}


def test_a_flat_energiser_does_not_condemn_the_body(tuner: Caller) -> None:
    body = sheet(bore={"nominal_mm": 46, "readings": READINGS, **TRAVEL}, band={**ON_IT, "measured_od_mm": 45.98})
    found = items(asked(tuner, "inspection", body))
    assert found["bore"]["verdict"] == "reuse" and found["band"]["verdict"] == "replace"


def test_a_wrong_groove_is_measured_again_before_the_body_is_given_up(tuner: Caller) -> None:
    for change in ({"groove_mm": 83}, {"groove_mm": 35, "measured_od_mm": 45.9}):
        found = items(asked(tuner, "inspection", sheet(band={**ON_IT, **change})))["band"]
        assert found["mend"] is None


def test_a_seal_head_is_offered_only_for_this_shaft_in_this_body(tuner: Caller) -> None:
    for number, shaft, body in (("HE-16-46", 16, 46), ("HE-16-50", 16, 50), ("HE-14-46", 14, 46)):
        head = factories.seal_head(number=number, shaft_mm=shaft, body_mm=body)
        factories.stocked(head, 2, lot=f"L-{number}")
    flat = {**SEAL, "section_mm": 2.95}
    heads = items(asked(tuner, "inspection", sheet(seal=flat)))["seal"]["replacements"]
    assert [one["part"] for one in heads] == ["HE-16-46"]
    for bore in ({}, {**BORE, "nominal_mm": {"min": 44, "max": 48}}):
        unknown = items(asked(tuner, "inspection", sheet(seal=flat, bore=bore)))["seal"]["replacements"]
        assert unknown == []


def test_a_band_is_offered_only_as_thick_and_as_wide_as_the_one_that_belongs_there(tuner: Caller) -> None:
    for number, thickness, width in (("BD-A", 0.95, 9.8), ("BD-B", 1.2, 9.8), ("BD-C", 0.95, 12.0)):
        band = factories.band(number=number, for_bore_mm=46, band_thickness_mm=thickness, width_mm=width)
        factories.stocked(band, 3, lot=f"L-{number}")
    thin = {**ON_IT, "band_wear_radial_mm": 0.6, "measured_od_mm": 45.98, "width_mm": 9.8}
    found = items(asked(tuner, "inspection", sheet(band=thin)))["band"]
    assert found["verdict"] == "replace"
    assert [one["part"] for one in found["replacements"] if one["kind"] == "band"] == ["BD-A"]


def test_a_ring_that_does_not_bear_the_cold_is_not_offered(tuner: Caller) -> None:
    """FKM in mineral oil stays elastic to -20 C, NBR to -30: seal makers' tables."""
    stock("OR-222")
    stock("OR-222-F", compound="FKM")
    flat = {**ON_IT, "measured_od_mm": 45.98}
    cold = sheet(band=flat, oil={**OIL, "coldest_c": -25})
    assert [one["part"] for one in items(asked(tuner, "inspection", cold))["band"]["replacements"]] == ["OR-222"]


@pytest.mark.parametrize("path", ["coldest_c", "pressure_bar", "temperature_c", "fluid"])
def test_a_seal_is_never_reused_where_what_it_meets_is_not_known(tuner: Caller, path: str) -> None:
    oil = {name: value for name, value in OIL.items() if name != path}
    assert items(asked(tuner, "inspection", sheet(seal=SEAL, oil=oil)))["seal"]["verdict"] == "cannot_tell"


@pytest.mark.parametrize("name", ["land_mm", "hardness_shore_a", "section_mm", "groove_mm", "width_mm"])
def test_a_seal_is_never_reused_without_one_of_its_readings(tuner: Caller, name: str) -> None:
    seal = {key: value for key, value in SEAL.items() if key != name}
    assert items(asked(tuner, "inspection", sheet(seal=seal)))["seal"]["verdict"] == "cannot_tell"
