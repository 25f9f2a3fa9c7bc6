"""Face shims and whole stacks over HTTP."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.conftest import (
    COMPRESSION,
    REBOUND,
    STACKS,
    Caller,
    Json,
    damper_document,
    fields,
    line,
    ok,
    problem,
    saved_damper,
)
from tests.api.fit import asked, codes, without

pytestmark = pytest.mark.django_db

FACE: Json = {
    "shim_od_mm": 38,
    "shim_bore_mm": 12,
    "shaft_mm": 12,
    "hub_mm": 20,
    "ports_inner_mm": 22,
    "ports_outer_mm": 36,
    "land_outer_mm": 39,
    "body_bore_mm": 46,
    "other_side_feed_inner_mm": 41,
    "overlap_mm": 0.5,
}
VALVE: Json = {name: value for name, value in damper_document()["valves"][0].items() if name != "code"}


# --- face shim


def test_a_face_shim_that_covers_its_ports_fits(storefront: Caller) -> None:
    answer = asked(storefront, "face-shim", FACE)
    assert answer["verdict"] == "fits"
    assert answer["values"]["outer_cover_mm"] == {"min": 1, "max": 1, "nominal": 1}
    assert answer["values"]["inner_cover_mm"] == {"min": 5, "max": 5, "nominal": 5}


def test_the_other_sides_face_shim_leaves_ports_open(storefront: Caller) -> None:
    """38 mm just covers side A, 34 mm on side A leaves ports open. Common practice, no published source."""
    answer = asked(storefront, "face-shim", {**FACE, "shim_od_mm": 34})
    assert answer["verdict"] == "does_not_fit"
    assert "ports_open_outside" in codes(answer, "stop")
    assert answer["values"]["outer_cover_mm"]["nominal"] == -1


def test_radial_play_is_counted(storefront: Caller) -> None:
    close = {**FACE, "shim_bore_mm": 12.2, "ports_outer_mm": 36.9}
    answer = asked(storefront, "face-shim", close)
    assert answer["values"]["radial_play_mm"]["nominal"] == 0.1
    assert answer["verdict"] != "fits"


@pytest.mark.parametrize("name", FACE)
def test_a_face_shim_never_fits_without_one_of_its_sizes(storefront: Caller, name: str) -> None:
    for body in (without(FACE, name), {**FACE, name: None}):
        answer = asked(storefront, "face-shim", body)
        assert answer["verdict"] == "cannot_tell"
        assert f"face_{name.removesuffix('_mm')}_unknown" in codes(answer, "measure")


def test_an_overlap_is_a_single_length(storefront: Caller) -> None:
    wrong = {**FACE, "overlap_mm": {"min": 0.1, "max": 0.2}}
    assert fields(problem(storefront.ask("/fit/face-shim", wrong), 400, "invalid")) == {"overlap_mm"}


def test_a_size_of_zero_is_refused_or_asked_about_and_never_a_server_error(storefront: Caller) -> None:
    for name in FACE:
        reply = storefront.ask("/fit/face-shim", {**FACE, name: 0})
        if name == "overlap_mm":
            assert ok(reply)["verdict"] == "fits"
        else:
            assert fields(problem(reply, 400, "invalid")) == {name}


# --- stack


def stack(**changes: Any) -> Json:
    return {**VALVE, "stacks": STACKS, **changes}


def test_a_sound_stack_on_a_damper_on_file_fits(storefront: Caller, damper: str) -> None:
    """Unmeasured shims carry the strip's tolerance; the lip of this damper leaves room for it."""
    wide = saved_damper(damper_document("WIDE", on_straight_mm=1.2, past_lip_mm=1.2))
    answer = asked(storefront, "stack", {"damper": wide, "stacks": STACKS})
    assert answer["verdict"] == "fits", answer["summary"]
    values = answer["values"]
    # 4 + 1.5 + 12 fixed; 2 x 0.2 + 0.1 + 2 x 0.15 + 0.2 + 0.3 and 2 x 0.2 + 0.1 + 0.15 + 0.15 + 0.3 of shims.
    assert values["fixed_mm"]["nominal"] == 17.5
    assert values["height_mm"]["nominal"] == 19.9
    assert values["height_mm"]["min"] < 19.9 < values["height_mm"]["max"]
    assert [gap["gap_mm"]["nominal"] for gap in values["crossovers"]] == [0.1, 0.1]
    assert {gap["side"] for gap in values["crossovers"]} == {"compression", "rebound"}
    assert [group["od_mm"] for group in values["groups"] if group["side"] == "rebound"] == [34, 22, 30, 26, 20]


