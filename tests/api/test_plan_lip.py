"""The lip and the other parts of a plan: spacers, readings, what the bench must confirm, and the nut."""

from __future__ import annotations

from typing import Any

import pytest

from tests import factories
from tests.api.conftest import (
    COMPRESSION,
    REBOUND,
    STACKS,
    Caller,
    Json,
    damper_document,
    fields,
    lay_in,
    problem,
    saved_damper,
)
from tests.api.fit import codes
from tests.api.test_plans import at, drawn, planned

pytestmark = pytest.mark.django_db

LIP: Json = {"shoulder_to_lip_mm": 22.0, "on_straight_mm": 1.8, "past_lip_mm": 1.8}


# --- the lip


def test_a_spacer_from_the_shelf_brings_the_plate_over_the_lip(tuner: Caller, shelf: str) -> None:
    """The lip is 0.4 mm further out than the model says: 0.3 to 0.7 mm are needed, less the shims' own spread."""
    plan = planned(tuner, readings={**LIP, "shoulder_to_lip_mm": 22.4})
    spacer = plan["spacer"]
    assert plan["verdict"] == "fits" and plan["complete"] is True
    assert spacer["total_mm"] == 0.5
    assert 0.3 <= spacer["add_mm"]["min"] < 0.5 < spacer["add_mm"]["max"] <= 0.7
    assert all(20 < one["od_mm"] <= 28 for one in spacer["lines"])
    assert "measure_spacer" in {one["code"] for one in plan["to_confirm"]}


def test_stacks_and_spacer_never_promise_a_piece_twice(tuner: Caller, damper: str) -> None:
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in [*COMPRESSION, *REBOUND]}.values(), pieces=2)
    plan = planned(tuner, readings={**LIP, "shoulder_to_lip_mm": 22.4})
    assert plan["spacer"]["total_mm"] > 0
    assert max(drawn(plan).values()) <= 2


def test_a_spacer_that_cannot_be_made_leaves_the_plan_open(tuner: Caller, damper: str) -> None:
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in [*COMPRESSION, *REBOUND]}.values(), pieces=2)
    plan = planned(tuner, readings={**LIP, "shoulder_to_lip_mm": 24})
    assert (plan["spacer"]["lines"], plan["spacer"]["reason"]) == ([], "no_such_shims")
    assert plan["complete"] is False
    assert plan["verdict"] != "fits"
    assert "spacer_not_found" in codes(plan["answer"])


def with_contact(tuner: Caller, contact_mm: Any) -> Json:
    """The plan that needs a spacer, on a model whose rebound base plate has that contact diameter."""
    document = damper_document("SMALL")
    document["valves"][0]["base_plates"]["rebound"]["contact_diameter_mm"] = contact_mm
    saved_damper(document)
    return planned(tuner, damper="SMALL", readings={**LIP, "shoulder_to_lip_mm": 22.4})


def test_a_clamp_that_leaves_no_diameter_for_a_spacer_is_said_and_not_that_the_shelf_lacks_one(
    tuner: Caller, shelf: str
) -> None:
    """The clamp shim of the rebound stack is 20 mm."""
    plan = with_contact(tuner, 20)
    assert "spacer_not_found" not in codes(plan["answer"])
    assert codes(plan["answer"], "stop") == {"clamp_reaches_contact"}
    assert (plan["verdict"], plan["complete"]) == ("does_not_fit", False)


def test_a_contact_diameter_that_may_leave_room_is_to_be_measured(tuner: Caller, shelf: str) -> None:
    plan = with_contact(tuner, {"min": 19.9, "max": 20.5, "nominal": 20.2})
    assert "clamp_reaches_contact" in codes(plan["answer"], "measure")
    assert plan["verdict"] == "cannot_tell"


def test_a_spacer_that_was_not_wanted_is_said(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner, spacer=False, readings={**LIP, "shoulder_to_lip_mm": 22.4})
    assert plan["spacer"] is None
    assert "spacer_not_asked" in codes(plan["answer"], "warn")


def test_a_plan_whose_plate_straddles_anyway_is_not_said_to_lack_a_spacer(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner, spacer=False, readings=LIP)
    assert "spacer_not_asked" not in codes(plan["answer"])


def test_a_stack_too_tall_does_not_fit(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner, readings={**LIP, "shoulder_to_lip_mm": 21.5})
    assert plan["verdict"] == "does_not_fit"
    assert "stack_too_tall" in codes(plan["answer"], "stop")
    assert plan["spacer"]["reason"] == "too_tall"


def test_readings_of_this_damper_count_before_the_models_sizes_and_their_absence_is_said(
    tuner: Caller, shelf: str
) -> None:
    def said(**request: Any) -> str:
        """The sizes that the plan says were not read."""
        found = planned(tuner, **request)["answer"]["findings"]
        return str(next((one["data"]["sizes"] for one in found if one["code"] == "lip_from_model"), ""))

    assert said() == "shoulder to lip, rebound base plate, piston height"
    assert said(readings={"shoulder_to_lip_mm": 22}) == "rebound base plate, piston height"
    assert said(readings={"shoulder_to_lip_mm": 22, "base_plate_mm": 4, "piston_height_mm": 12}) == ""
    tall = planned(tuner, readings={"piston_height_mm": 12.5})
    assert tall["answer"]["values"]["main"]["fixed_mm"]["nominal"] == 18


