"""Force against lift over HTTP."""

from __future__ import annotations

from typing import Any

import pytest

from tests import factories
from tests.api.conftest import STACKS, Caller, Json, damper_document, fields, line, ok, problem, saved_damper
from tests.api.fit import asked, codes, without

pytestmark = pytest.mark.django_db

# Regression values in MPa at LIFTS. Source: the contact model computed by four methods that agree to 6e-4; see
# tests/engineering/test_bending_stacks.py.
LIFTS = [0.05, 0.1, 0.3, 0.8]
CLAMP = line(20, 0.3)
CURVES = [
    ([line(40, 0.2), CLAMP], (10, 10), (12, 18), [0.01079, 0.02159, 0.06477, 0.17271]),
    ([line(40, 0.2, 5), CLAMP], (10, 10), (12, 18), [0.05397, 0.10795, 0.32384, 0.86357]),
    ([line(40, 0.2), line(30, 0.2), CLAMP], (10, 10), (12, 18), [0.01992, 0.03984, 0.11952, 0.31873]),
    ([line(40, 0.2), line(34, 0.2), line(28, 0.2), CLAMP], (10, 10), (12, 18), [0.02915, 0.05829, 0.17488, 0.46634]),
    (
        [line(40, 0.15, 3), line(24, 0.1), line(38, 0.2, 2), line(34, 0.2), line(30, 0.2), line(26, 0.2), CLAMP],
        (11, 10),
        (12, 17.5),
        [0.03023, 0.06045, 0.32598, 1.09010],
    ),
]
TWO_STAGE = CURVES[-1][0]


def body(stack: Any = TWO_STAGE, **changes: Any) -> Json:
    pressure = {"inner_radius_mm": 12, "outer_radius_mm": 17.5, "open_fraction": 1}
    told = {"hub_radius_mm": 11, "base_radius_mm": 10, "pressure": pressure, "edge_slip": 0, "preload": None}
    return bored({"stack": stack, **told, **changes})


def bored(sent: Json) -> Json:
    """The same with the bore of every shim."""
    return {**sent, "stack": [{"bore_mm": 12, **one} for one in sent["stack"]]}


@pytest.mark.parametrize(("stack", "mount", "ring", "pressures"), CURVES)
def test_pressures_at_lifts(storefront: Caller, stack: Any, mount: Any, ring: Any, pressures: list[float]) -> None:
    pressure = {"inner_radius_mm": ring[0], "outer_radius_mm": ring[1], "open_fraction": 1}
    sent = body(stack, hub_radius_mm=mount[0], base_radius_mm=mount[1], pressure=pressure, lifts_mm=LIFTS)
    answer = asked(storefront, "stack-curve", sent)
    rows = answer["values"]["curve"]
    assert [row["lift_mm"] for row in rows] == LIFTS
    assert [row["pressure_mpa"] for row in rows] == pytest.approx(pressures, rel=5e-3)
    # 0.8 mm is far beyond one and a half thicknesses: the number stays, the verdict does not
    assert answer["verdict"] == "cannot_tell"
    assert {"lift_beyond_plates"} <= codes(answer, "measure") <= {"lift_beyond_plates", "stress_may_yield"}
    assert [row["in_range"] for row in rows] == [True, True, rows[2]["in_range"], False]
    assert rows[3]["force_max_n"] is None


def test_the_usual_lifts_lie_inside_the_range(storefront: Caller) -> None:
    answer = asked(storefront, "stack-curve", body())
    assert answer["verdict"] == "fits"
    values = answer["values"]
    assert values["most_lift_mm"] == 0.225
    # the thinnest possible 0.15 is 0.135 mm (ISO 9445-1): it may be bent by one and a half of that
    assert [row["lift_mm"] for row in values["curve"]][-1] == pytest.approx(1.5 * 0.135, rel=1e-3)
    assert values["gap_closes_at_mm"] == pytest.approx(0.1457, abs=2e-4)
    assert values["crossovers"][0]["closes_at_mm"] == values["gap_closes_at_mm"]
    assert values["dominated_by"] == "thickness"
    for row in values["curve"]:
        assert row["force_min_n"] < row["force_n"] < row["force_max_n"]
        assert row["force_n"] == pytest.approx(row["pressure_mpa"] * 3.14159265 * (17.5**2 - 12**2), rel=1e-3)