def test_the_assembly_order_goes_from_the_shoulder_to_the_nut(storefront: Caller, damper: str) -> None:
    """The shoulder-side stack goes on reversed, clamp shim first. Common practice, no published source."""
    values = asked(storefront, "stack", {"damper": damper, "stacks": STACKS})["values"]
    diameters = [one["od_mm"] for one in values["assembly_order"] if one.get("od_mm")]
    assert diameters == [20, 28, 32, 22, 36, 34, 22, 30, 26, 20]


def test_a_stack_on_the_wrong_side_is_visible(storefront: Caller, damper: str) -> None:
    swapped = {"compression": REBOUND, "rebound": COMPRESSION}
    answer = asked(storefront, "stack", {"damper": damper, "stacks": swapped})
    assert answer["verdict"] == "does_not_fit"
    assert "ports_open_outside" in codes(answer, "stop")
    assert any(one["text"].startswith("Compression side: ") for one in answer["findings"])


def test_the_fields_of_a_valve_in_the_request_are_as_good_as_a_damper(storefront: Caller, damper: str) -> None:
    by_damper = asked(storefront, "stack", {"damper": damper, "stacks": STACKS})
    by_fields = asked(storefront, "stack", stack())
    assert by_fields["values"]["height_mm"] == by_damper["values"]["height_mm"]
    assert by_fields["values"]["cover"] == by_damper["values"]["cover"]
    # Only the damper on file knows its lip.
    assert by_fields["verdict"] == "cannot_tell"
    assert "shoulder_to_lip_unknown" in codes(by_fields, "measure")


def test_a_damper_or_the_fields_of_a_valve_and_not_both(storefront: Caller, damper: str) -> None:
    assert fields(problem(storefront.ask("/fit/stack", stack(damper=damper)), 400, "invalid")) == {"damper"}


def test_a_base_valve_has_no_lip_rule(storefront: Caller) -> None:
    one_side = {"sides": {"compression": VALVE["sides"]["compression"]}, "stacks": {"compression": COMPRESSION}}
    body = {name: value for name, value in stack(valve="base", **one_side).items() if name != "base_plates"}
    body["base_plates"] = {"compression": VALVE["base_plates"]["compression"]}
    answer = asked(storefront, "stack", body)
    assert answer["verdict"] == "fits", answer["summary"]
    assert not any("lip" in code for code in codes(answer))


@pytest.mark.parametrize(
    "path",
    ["piston_height_mm", "shaft_mm", "body_bore_mm", "overlap_mm", "base_plates", "sides", "sides.rebound"]
    + [f"sides.{side}.{name}" for side in ("compression", "rebound") for name in VALVE["sides"]["rebound"]]
    + ["base_plates.compression", "base_plates.rebound", "stacks.rebound", "stacks.compression"],
)
def test_a_stack_never_fits_when_something_of_its_valve_is_unknown(lead: Caller, path: str) -> None:
    """Of a damper that would fit otherwise."""
    full = damper_document("WIDE", on_straight_mm=1.2, past_lip_mm=1.2)
    stacks = STACKS
    lines = {side: [{**one, "bore_mm": 12} for one in lines] for side, lines in STACKS.items()}
    if path.startswith("stacks"):
        lines = {side: given for side, given in lines.items() if side != path.removeprefix("stacks.")}
    else:
        full = without(full, f"valves.0.{path}")
    saved_damper(full)
    del stacks
    answer = asked(lead, "stack", {"damper": "WIDE", "stacks": lines})
    assert answer["verdict"] == "cannot_tell", (path, answer["summary"])
    assert codes(answer, "measure")


