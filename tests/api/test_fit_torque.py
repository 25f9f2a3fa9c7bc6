"""What preload does the application's torque give? Over HTTP."""

from __future__ import annotations

import pytest

from tests.api.conftest import Caller, Json, fields, problem
from tests.api.fit import asked, codes, without

pytestmark = pytest.mark.django_db
JOINT: Json = {
    "thread": "M12x1.25",
    "torque_lbf_ft": 25,
    "torque_source": "the maker's instructions, page 4",
    "nut_factor": {"min": 0.14, "max": 0.18},
    "property_class": "8.8",
    "hole_mm": 6,
    "thread_relief": False,
    "engagement_mm": {"min": 8.0, "max": 9.0},
    "prevailing_n_m": 0,
    "nut_class": "8",
    "wrench_error_percent": 4,
}


def test_a_joint_of_which_all_is_known(storefront: Caller) -> None:
    answer = asked(storefront, "torque", JOINT)
    assert answer["verdict"] == "fits"
    values = answer["values"]
    # T = K d F: 33.895 N.m with the wrench's 4 % either way, 12 mm, K 0.18 and 0.14
    assert values["preload_n"]["min"] == pytest.approx(0.96 * 33.895 / (0.18 * 0.012), rel=1e-3)
    assert values["preload_n"]["max"] == pytest.approx(1.04 * 33.895 / (0.14 * 0.012), rel=1e-3)
    assert 0 < values["equivalent_percent"]["max"] < 90
    assert values["set_n_m"]["nominal"] == pytest.approx(33.895, rel=1e-3)


@pytest.mark.parametrize(
    ("left_out", "code"),
    [
        ("torque_source", "torque_source_missing"),
        ("nut_factor", "nut_factor_unknown"),
        ("prevailing_n_m", "prevailing_unknown"),
        ("hole_mm", "shaft_hole_unknown"),
        ("thread_relief", "thread_relief_unknown"),
        ("property_class", "shaft_strength_unknown"),
        ("nut_class", "nut_strength_unknown"),
        ("engagement_mm", "engagement_unknown"),
    ],
)
def test_what_is_left_out_is_asked_for(storefront: Caller, left_out: str, code: str) -> None:
    answer = asked(storefront, "torque", without(JOINT, left_out))
    assert answer["verdict"] == "cannot_tell"
    assert code in codes(answer, "measure")


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"torque_n_m": 34}, "torque_n_m"),
        ({"torque_lbf_ft": None}, "torque_lbf_ft"),
        ({"relief_diameter_mm": 10}, "relief_diameter_mm"),
        ({"prevailing_n_m": {"min": 3, "max": 2}}, "prevailing_n_m"),
        ({"friction": {"min": 0.1, "max": 0.12}}, "bearing_mm"),
        ({"nut_factor": {"min": 0.2, "max": 0.1}}, "nut_factor.max"),
        ({"nut_factor": 0.2}, "nut_factor"),
        ({"adapter_offset_mm": 50}, "wrench_length_mm"),
        ({"torque_lbf_ft": 0}, "torque_lbf_ft"),
        ({"wrench_error_percent": 26}, "wrench_error_percent"),
        ({"adapter_offset_mm": -200, "wrench_length_mm": 200}, "adapter_offset_mm"),
        ({"friction": {"min": 0.1, "max": 0.12}, "bearing_mm": 15}, "nut_factor"),
    ],
)
def test_what_is_malformed_is_refused_by_field(storefront: Caller, change: Json, field: str) -> None:
    assert field in fields(problem(storefront.ask("/fit/torque", {**JOINT, **change}), 400, "invalid"))


def test_a_prevailing_torque_may_be_a_range(storefront: Caller) -> None:
    """The middle is set on the wrench; 1.5 N.m either way of it are the preload's (statics)."""
    read = {**JOINT, "wrench_error_percent": 0, "prevailing_n_m": {"min": 2, "max": 5}}
    answer = asked(storefront, "torque", read)
    assert answer["values"]["set_n_m"]["nominal"] == pytest.approx(33.895 + 3.5, rel=1e-3)
    assert answer["values"]["preload_n"]["max"] == pytest.approx((33.895 + 1.5) / (0.14 * 0.012), rel=1e-3)
    assert "prevailing_middle_added" in codes(answer)


def test_a_relief_groove_is_asked_for_and_counted(storefront: Caller) -> None:
    """580 MPa on pi/4 (10^2 - 6^2) = 50.3 mm2 (ISO 898-1)."""
    deep = {**JOINT, "thread_relief": True}
    assert "relief_diameter_unknown" in codes(asked(storefront, "torque", deep), "measure")
    percent = asked(storefront, "torque", {**deep, "relief_diameter_mm": 10})["values"]["proof_percent"]
    assert percent["max"] == pytest.approx(100 * 1.04 * 33.895 / (0.14 * 0.012) / (50.265 * 580), rel=1e-3)


def test_a_torque_must_be_told(storefront: Caller) -> None:
    reply = storefront.ask("/fit/torque", without(JOINT, "torque_lbf_ft"))
    assert fields(problem(reply, 400, "invalid")) == {"torque_n_m"}