def test_an_unknown_open_fraction_leaves_forces_out(storefront: Caller) -> None:
    answer = asked(storefront, "stack-curve", without(body(), "pressure.open_fraction"))
    assert codes(answer, "measure") == {"open_fraction_unknown"}
    rows = answer["values"]["curve"]
    assert all(row["force_n"] is None for row in rows)
    assert rows[-1]["share_of_last"] == 1


def test_half_open_ports_need_twice_the_pressure_for_the_same_force(storefront: Caller) -> None:
    half = body()
    half["pressure"] = {**half["pressure"], "open_fraction": 0.5}
    rows, open_rows = (asked(storefront, "stack-curve", sent)["values"]["curve"] for sent in (half, body()))
    assert rows[3]["pressure_mpa"] == pytest.approx(2 * open_rows[3]["pressure_mpa"], rel=1e-3)
    assert rows[3]["force_n"] == open_rows[3]["force_n"]


def test_the_mount_of_a_damper_on_file(tuner: Caller) -> None:
    code = saved_damper(damper_document("CURVED"))
    answer = asked(tuner, "stack-curve", {"damper": code, "side": "rebound", "stack": STACKS["rebound"]})
    assert answer["values"]["curve"]
    assert "open_fraction_unknown" in codes(answer, "measure")


def test_a_damper_without_the_sizes_asks_for_them(tuner: Caller) -> None:
    document = damper_document("BARE")
    del document["valves"][0]["sides"]["rebound"]["hub_mm"]
    code = saved_damper(document)
    answer = asked(tuner, "stack-curve", {"damper": code, "side": "rebound", "stack": STACKS["rebound"]})
    assert answer["verdict"] == "cannot_tell"
    assert codes(answer) == {"curve_hub_unknown"}
    assert answer["values"] == {}


def test_a_measured_lot_narrows_the_band(tuner: Caller) -> None:
    lot = factories.stocked(factories.shim(40, 0.2), 20, readings_um=(200, 200, 201))
    wide, narrow = (
        asked(tuner, "stack-curve", body([{**line(40, 0.2), **named}, CLAMP]))["values"]["scatter"]
        for named in ({}, {"lot": lot.lot.number})
    )
    assert narrow["high_percent"] < wide["high_percent"] / 3


def test_a_storefront_does_not_name_lots(storefront: Caller) -> None:
    reply = storefront.ask("/fit/stack-curve", body([{**line(40, 0.2), "lot": "L-1"}, CLAMP]))
    assert fields(problem(reply, 400, "invalid")) == {"stack"}


def test_a_seat_that_stands_proud_opens_at_a_pressure(storefront: Caller) -> None:
    sent = body([line(40, 0.2), CLAMP], preload={"radius_mm": 18, "height_mm": 0.1}, lifts_mm=[0.05, 0.1])
    values = asked(storefront, "stack-curve", sent)["values"]
    assert values["opens_at_mpa"] > 0
    assert values["curve"][0]["pressure_mpa"] > values["opens_at_mpa"]


REFUSED = [
    ({"stack": [line(20, 0.2), CLAMP]}, "clamp_reaches_face"),
    ({"pressure": {"inner_radius_mm": 12, "outer_radius_mm": 21}}, "ring_beyond_face"),
    ({"pressure": {"inner_radius_mm": 5, "outer_radius_mm": 9}}, "ring_inside_clamp"),
    ({"preload": {"radius_mm": 25, "height_mm": 0.1}}, "seat_beside_face"),
    ({"stack": [{**line(40, 0.2), "form": "ring"}, CLAMP]}, "curve_not_round"),
    ({"stack": [{**line(40, 0.2), "form": "polygon"}, CLAMP]}, "curve_not_round"),
    ({"stack": [{**line(40, 0.2), "bore_mm": 22}, CLAMP]}, "clamp_inside_bore"),
    (
        {"stack": [line(40, 0.2), line(24, 0.15), CLAMP], "base_radius_mm": 20, "lifts_mm": [0.1, 0.9]},
        "lift_beyond_stop",
    ),
]


@pytest.mark.parametrize(("changes", "code"), REFUSED)
def test_outside_the_model_it_cannot_tell(storefront: Caller, changes: Json, code: str) -> None:
    answer = asked(storefront, "stack-curve", body(**changes))
    assert answer["verdict"] == "cannot_tell"
    assert code in codes(answer, "measure")