@pytest.mark.parametrize("name", ["on_straight_mm", "past_lip_mm"])
def test_readings_in_whole_numbers_mean_millimetres(tuner: Caller, shelf: str, name: str) -> None:
    """2 mm as a reading and 2.0 mm on file are one length: a plate of 4 mm is just thick enough for both."""
    whole = planned(tuner, readings={**LIP, "on_straight_mm": 1.8, "past_lip_mm": 1.8, name: 2})
    point = planned(tuner, readings={**LIP, "on_straight_mm": 1.8, "past_lip_mm": 1.8, name: 2.0})
    assert whole["answer"] == point["answer"]
    assert not {"base_plate_too_thin", "base_plate_may_be_thin"} & codes(whole["answer"])


@pytest.mark.parametrize("missing", ["shoulder_to_lip_mm", "on_straight_mm", "past_lip_mm"])
def test_an_unknown_lip_is_cannot_tell_and_the_pieces_are_still_found(tuner: Caller, shelf: str, missing: str) -> None:
    saved_damper(damper_document("OPEN", **{missing: None}))
    plan = planned(tuner, damper="OPEN")
    assert plan["verdict"] == "cannot_tell"
    assert plan["missing"] == 0 and plan["spacer"] is None
    assert codes(plan["answer"], "measure")


def test_the_readings_that_only_the_bench_can_take_are_listed(tuner: Caller, shelf: str) -> None:
    def listed(**request: Any) -> list[str]:
        found = planned(tuner, **request)["to_confirm"]
        assert all(set(one) == {"code", "text"} and one["text"] for one in found)
        return [one["code"] for one in found]

    pitches = ["gauge_shaft_pitch", "gauge_nut_pitch"]
    joint = [*pitches, "read_shaft_crest", "read_nut_crest", "see_shaft_end", "see_nut_new", "measure_nut"]
    assert listed() == [*joint, "measure_lip", "measure_base_plate", "see_straddle"]
    assert listed(readings=LIP) == [*joint, "measure_base_plate", "see_straddle"]
    assert listed(readings={**LIP, "base_plate_mm": 4.0}) == [*joint, "see_straddle"]
    assert listed(readings={**LIP, "base_plate_mm": 4.0}, nut=False) == [*pitches, "see_straddle"]


# --- other parts


def test_the_right_nut_is_planned_with_the_stack(tuner: Caller, shelf: str) -> None:
    factories.stocked(factories.nut("M12x1.25", number="NUT"), 5, lot="L-NUT", drawer="N-1")
    plan = planned(tuner, also=[{"part": "NUT", "quantity": 2}])
    assert plan["verdict"] == "fits" and plan["complete"] is True
    assert plan["also"][0]["missing"] == 0
    lot = plan["also"][0]["lots"][0]
    assert (lot["lot"], lot["drawer"], lot["quantity"]) == ("L-NUT", "N-1", 2)


@pytest.mark.parametrize("nut", [{"thread": "M12x1.5"}, {"hand": "left"}, {"thread": "1/2-20 UNF"}])
def test_a_nut_of_another_thread_stops_the_plan_and_nothing_is_held_for_it(
    tuner: Caller, shelf: str, nut: Json
) -> None:
    factories.stocked(factories.nut(number="NUT", **nut), 5)
    plan = planned(tuner, also=[{"part": "NUT", "quantity": 1}])
    assert plan["verdict"] == "does_not_fit"
    assert codes(plan["answer"], "stop") == {"nut_is_another"}
    problem(tuner.post(f"/plans/{plan['plan']}/hold", {}), 409, "plan_does_not_fit")
    assert all(row["held"] == 0 for row in tuner.walk("/parts"))


@pytest.mark.parametrize("thread", [None, "nonsense", "M12 fine", "12"])
def test_a_nut_that_cannot_be_compared_with_the_shaft_never_fits(tuner: Caller, shelf: str, thread: str | None) -> None:
    saved_damper(damper_document("BLANK", thread=thread))
    factories.stocked(factories.nut(number="NUT"), 5)
    plan = planned(tuner, damper="BLANK", also=[{"part": "NUT", "quantity": 1}])
    assert plan["verdict"] != "fits"


def test_a_nut_of_the_right_thread_on_a_shaft_of_unknown_hand_never_fits(tuner: Caller, shelf: str) -> None:
    saved_damper(damper_document("BLANK", hand=None))
    factories.stocked(factories.nut(number="NUT"), 5)
    assert planned(tuner, damper="BLANK", also=[{"part": "NUT", "quantity": 1}])["verdict"] != "fits"


def test_a_shim_asked_for_twice_over_is_shared_and_not_promised_twice(tuner: Caller, shelf: str) -> None:
    number = at(planned(tuner), "main.compression.1")["lots"][0]["part"]
    plan = planned(tuner, also=[{"part": number, "quantity": 9}])
    assert plan["missing"] == 1
    assert drawn(plan)[next(lot["lot"] for lot in plan["also"][0]["lots"])] == 10


def test_an_unknown_part_is_named_by_its_path(tuner: Caller, shelf: str) -> None:
    also = [{"part": "NONE", "quantity": 1}]
    body = problem(tuner.ask("/plans", {"damper": shelf, "stacks": STACKS, "also": also}), 400, "invalid")
    assert fields(body) == {"also.0.part"}


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("piston_height_mm", 1.2),
        ("diameter_mm", 10.0),
        ("diameter_mm", 12.5),
        ("base_plate_mm", 9),
        ("shoulder_to_lip_mm", 220),
        ("on_straight_mm", 0),
    ],
)
def test_a_reading_far_from_the_models_size_is_asked_about_and_never_fits(
    tuner: Caller, shelf: str, name: str, value: float
) -> None:
    plan = planned(tuner, readings={**LIP, name: value})
    assert plan["verdict"] != "fits"
    asked = [one for one in plan["answer"]["findings"] if one["code"] == "reading_far_off"]
    assert [one["data"]["name"] for one in asked] == [name] and asked[0]["measure"] is True
