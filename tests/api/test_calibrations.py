"""Measured curves kept for their piston, and what they change: over HTTP.

The "measured" forces are those of a steel and a clamp's edge that are told; that finite elements are met as well is
shown in tests/engineering/test_bending_calibration.py.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from inventory.common.transactions import use_case
from inventory.dampers.models import Calibration
from inventory.stock.models import Lot, Reading
from inventory.stock.services import add_readings
from inventory.stock.withdrawing import withdraw_readings
from tests import factories, people
from tests.api.conftest import (
    COMPRESSION,
    REBOUND,
    STACKS,
    Caller,
    Json,
    damper_document,
    fields,
    lay_in,
    line,
    measured,
    ok,
    problem,
    saved_damper,
)
from tests.api.fit import asked, codes

pytestmark = pytest.mark.django_db
LIFTS = [0.04, 0.08, 0.12, 0.16]
STEEL: Json = {"youngs_gpa": 198, "edge_slip": 0.4}


def curve(program: Caller, side: str = "rebound", **told: Any) -> Json:
    return asked(program, "stack-curve", {"damper": "HA-46", "side": side, "stack": STACKS[side], **told})


def points_of(program: Caller, side: str = "rebound", **steel: Any) -> list[Json]:
    """What a lab would measure on a damper whose steel and edge are these: the force on the whole ring."""
    rows = curve(program, side, lifts_mm=LIFTS, **(steel or STEEL))["values"]["curve"]
    outer = 36 if side == "compression" else 34
    area = math.pi * (((outer - 1.8) / 2) ** 2 - 11**2)
    return [{"lift_mm": row["lift_mm"], "force_n": round(row["pressure_mpa"] * area, 4)} for row in rows]


def body(program: Caller, side: str = "rebound", **changes: Any) -> Json:
    sent: Json = {"side": side, "stack": STACKS[side], **changes}
    return sent if "points" in sent else {**sent, "points": points_of(program, side)}


def kept(program: Caller, side: str = "rebound", **changes: Any) -> Json:
    found: Json = ok(program.post("/dampers/HA-46/calibrations", body(program, side, **changes)), 201)
    return found


def by_lots(lines: list[Json]) -> list[Json]:
    """Each line with a lot of its size of which three pieces were read, all the same."""
    found = []
    for one in lines:
        um = round(one["thickness_mm"] * 1000)
        shim = factories.shim(one["od_mm"], one["thickness_mm"])
        lot = factories.stocked(shim, 9, readings_um=[um] * 9).lot
        found.append({**one, "lot": lot.number})
    return found


def listed(program: Caller) -> list[Json]:
    found: list[Json] = ok(program.get("/dampers/HA-46/calibrations"))["results"]
    return found


def pressures(answer: Json) -> list[float]:
    return [row["pressure_mpa"] for row in answer["values"]["curve"]]


def told(answer: Json, code: str) -> Json:
    (found,) = (one for one in answer["findings"] if one["code"] == code)
    return dict(found["data"])


def test_what_was_measured_counts_from_then_on(tuner: Caller, damper: str) -> None:
    before = curve(tuner, lifts_mm=LIFTS)
    assert "calibrated" not in codes(before)
    fit = kept(tuner, note="bench of the lab")
    assert fit["state"] == "in_use"
    assert fit["worst_percent"] < 0.2
    after = curve(tuner, lifts_mm=LIFTS)
    assert told(after, "calibrated")["measured_side"] == "rebound"
    assert told(after, "calibrated")["youngs_gpa"] == pytest.approx(fit["youngs_gpa"])
    assert pressures(after) == pytest.approx(pressures(curve(tuner, lifts_mm=LIFTS, **STEEL)), rel=5e-3)
    assert abs(pressures(after)[-1] / pressures(before)[-1] - 1) > 0.02


def test_a_calibrated_band_leaves_open_what_the_points_leave_over(tuner: Caller, damper: str) -> None:
    lots = by_lots(REBOUND)

    def width() -> float:
        row = curve(tuner, stack=lots, lifts_mm=LIFTS)["values"]["curve"][-1]
        return float(row["high_percent"] - row["low_percent"] - row["stiffening_percent"])

    points = points_of(tuner)
    off = [{**point, "force_n": point["force_n"] * (1.03 if at % 2 else 0.97)} for at, point in enumerate(points)]
    uncalibrated = width()
    rough = kept(tuner, stack=lots, points=off)
    assert 1 < rough["rms_percent"] < rough["worst_percent"] < 6
    by_rough = width()
    good = kept(tuner, stack=lots, points=points)
    by_good = width()
    assert by_good < by_rough
    assert by_rough > 2 * (rough["worst_percent"] + rough["open_percent"])
    assert good["worst_percent"] < 0.5
    assert by_good < uncalibrated


@pytest.mark.parametrize("off_um", [-5, -3, 3, 5])
def test_a_thickness_that_was_not_read_stays_open_for_every_other_stack(
    tuner: Caller, damper: str, off_um: int
) -> None:
    """The lab types nominal sizes and its shims are a little thicker or thinner: the fit takes that for steel. So the
    true curve of another stack, whose thickness is exact, must still lie inside the band."""
    real = [{**one, "thickness_mm": round(one["thickness_mm"] + off_um / 1000, 3)} for one in REBOUND]
    area = math.pi * (16.1**2 - 11**2)
    rows = curve(tuner, stack=real, lifts_mm=LIFTS, youngs_gpa=203, edge_slip=0.2)["values"]["curve"]
    points = [{"lift_mm": row["lift_mm"], "force_n": round(row["pressure_mpa"] * area, 4)} for row in rows]
    fit = kept(tuner, points=points)
    assert fit["open_percent"] > 5
    other = by_lots([line(34, 0.25, 2), line(28, 0.2), line(20, 0.3)])
    true = curve(tuner, stack=other, lifts_mm=LIFTS, youngs_gpa=203, edge_slip=0.2)
    by_fit = curve(tuner, stack=other, lifts_mm=LIFTS)
    for row, right in zip(by_fit["values"]["curve"], pressures(true), strict=True):
        low, high = (row["pressure_mpa"] * (1 + row[name] / 100) for name in ("low_percent", "high_percent"))
        assert low <= right <= high


def test_what_a_micrometer_read_leaves_less_open(tuner: Caller, damper: str) -> None:
    nominal = kept(tuner)
    read = kept(tuner, thickness_error_mm=0.001)
    assert read["open_percent"] < nominal["open_percent"] / 3
    assert read["shims"][0]["thickness_mm"] == {"min": 0.199, "max": 0.201, "nominal": 0.2}


def test_a_lot_that_is_measured_again_does_not_change_what_was_kept(tuner: Caller, damper: str) -> None:
    lots = by_lots(REBOUND)
    before = kept(tuner, stack=lots)
    assert before["shims"][0]["thickness_mm"]["nominal"] == 0.2
    lot = Lot.objects.get(number=lots[0]["lot"])
    old, clerk = list(Reading.objects.filter(lot=lot).values_list("pk", flat=True)), people.clerk()
    use_case(lambda: withdraw_readings(lot=lot.number, readings=old, reason="read with dirt on it", actor=clerk))
    use_case(lambda: add_readings(lot=lot, readings_um=[204, 204, 204], actor=clerk))
    (after,) = listed(tuner)
    assert after["shims"] == before["shims"]


def test_a_side_counts_before_the_other_and_a_newer_one_before_an_older(tuner: Caller, damper: str) -> None:
    first = kept(tuner, "compression")
    assert told(curve(tuner, "rebound"), "calibrated")["measured_side"] == "compression"
    own = kept(tuner, "rebound")
    assert told(curve(tuner, "rebound"), "calibrated")["measured_side"] == "rebound"
    assert told(curve(tuner, "compression"), "calibrated")["measured_side"] == "compression"
    newer = kept(tuner, "compression")
    states = {one["id"]: one["state"] for one in listed(tuner)}
    assert states == {newer["id"]: "in_use", own["id"]: "in_use", first["id"]: "replaced"}


def test_withdrawn_it_counts_no_more_and_the_one_before_does_again(tuner: Caller, damper: str) -> None:
    soft = points_of(tuner, youngs_gpa=190, edge_slip=0.4)
    old = kept(tuner, points=soft)
    new = kept(tuner)
    gone = ok(tuner.post(f"/dampers/HA-46/calibrations/{new['id']}/withdraw", {}))
    assert gone["state"] == "withdrawn"
    assert told(curve(tuner), "calibrated")["youngs_gpa"] == pytest.approx(old["youngs_gpa"])
    again = ok(tuner.post(f"/dampers/HA-46/calibrations/{new['id']}/withdraw", {}))
    assert again == gone
    ok(tuner.post(f"/dampers/HA-46/calibrations/{old['id']}/withdraw", {}))
    assert "calibrated" not in codes(curve(tuner))
    assert [one["state"] for one in listed(tuner)] == ["withdrawn", "withdrawn"]
    problem(tuner.post("/dampers/HA-46/calibrations/999/withdraw", {}), 404, "not_found")
    problem(tuner.post(f"/dampers/OTHER/calibrations/{old['id']}/withdraw", {}), 404, "not_found")


def test_sizes_that_changed_make_it_another_piston(tuner: Caller, damper: str) -> None:
    kept(tuner)
    document = damper_document()
    document["valves"][0]["sides"]["rebound"]["hub_mm"] = 19.0
    ok(tuner.put("/dampers/HA-46", document, If_Match='"1"'))
    after = curve(tuner)
    assert "calibration_outdated" in codes(after, "note")
    assert "calibrated" not in codes(after)
    assert [one["state"] for one in listed(tuner)] == ["outdated"]
    ok(tuner.put("/dampers/HA-46", damper_document(), If_Match='"2"'))
    assert "calibrated" in codes(curve(tuner))


@pytest.mark.parametrize("changes", [{"hub_radius_mm": 9}, {"edge_slip": 0.2}, {"youngs_gpa": 210}])
def test_what_the_request_tells_stands_without_it(tuner: Caller, damper: str, changes: Json) -> None:
    before = pressures(curve(tuner, lifts_mm=LIFTS, **changes))
    kept(tuner)
    after = curve(tuner, lifts_mm=LIFTS, **changes)
    assert pressures(after) == before
    assert "calibrated" not in codes(after)


def test_plans_compare_the_curves_of_the_calibrated_piston(tuner: Caller, damper: str) -> None:
    short = COMPRESSION[3]
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in [*COMPRESSION, *REBOUND] if one != short}.values())
    lay_in(line(27, 0.2), line(28, 0.25))

    def planned() -> Json:
        found: Json = ok(tuner.ask("/plans", {"damper": "HA-46", "stacks": STACKS}))
        return found

    before = planned()
    fit = kept(tuner, "compression", points=points_of(tuner, "compression", youngs_gpa=190, edge_slip=0.1))
    after = planned()
    assert "calibrated" in codes(after["answer"], "note")
    assert "calibrated" not in codes(before["answer"])
    first, second = (plan["curves"][0]["curve"][0]["asked_mpa"] for plan in (before, after))
    on_file = curve(tuner, "compression", lifts_mm=[after["curves"][0]["curve"][0]["lift_mm"]])
    assert second == pytest.approx(on_file["values"]["curve"][0]["pressure_mpa"], rel=1e-3)
    assert second < first
    assert fit["youngs_gpa"] < 206


def test_a_plan_that_needs_no_stand_in_reads_no_calibration(
    tuner: Caller, shelf: str, django_assert_max_num_queries: Any
) -> None:
    from inventory.dampers import selectors

    kept(tuner)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("compat.plans.problem.fits_of", lambda *_: pytest.fail("it asked"))
        assert ok(tuner.ask("/plans", {"damper": "HA-46", "stacks": STACKS}))["stand_ins"] == []
    assert len(selectors.calibrations_in_use("HA-46")) == 1


def test_the_same_key_keeps_it_once(tuner: Caller, damper: str) -> None:
    sent = body(tuner)
    first, again = (ok(tuner.post("/dampers/HA-46/calibrations", sent, once="lab-1"), 201) for _ in range(2))
    assert first == again
    assert Calibration.objects.count() == 1
    # whatever the model says by then, the first answer stands
    document = damper_document()
    del document["valves"][0]["sides"]["rebound"]["hub_mm"]
    ok(tuner.put("/dampers/HA-46", document, If_Match='"1"'))
    assert ok(tuner.post("/dampers/HA-46/calibrations", sent, once="lab-1"), 201) == first


def test_what_no_curve_of_this_stack_explains_is_not_kept(tuner: Caller, damper: str) -> None:
    square = [{"lift_mm": lift, "force_n": 3000 * lift**2} for lift in LIFTS]
    reply = tuner.post("/dampers/HA-46/calibrations", body(tuner, points=square))
    assert "root mean square" in problem(reply, 409, "calibration_refused")["detail"]
    assert not Calibration.objects.exists()


def test_points_beyond_what_plates_do_are_not_kept(tuner: Caller, damper: str) -> None:
    far = [{"lift_mm": lift, "force_n": 300 * lift} for lift in (0.1, 0.5, 1.2)]
    answer = asked(tuner, "curve-calibration", {"damper": damper, "side": "rebound", "stack": REBOUND, "points": far})
    assert "calibration_beyond_plates" in codes(answer, "measure")
    problem(tuner.post("/dampers/HA-46/calibrations", body(tuner, points=far)), 409, "calibration_refused")


@pytest.mark.parametrize(
    ("lifts", "slope", "code"),
    [
        ((0.1, 0.101, 0.102), 678, "calibration_span_small"),
        ((0.005, 0.01, 0.02), 678, "calibration_span_small"),
        ((0.03, 0.06, 0.09), 900, "calibration_at_bound_youngs"),
    ],
)
def test_points_that_tell_no_curve_or_no_steel_are_not_kept(
    tuner: Caller, damper: str, lifts: tuple[float, ...], slope: float, code: str
) -> None:
    points = [{"lift_mm": lift, "force_n": slope * lift} for lift in lifts]
    sent = {"damper": damper, "side": "rebound", "stack": REBOUND, "points": points}
    answer = asked(tuner, "curve-calibration", sent)
    assert code in codes(answer, "measure") or "calibration_poor" in codes(answer, "measure")
    problem(tuner.post("/dampers/HA-46/calibrations", body(tuner, points=points)), 409, "calibration_refused")


def test_a_hub_inside_the_bore_is_no_piston(tuner: Caller, damper: str) -> None:
    document = damper_document("SMALL-HUB")
    document["valves"][0]["sides"]["rebound"]["hub_mm"] = 10.0
    saved_damper(document)
    stack = [{**one, "bore_mm": 12} for one in REBOUND]
    reply = tuner.post("/dampers/SMALL-HUB/calibrations", {**measured(), "stack": stack})
    assert "bore" in problem(reply, 409, "calibration_refused")["detail"]


def test_a_notched_shim_is_no_measure_of_steel(tuner: Caller, damper: str) -> None:
    stack = [{**REBOUND[0], "form": "notched"}, *REBOUND[1:]]
    reply = tuner.post("/dampers/HA-46/calibrations", {**measured(), "stack": stack})
    assert "notched" in problem(reply, 409, "calibration_refused")["detail"]


def test_seventeen_diameters_are_not_fitted(tuner: Caller, damper: str) -> None:
    stack = [line(34, 0.2), *(line(round(33.8 - at / 2, 1), 0.1) for at in range(16)), line(20, 0.3)]
    reply = tuner.post("/dampers/HA-46/calibrations", {**measured(), "stack": stack})
    assert "simpler stack" in problem(reply, 409, "calibration_refused")["detail"]


def test_a_model_sent_back_as_it_was_shown_is_the_same_piston(tuner: Caller) -> None:
    document = damper_document()
    document["valves"][0]["sides"]["rebound"]["hub_mm"] = {"min": 19.98, "max": 20.005}
    ok(tuner.post("/dampers", document), 201)
    kept(tuner)
    document["valves"][0]["sides"]["rebound"]["hub_mm"] = {"min": 19.98, "max": 20.005, "nominal": 19.993}
    ok(tuner.put("/dampers/HA-46", document, If_Match='"1"'))
    assert [one["state"] for one in listed(tuner)] == ["in_use"]


def test_a_side_without_its_sizes_asks_for_them(tuner: Caller, damper: str) -> None:
    sent = body(tuner)
    document = damper_document("BARE")
    del document["valves"][0]["sides"]["rebound"]["hub_mm"]
    saved_damper(document)
    reply = tuner.post("/dampers/BARE/calibrations", sent)
    assert "hub" in problem(reply, 409, "calibration_refused")["detail"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"stack": []}, "stack"),
        ({"points": [{"lift_mm": 0.1, "force_n": 1}]}, "points"),
        ({"valve": "base"}, "valve"),
        ({"side": "up"}, "side"),
        ({"hub_radius_mm": 9}, "hub_radius_mm"),
    ],
)
def test_what_is_malformed_is_refused_by_field(tuner: Caller, damper: str, changes: Json, field: str) -> None:
    reply = tuner.post("/dampers/HA-46/calibrations", {**body(tuner), **changes})
    assert field in fields(problem(reply, 400, "invalid"))
    assert not Calibration.objects.exists()


def test_a_raised_seat_on_file_preloads_the_face_shim(tuner: Caller) -> None:
    document = damper_document()
    document["valves"][0]["sides"]["rebound"] |= {"seat_mm": 33.0, "seat_height_mm": 0.05}
    saved_damper(document)
    raised = curve(tuner)
    assert raised["values"]["opens_at_mpa"] > 0
    seat = {"radius_mm": 16.5, "height_mm": 0.05}
    level = {**damper_document(), "code": "LEVEL"}
    saved_damper(level)
    same = asked(tuner, "stack-curve", {"damper": "LEVEL", "side": "rebound", "stack": REBOUND, "preload": seat})
    assert raised["values"]["curve"] == same["values"]["curve"]


def test_a_seat_that_is_told_or_told_to_be_none_counts_before_the_file(tuner: Caller) -> None:
    document = damper_document()
    document["valves"][0]["sides"]["rebound"]["seat_mm"] = 33.0
    saved_damper(document)
    seat = {"radius_mm": 16.5, "height_mm": 0.05}
    assert curve(tuner, preload=seat)["values"]["opens_at_mpa"] > 0
    assert curve(tuner, preload=None)["values"]["opens_at_mpa"] is None


def test_a_seat_of_no_height_is_level(tuner: Caller) -> None:
    document = damper_document()
    document["valves"][0]["sides"]["rebound"]["seat_height_mm"] = 0
    saved_damper(document)
    assert curve(tuner)["values"]["opens_at_mpa"] is None


def test_half_a_seat_asks_for_the_other_half(tuner: Caller) -> None:
    document = damper_document()
    document["valves"][0]["sides"]["rebound"]["seat_mm"] = 33.0
    saved_damper(document)
    answer = curve(tuner)
    assert (codes(answer, "measure"), answer["values"]) == ({"curve_seat_unknown"}, {})