MALFORMED = [
    ({"stack": []}, "stack"),
    ({"stack": [line(40, 0.1, 150), line(38, 0.1, 60)]}, "stack"),
    ({"stack": [{**line(24, 0.1), "bore_mm": 24}]}, "stack.0.bore_mm"),
    ({"lifts_mm": []}, "lifts_mm"),
    ({"lifts_mm": [0]}, "lifts_mm.0"),
    ({"lifts_mm": [0.2, 0.1]}, "lifts_mm"),
    ({"lifts_mm": [100]}, "lifts_mm.0"),
    ({"youngs_gpa": 206_000}, "youngs_gpa"),
    ({"pressure": {"inner_radius_mm": 15, "outer_radius_mm": 15}}, "pressure.outer_radius_mm"),
    ({"damper": "HA-46"}, "side"),
    ({"hub_radius_mm": 0}, "hub_radius_mm"),
]


@pytest.mark.parametrize(("changes", "field"), MALFORMED)
def test_what_is_malformed_is_refused_by_field(storefront: Caller, changes: Json, field: str) -> None:
    assert field in fields(problem(storefront.ask("/fit/stack-curve", body(**changes)), 400, "invalid"))


def test_without_a_damper_the_mount_is_required(storefront: Caller) -> None:
    reply = storefront.ask("/fit/stack-curve", {"stack": TWO_STAGE})
    assert fields(problem(reply, 400, "invalid")) == {"hub_radius_mm", "base_radius_mm", "pressure"}


def test_a_damper_model_may_state_its_open_fraction(lead: Caller) -> None:
    document = damper_document("OPEN")
    document["valves"][0]["sides"]["rebound"]["open_fraction"] = 0.6
    ok(lead.post("/dampers", document), 201)
    answer = asked(lead, "stack-curve", {"damper": "OPEN", "side": "rebound", "stack": STACKS["rebound"]})
    assert "open_fraction_unknown" not in codes(answer)
    assert answer["values"]["curve"][0]["force_n"] > 0


def test_a_measured_curve_is_explained_and_its_numbers_give_it_back(lead: Caller) -> None:
    lifts = [0.03, 0.06, 0.1, 0.15, 0.2]
    rows = asked(lead, "stack-curve", body(lifts_mm=lifts, youngs_gpa=198, edge_slip=0.4))["values"]["curve"]
    points = [{"lift_mm": row["lift_mm"], "force_n": row["force_n"]} for row in rows]
    answer = asked(lead, "curve-calibration", {**without(body(), "edge_slip"), "points": points})
    assert answer["verdict"] == "fits"
    found = answer["values"]
    assert found["rms_percent"] < 0.2
    fitted = body(lifts_mm=lifts, youngs_gpa=found["youngs_gpa"], edge_slip=found["edge_slip"])
    again = asked(lead, "stack-curve", fitted)["values"]["curve"]
    assert [row["force_n"] for row in again] == pytest.approx([row["force_n"] for row in rows], rel=5e-3)


def test_points_of_another_stack_are_not_explained(lead: Caller) -> None:
    points = [{"lift_mm": lift, "force_n": 3000 * lift**2} for lift in (0.05, 0.1, 0.2)]
    answer = asked(lead, "curve-calibration", {**without(body(), "edge_slip"), "points": points})
    assert answer["verdict"] == "cannot_tell"
    assert "calibration_poor" in codes(answer, "measure")


@pytest.mark.parametrize(
    "points",
    [
        [],
        [{"lift_mm": 0.1, "force_n": 1}, {"lift_mm": 0.2, "force_n": 2}],
        [{"lift_mm": lift, "force_n": 1} for lift in (0.1, 0.3, 0.2)],
        [{"lift_mm": lift, "force_n": -1} for lift in (0.1, 0.2, 0.3)],
    ],
)
def test_points_that_make_no_curve_are_refused(lead: Caller, points: Any) -> None:
    reply = lead.ask("/fit/curve-calibration", {**without(body(), "edge_slip"), "points": points})
    assert any(field.startswith("points") for field in fields(problem(reply, 400, "invalid")))


# --- what a reviewer found


STOPPED = {
    "stack": [line(30, 0.2, 3, bore_mm=8), line(12, 0.1, bore_mm=8)],
    "hub_radius_mm": 6,
    "base_radius_mm": 15,
    "pressure": {"inner_radius_mm": 8, "outer_radius_mm": 14.5, "open_fraction": 0.5},
    "preload": None,
}