@pytest.mark.parametrize("path", ["shoulder_to_lip_mm", "on_straight_mm", "past_lip_mm"])
def test_a_stack_never_fits_when_something_of_the_lip_is_unknown(lead: Caller, path: str) -> None:
    saved_damper(without(damper_document("WIDE", on_straight_mm=1.2, past_lip_mm=1.2), f"shaft_end.{path}"))
    assert asked(lead, "stack", {"damper": "WIDE", "stacks": STACKS})["verdict"] == "cannot_tell"


@pytest.mark.parametrize("form", ["ring", "polygon"])
def test_forms_that_cannot_be_judged_are_cannot_tell(lead: Caller, form: str) -> None:
    saved_damper(damper_document("WIDE", on_straight_mm=1.2, past_lip_mm=1.2))
    odd = [*COMPRESSION[:2], {**COMPRESSION[2], "form": form}, *COMPRESSION[3:]]
    answer = asked(lead, "stack", {"damper": "WIDE", "stacks": {**STACKS, "compression": odd}})
    assert answer["verdict"] == "cannot_tell"


def test_a_bore_of_another_shaft_is_stopped(lead: Caller, damper: str) -> None:
    odd = [*COMPRESSION[:2], {**COMPRESSION[2], "bore_mm": 10}, *COMPRESSION[3:]]
    answer = asked(lead, "stack", {"damper": damper, "stacks": {**STACKS, "compression": odd}})
    assert {"bores_of_two_shafts", "bore_under_shaft"} <= codes(answer, "stop")


def test_a_stack_too_tall_for_the_lip_is_stopped(lead: Caller, damper: str) -> None:
    tall = {**STACKS, "compression": [line(36, 0.3, 8), *COMPRESSION[1:]]}
    answer = asked(lead, "stack", {"damper": damper, "stacks": tall})
    assert answer["verdict"] == "does_not_fit"
    assert "stack_too_tall" in codes(answer, "stop")


def test_a_bore_that_nobody_states_is_asked_for_by_its_path(lead: Caller) -> None:
    body = {name: value for name, value in stack().items() if name != "shaft_mm"}
    refused = problem(lead.ask("/fit/stack", body), 400, "invalid")
    assert fields(refused) == {"stacks.compression.0.bore_mm"}


@pytest.mark.parametrize(
    ("changes", "status", "field"),
    [
        ({"damper": "NONE"}, 404, ""),
        ({"valve": "mid"}, 400, "valve"),
        ({"valve": "top"}, 400, "valve"),
        ({"stacks": {"compression": [line(10, 0.1)]}}, 400, "stacks.compression.0.od_mm"),
    ],
)
def test_what_the_damper_cannot_take_is_refused(
    lead: Caller, damper: str, changes: Json, status: int, field: str
) -> None:
    reply = lead.ask("/fit/stack", {"damper": damper, "stacks": STACKS, **changes})
    refused = problem(reply, status, "not_found" if status == 404 else "invalid")
    assert fields(refused) == ({field} if field else set())


def test_readings_that_contradict_each_other_are_a_refusal_or_a_question_and_never_a_server_error(lead: Caller) -> None:
    valve = {**VALVE, "sides": {"compression": {"ports_inner_mm": 40, "ports_outer_mm": 30}, "rebound": {}}}
    assert asked(lead, "stack", {**valve, "stacks": STACKS})["verdict"] != "fits"
    zero = {**VALVE, "base_plates": {"compression": {"height_mm": 0}, "rebound": {"height_mm": 0}}}
    reply = lead.ask("/fit/stack", {**zero, "stacks": STACKS})
    assert reply.status_code in (200, 400), reply.content
