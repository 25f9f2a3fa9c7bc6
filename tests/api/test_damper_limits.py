"""What a damper model tells of seals, wear and oil: kept as it was sent, and refused at the field that is wrong."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import override_settings

from tests.api.conftest import Caller, Json, damper_document, fields, limit, ok, problem, sealing
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


def sent(**changes: Any) -> Json:
    """A whole document."""
    return {**damper_document("SEAL"), **sealing(), **changes}


def exactly(value: float) -> Json:
    return {"min": value, "max": value, "nominal": value}


def test_band_shaft_seal_head_oil_and_limits_come_back_as_they_were_sent(tuner: Caller) -> None:
    made = ok(tuner.post("/dampers", sent()), 201)
    assert made == ok(tuner.get("/dampers/SEAL")) == next(tuner.walk("/dampers"))
    told = sealing()
    assert made["band"] == {
        "groove_mm": exactly(38.6),
        "band_thickness_mm": exactly(0.95),
        "energiser": {"size": "222"},
    }
    assert made["rod_gland"]["ring"] == {"id_mm": exactly(11.6), "section_mm": exactly(2.4)}
    assert {name: made[name] for name in ("shaft", "oil", "limits")} == {
        name: told[name] for name in ("shaft", "oil", "limits")
    }


def test_what_was_given_can_be_sent_back_and_is_the_same_afterwards(tuner: Caller) -> None:
    ok(tuner.post("/dampers", sent()), 201)
    read = tuner.get("/dampers/SEAL")
    body = {name: value for name, value in ok(read).items() if name != "revision"}
    edited = ok(tuner.put("/dampers/SEAL", body, If_Match=read["ETag"]))
    assert edited == {**ok(read), "revision": 2}


def test_a_model_that_tells_nothing_of_it_has_nothing_and_no_limits(tuner: Caller) -> None:
    made = ok(tuner.post("/dampers", damper_document("BARE")), 201)
    assert [made[name] for name in ("band", "shaft", "rod_gland", "oil")] == [None] * 4
    assert made["limits"] == []
    # Said to be nothing is the same as not said.
    nothing: Json = {**dict.fromkeys(sealing()), "limits": []}
    ok(tuner.put("/dampers/BARE", {**damper_document("BARE"), **nothing}, If_Match='"1"'))
    assert {**ok(tuner.get("/dampers/BARE")), "revision": 1} == made


def test_little_is_enough(tuner: Caller) -> None:
    little = {"band": {"energiser": {"id_mm": 37.7}}, "rod_gland": {"width_mm": 3.2}, "oil": {"fluid": "other"}}
    made = ok(tuner.post("/dampers", {**damper_document("FEW"), **little, "shaft": {}}), 201)
    assert made["band"] == {"energiser": {"id_mm": exactly(37.7)}}
    assert (made["shaft"], made["oil"]) == ({}, {"fluid": "other"})


def test_limits_stand_in_one_order_whatever_was_sent(tuner: Caller) -> None:
    made = ok(tuner.post("/dampers", sent(limits=sealing()["limits"][::-1])), 201)
    assert made["limits"] == sealing()["limits"]


LENGTHS = ("bore_max_mm", "shaft_min_mm", "runout_max_mm", "shim_play_max_mm")


@pytest.mark.parametrize("name", [*LENGTHS, "nut_torque_n_m"])
@pytest.mark.parametrize("value", [0, -0.1, 2001, True, "46", None])
def test_a_value_is_a_number_above_none(tuner: Caller, name: str, value: Any) -> None:
    body = problem(tuner.post("/dampers", sent(limits=[limit(name, value)])), 400, "invalid")
    assert fields(body) == {"limits.0.value"}


@pytest.mark.parametrize("name", LENGTHS)
def test_a_limit_that_is_a_length_has_at_most_three_decimals(tuner: Caller, name: str) -> None:
    body = problem(tuner.post("/dampers", sent(limits=[limit(name, 1.0001)])), 400, "invalid")
    assert fields(body) == {"limits.0.value"}
    assert "3 decimals" in body["errors"][0]["message"]


@pytest.mark.parametrize(("name", "most"), [("runout_max_mm", 20), ("shim_play_max_mm", 5), ("bore_max_mm", 1000)])
def test_a_limit_ends_where_it_must_be_a_slip_of_the_unit(tuner: Caller, name: str, most: float) -> None:
    body = problem(tuner.post("/dampers", sent(limits=[limit(name, most + 0.001)])), 400, "invalid")
    assert fields(body) == {"limits.0.value"} and body["errors"][0]["code"] == "out_of_range"
    ok(tuner.post("/dampers", sent(limits=[limit(name, most)])), 201)


def test_a_torque_may_have_more_decimals_and_not_be_next_to_nothing(tuner: Caller) -> None:
    body = problem(tuner.post("/dampers", sent(limits=[limit("nut_torque_n_m", 0.09)])), 400, "invalid")
    assert fields(body) == {"limits.0.value"}
    made = ok(tuner.post("/dampers", sent(limits=[limit("nut_torque_n_m", 33.89545)])), 201)
    assert made["limits"][0]["value"] == 33.89545


def test_a_limit_is_told_once(tuner: Caller) -> None:
    twice = [limit("bore_max_mm", 46.1), limit("shaft_min_mm", 11.9), limit("bore_max_mm", 46.2)]
    body = problem(tuner.post("/dampers", sent(limits=twice)), 400, "invalid")
    assert fields(body) == {"limits.2.limit"}


@pytest.mark.parametrize("field", ["limit", "value", "source", "on"])
def test_a_limit_needs_its_name_value_source_and_date(tuner: Caller, field: str) -> None:
    whole = limit("bore_max_mm", 46.1)
    del whole[field]
    body = problem(tuner.post("/dampers", sent(limits=[limit("shaft_min_mm", 11.9), whole])), 400, "invalid")
    assert fields(body) == {f"limits.1.{field}"}


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"limit": "bore_min_mm"}, "limit"),
        ({"limit": ""}, "limit"),
        ({"source": ""}, "source"),
        ({"source": "   "}, "source"),
        ({"source": "x" * 201}, "source"),
        ({"source": "=cmd()"}, "source"),
        ({"source": 3}, "source"),
        ({"on": "2026-13-01"}, "on"),
        ({"on": "1 May 2026"}, "on"),
        ({"on": "2026-05-01T00:00:00"}, "on"),
        ({"on": 20260501}, "on"),
        ({"on": "0026-05-01"}, "on"),
        ({"on": ""}, "on"),
        ({"on": None}, "on"),
        ({"unit": "mm"}, "unit"),
    ],
)
def test_a_limit_that_is_wrong_is_refused_at_its_field(tuner: Caller, changes: Json, field: str) -> None:
    body = problem(tuner.post("/dampers", sent(limits=[limit("bore_max_mm", 46.1, **changes)])), 400, "invalid")
    assert fields(body) == {f"limits.0.{field}"}


def test_a_source_may_have_two_hundred_signs(tuner: Caller) -> None:
    ok(tuner.post("/dampers", sent(limits=[limit("bore_max_mm", 46.1, source="x" * 200)])), 201)


def test_a_date_of_the_shops_today_is_taken_and_tomorrow_is_not(tuner: Caller, clock: HeldClock) -> None:
    clock.set(datetime(2030, 3, 4, 20, 0, tzinfo=UTC))
    with override_settings(TIME_ZONE="Asia/Tokyo"):
        # There it is already five in the morning of the fifth.
        body = problem(
            tuner.post("/dampers", sent(limits=[limit("bore_max_mm", 46.1, on="2030-03-06")])), 400, "invalid"
        )
        assert fields(body) == {"limits.0.on"}
        ok(tuner.post("/dampers", sent(limits=[limit("bore_max_mm", 46.1, on="2030-03-05")])), 201)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"band": {"energiser": {"size": "22"}}}, "band.energiser.size"),
        ({"band": {"energiser": {"size": "2222"}}}, "band.energiser.size"),
        ({"band": {"energiser": {"size": "-22"}}}, "band.energiser.size"),
        ({"band": {"energiser": {"size": "\u0662\u0662\u0662"}}}, "band.energiser.size"),
        ({"band": {"energiser": {"size": 222}}}, "band.energiser.size"),
        ({"band": {"energiser": {"size": "222", "id_mm": 37.7}}}, "band.energiser.size"),
        ({"band": {"energiser": {"section_mm": 51}}}, "band.energiser.section_mm"),
        ({"band": {"groove_mm": 0}}, "band.groove_mm"),
        ({"band": {"groove_mm": {"min": 39, "max": 38}}}, "band.groove_mm"),
        ({"band": {"band_thickness_mm": 0.95001}}, "band.band_thickness_mm"),
        ({"band": {"bore_mm": 46}}, "band.bore_mm"),
        ({"band": [1]}, "band"),
        ({"shaft": {"diameter_mm": -12}}, "shaft.diameter_mm"),
        ({"shaft": {"runout_mm": 0.1}}, "shaft.runout_mm"),
        ({"rod_gland": {"ring": {"size": "222", "section_mm": 3.5}}}, "rod_gland.ring.size"),
        ({"rod_gland": {"width_mm": "3.2"}}, "rod_gland.width_mm"),
        ({"rod_gland": {"depth_mm": 2}}, "rod_gland.depth_mm"),
        ({"oil": {"fluid": "water"}}, "oil.fluid"),
        ({"oil": {"hottest_c": 401}}, "oil.hottest_c"),
        ({"oil": {"hottest_c": -1}}, "oil.hottest_c"),
        ({"limits": {"bore_max_mm": 46.1}}, "limits"),
        ({"limits": [46.1]}, "limits.0"),
    ],
)
def test_a_size_that_is_wrong_is_refused_at_its_field(tuner: Caller, changes: Json, field: str) -> None:
    body = problem(tuner.post("/dampers", sent(**changes)), 400, "invalid")
    assert fields(body) == {field}