def test_a_band_that_ends_at_the_stop_has_no_upper_end_there(storefront: Caller) -> None:
    """The stiff corner rests on its stop before the nominal stack does: no number rather than no JSON."""
    answer = asked(storefront, "stack-curve", {**STOPPED, "lifts_mm": [0.05, 0.098]})
    last = answer["values"]["curve"][-1]
    assert last["force_n"] > 0 and last["force_max_n"] is None
    assert codes(answer, "measure") == {"lift_beyond_stop"}


def test_a_stack_that_cannot_lift_says_so(storefront: Caller) -> None:
    sent = {**STOPPED, "stack": [line(30, 0.2, 3, bore_mm=8)]}
    answer = asked(storefront, "stack-curve", sent)
    assert codes(answer, "measure") == {"stack_on_stop"}


def test_a_told_size_stands_in_for_one_that_the_model_lacks(tuner: Caller) -> None:
    document = damper_document("NO-HUB")
    del document["valves"][0]["sides"]["rebound"]["hub_mm"]
    document["valves"][0]["sides"]["rebound"]["open_fraction"] = 0.5
    sent = {"damper": saved_damper(document), "side": "rebound", "stack": STACKS["rebound"], "hub_radius_mm": 9}
    answer = asked(tuner, "stack-curve", sent)
    assert codes(answer, "measure") == set()
    assert answer["values"]["curve"][0]["force_n"] > 0


def test_the_open_part_on_file_says_nothing_of_a_ring_that_is_told(tuner: Caller) -> None:
    document = damper_document("OWN-RING")
    document["valves"][0]["sides"]["rebound"]["open_fraction"] = 0.5
    ring = {"inner_radius_mm": 11.5, "outer_radius_mm": 14}
    sent = {"damper": saved_damper(document), "side": "rebound", "stack": STACKS["rebound"], "pressure": ring}
    assert "open_fraction_unknown" in codes(asked(tuner, "stack-curve", sent), "measure")


def test_a_mid_valve_has_no_curve(tuner: Caller) -> None:
    document = damper_document("MID")
    document["valves"].append({**document["valves"][0], "code": "mid"})
    sent = {"damper": saved_damper(document), "valve": "mid", "side": "rebound", "stack": STACKS["rebound"]}
    answer = asked(tuner, "stack-curve", sent)
    assert (codes(answer, "measure"), answer["values"]) == ({"curve_of_floating"}, {})


# --- the corner law: what is open or untold never makes an answer better

THICK = bored({"stack": [line(30, 1.0), line(24, 0.3)]})["stack"]


def thick(**changes: Any) -> Json:
    """A shim of 1 mm on a short span: by its own limit of plates it could be lifted to several times its strength."""
    ring = {"inner_radius_mm": 12.5, "outer_radius_mm": 14.5, "open_fraction": 1}
    return body(THICK, hub_radius_mm=12, base_radius_mm=12, pressure=ring, **changes)


def test_the_usual_lifts_end_before_a_shim_may_yield(storefront: Caller) -> None:
    """1200 MPa is the least of spring strip, from memory: 1200-1700."""
    answer = asked(storefront, "stack-curve", thick())
    values = answer["values"]
    assert (answer["verdict"], values["yield_mpa"]) == ("fits", {"min": 1200, "max": 1700, "nominal": 1450})
    assert values["peak_stress_band_mpa"]["max"] == pytest.approx(1200, rel=0.01)
    assert values["peak_stress_band_mpa"]["min"] <= values["peak_stress_mpa"] <= values["peak_stress_band_mpa"]["max"]
    assert values["curve"][-1]["lift_mm"] < values["most_lift_mm"] / 3
    assert "curve_ends_at_yield" in codes(answer, "note")


