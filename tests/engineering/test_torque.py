"""Torque and preload, against handbook figures; the source stands beside each."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.answers import Answer, Verdict
from compat.engineering.torque import UNITS, Joint, torque
from compat.engineering.units import Range

FT = UNITS["torque_lbf_ft"]
SOLID, FREE = Range.exact(0.0), Range.exact(0.0)
KNOWN = Joint(
    "M12x1.25",
    25 * FT,
    source="the maker's instructions, page 4",
    nut_factor=Range(0.14, 0.18, 0.16),
    property_class="8.8",
    hole_mm=Range.exact(6.0),
    engagement_mm=Range(8.0, 9.0, 8.5),
    prevailing_n_m=FREE,
)


def codes(answer: Answer) -> set[str]:
    return {finding.code for finding in answer.findings}


def ends(answer: Answer, name: str) -> tuple[float, float]:
    found: Range = answer.values[name]
    return found.low, found.high


def test_pounds_and_feet() -> None:
    """25 lbf.ft = 33.895 N.m: the international pound (0.45359237 kg), foot (0.3048 m) and standard gravity."""
    exact = 0.45359237 * 9.80665 * 0.3048
    assert exact == pytest.approx(FT, rel=1e-12)
    assert round(25 * FT, 3) == 33.895
    assert UNITS["torque_lbf_in"] == pytest.approx(exact / 12, rel=1e-12)
    assert UNITS["torque_kgf_cm"] == pytest.approx(9.80665 / 100, rel=1e-12)


@pytest.mark.parametrize(
    ("thread", "hole", "low", "high"), [("M12x1.25", 0, 26, 44), ("M12x1.25", 6, 38, 64), ("M8x1.25", 0, 100, 166)]
)
def test_the_range_of_an_unknown_friction(thread: str, hole: float, low: float, high: float) -> None:
    """T = K d F with K 0.12 to 0.20 (NSTS 08307A); proof 580 MPa of class 8.8 (ISO 898-1), stress areas 92.07 mm2 of
    M12x1.25 and 39.17 of M8x1.25 (ISO 898-1); percent of the proof load."""
    answer = torque(Joint(thread, 25 * FT, property_class="8.8", hole_mm=Range.exact(float(hole))))
    assert tuple(round(end) for end in ends(answer, "proof_percent")) == (low, high)
    assert "nut_factor_unknown" in codes(answer)
    assert answer.verdict is (Verdict.DOES_NOT_FIT if thread == "M8x1.25" else Verdict.CANNOT_TELL)


def test_the_short_form_by_a_textbook() -> None:
    """Shigley, example 8-4 (from memory): 3/4-16, 25 kip, K 0.2 gives 3,750 lbf.in."""
    answer = torque(Joint("3/4-16 UNF", 3750 * UNITS["torque_lbf_in"], nut_factor=Range.exact(0.2)))
    assert ends(answer, "preload_n") == pytest.approx((25_000 * 4.4482216152605,) * 2, rel=1e-9)


@pytest.mark.parametrize(
    ("thread", "face", "mu", "force", "moment"),
    [
        ("M12x1.25", (16.63, 13.5), 0.10, 49.1, 79),
        ("M12x1.25", (16.63, 13.5), 0.12, 48.0, 90),
        ("M12x1.25", (16.63, 13.5), 0.14, 46.8, 101),
        ("M10x1.25", (14.63, 11.0), 0.10, 32.4, 44),
        ("M10x1.25", (14.63, 11.0), 0.12, 31.6, 51),
        ("M10x1.25", (14.63, 11.0), 0.14, 30.8, 57),
    ],
)
def test_the_long_form_by_vdi_2230(
    thread: str, face: tuple[float, float], mu: float, force: float, moment: float
) -> None:
    """VDI 2230:2001, table of fine threads in class 8.8 (kN, N.m), within what its whole newton metres round away;
    bearing faces of hexagon nuts from memory of ISO 4032 (washer face) and ISO 273 (medium hole)."""
    bearing = Range.exact(sum(face) / 2)
    answer = torque(Joint(thread, moment, friction=Range.exact(mu), bearing_mm=bearing))
    assert ends(answer, "preload_n")[0] / 1000 == pytest.approx(force, rel=0.02)


def test_all_that_is_known_fits() -> None:
    answer = torque(KNOWN)
    assert answer.verdict is Verdict.FITS, codes(answer)
    assert ends(answer, "proof_percent")[1] < 75
    assert ends(answer, "strip_percent")[1] < 50
    assert ends(answer, "set_n_m") == pytest.approx((25 * FT,) * 2)


@pytest.mark.parametrize(
    ("change", "code", "verdict"),
    [
        ({"source": None}, "torque_source_missing", Verdict.CANNOT_TELL),
        ({"nut_factor": None}, "nut_factor_unknown", Verdict.CANNOT_TELL),
        ({"property_class": None}, "shaft_strength_unknown", Verdict.CANNOT_TELL),
        ({"hole_mm": None}, "shaft_hole_unknown", Verdict.CANNOT_TELL),
        ({"engagement_mm": None}, "engagement_unknown", Verdict.CANNOT_TELL),
        ({"prevailing_n_m": None}, "prevailing_unknown", Verdict.CANNOT_TELL),
        ({"hole_mm": Range.exact(11.0)}, "hole_leaves_no_wall", Verdict.CANNOT_TELL),
        ({"torque_n_m": 120.0}, "torque_over_proof", Verdict.DOES_NOT_FIT),
        ({"torque_n_m": 68.0, "engagement_mm": Range.exact(12.0)}, "torque_may_be_over_proof", Verdict.CANNOT_TELL),
        ({"torque_n_m": 50.0, "engagement_mm": Range.exact(12.0)}, "torque_near_proof", Verdict.FITS),
        ({"engagement_mm": Range.exact(2.0)}, "torque_may_strip", Verdict.DOES_NOT_FIT),
        ({"thread": "M12x7"}, "pitch_is_per_inch", Verdict.CANNOT_TELL),
        ({"thread": "M12", "hole_mm": SOLID}, "coarse_pitch_taken", Verdict.FITS),
    ],
)
def test_what_is_said_when_one_thing_is_otherwise(change: dict[str, object], code: str, verdict: Verdict) -> None:
    answer = torque(replace(KNOWN, **change))  # type: ignore[arg-type]  # named by the test
    assert code in codes(answer)
    assert answer.verdict is verdict, codes(answer)


def test_prevailing_torque_is_added_and_an_adapter_lengthens_the_wrench() -> None:
    """A wrench of 400 mm with an adapter of 100 mm in line turns with 500/400 of what it shows (statics)."""
    joint = replace(KNOWN, torque_n_m=30.0, prevailing_n_m=Range.exact(5.0), wrench_length_mm=400.0)
    answer = torque(replace(joint, adapter_offset_mm=100.0))
    assert ends(answer, "set_n_m") == pytest.approx((35 * 0.8,) * 2)
    assert ends(answer, "preload_n") == ends(torque(replace(KNOWN, torque_n_m=30.0)), "preload_n")


@pytest.mark.parametrize(
    "change",
    [
        {"torque_n_m": 0.0},
        {"torque_n_m": float("inf")},
        {"adapter_offset_mm": 50.0},
        {"nut_factor": Range(0.0, 0.2, 0.1)},
        {"adapter_offset_mm": 50.0, "wrench_length_mm": 0.0},
        {"adapter_offset_mm": -100.0, "wrench_length_mm": 100.0},
    ],
)
def test_figures_that_are_none_are_refused(change: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=r"above zero|together"):
        torque(replace(KNOWN, **change))  # type: ignore[arg-type]  # named by the test


@given(st.floats(0.08, 0.3), st.floats(0, 0.1), st.floats(5, 150), st.floats(0, 8), st.floats(0, 1))
def test_every_corner_lies_inside_and_less_known_is_never_better(
    factor: float, spread: float, moment: float, hole: float, share: float
) -> None:
    joint = replace(
        KNOWN,
        torque_n_m=moment,
        nut_factor=Range(factor, factor + spread, factor + spread / 2),
        hole_mm=Range(hole, hole + 1, hole + 0.5),
    )
    answer = torque(joint)
    inner = torque(replace(joint, nut_factor=Range.exact(factor + share * spread), hole_mm=Range.exact(hole + share)))
    for name in ("preload_n", "proof_percent"):
        (low, high), (one, _) = ends(answer, name), ends(inner, name)
        assert low * (1 - 1e-9) <= one <= high * (1 + 1e-9)
    for missing in ("source", "nut_factor", "property_class", "hole_mm", "engagement_mm", "prevailing_n_m"):
        less = torque(replace(joint, **{missing: None}))  # type: ignore[arg-type]  # by name
        assert less.verdict is not Verdict.FITS