def test_lifts_past_the_strength_are_no_numbers_to_trust(storefront: Caller) -> None:
    ends = asked(storefront, "stack-curve", thick())["values"]["curve"][-1]["lift_mm"]
    perhaps = asked(storefront, "stack-curve", thick(lifts_mm=[round(ends / 2, 3), round(ends * 1.3, 3)]))
    assert (perhaps["verdict"], codes(perhaps, "measure")) == ("cannot_tell", {"stress_may_yield"})
    below, beyond = perhaps["values"]["curve"]
    assert (below["in_range"], beyond["in_range"]) == (True, False)
    assert below["force_min_n"] > 0 and (beyond["force_min_n"], beyond["low_percent"]) == (None, None)
    assert perhaps["values"]["may_yield_at_mm"] == pytest.approx(ends, rel=0.05)
    surely = asked(storefront, "stack-curve", thick(lifts_mm=[round(ends / 2, 3), round(ends * 4, 3)]))
    assert (surely["verdict"], codes(surely, "stop")) == ("does_not_fit", {"stress_past_yield"})
    assert surely["values"]["yields_at_mm"] > surely["values"]["may_yield_at_mm"]


def test_a_known_strip_narrows_the_strength_and_an_odd_one_is_asked_about(storefront: Caller) -> None:
    known, weaker = (asked(storefront, "stack-curve", thick(**told)) for told in ({"yield_mpa": 1600}, {}))
    assert known["values"]["curve"][-1]["lift_mm"] > weaker["values"]["curve"][-1]["lift_mm"]
    for odd in ({"yield_mpa": 900}, {"youngs_gpa": 120}, {"poisson": 0.45}):
        (code,) = codes(asked(storefront, "stack-curve", thick(**odd)), "measure")
        assert code.endswith("_unusual")


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"hub_radius_mm": {"min": 9.5, "max": 9.9}}, "hub"),
        ({"base_radius_mm": {"min": 9.7, "max": 10.0}}, "base"),
        ({"pressure": {"inner_radius_mm": 12, "outer_radius_mm": {"min": 17, "max": 18}, "open_fraction": 1}}, "ports"),
        ({"preload": {"radius_mm": 18.5, "height_mm": {"min": 0.01, "max": 0.04}}}, "seat"),
    ],
)
def test_a_size_that_is_a_range_opens_the_band(storefront: Caller, change: Json, what: str) -> None:
    def middle(value: Any) -> Any:
        if isinstance(value, dict):
            if "min" in value:
                return round((value["min"] + value["max"]) / 2, 4)
            return {name: middle(inner) for name, inner in value.items()}
        return value

    lifts = {"lifts_mm": [0.02, 0.08]}
    wide, narrow = (asked(storefront, "stack-curve", body(**one, **lifts)) for one in (change, middle(change)))
    assert what in {one["what"] for one in wide["values"]["open_by"]}
    assert what not in {one["what"] for one in narrow["values"]["open_by"]}
    for opened, known in zip(wide["values"]["curve"], narrow["values"]["curve"], strict=True):
        assert opened["force_n"] == known["force_n"]
        assert opened["force_min_n"] < known["force_min_n"] < known["force_max_n"] < opened["force_max_n"]


def test_the_band_holds_the_oil_beside_the_ports_and_the_steel(storefront: Caller) -> None:
    values = asked(storefront, "stack-curve", body())["values"]
    by = {one["what"]: one for one in values["open_by"]}
    # E of spring strip, 180 to 220 GPa, from memory: force goes with it exactly
    assert (by["steel"]["low_percent"], by["steel"]["high_percent"]) == pytest.approx((-12.62, 6.8), abs=0.01)
    # oil that presses beside the ports only ever helps to lift
    assert by["beyond"]["low_percent"] < -20 and by["beyond"]["high_percent"] == 0
    assert values["curve"][0]["low_percent"] < by["beyond"]["low_percent"]


@pytest.mark.parametrize(
    ("left_out", "code"), [("preload", "curve_seat_not_told"), ("stack.0.bore_mm", "curve_bore_unknown")]
)
def test_what_is_not_told_is_asked_for(storefront: Caller, left_out: str, code: str) -> None:
    answer = asked(storefront, "stack-curve", without(body(), left_out))
    assert (answer["verdict"], codes(answer, "measure")) == ("cannot_tell", {code})


def test_a_side_that_the_valve_lacks_is_refused_by_name(tuner: Caller) -> None:
    document = damper_document("ONE-SIDED")
    document["valves"].append({"code": "base", "sides": {"compression": document["valves"][0]["sides"]["rebound"]}})
    sent = {"damper": saved_damper(document), "valve": "base", "side": "rebound", "stack": STACKS["rebound"]}
    reply = tuner.ask("/fit/stack-curve", sent)
    assert fields(problem(reply, 400, "invalid")) == {"side"}
