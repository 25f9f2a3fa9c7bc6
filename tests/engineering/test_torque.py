"""Torque and preload, against handbook figures; the source stands beside each."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering import joints
from compat.engineering.answers import Answer, Verdict
from compat.engineering.refused import Refused
from compat.engineering.torque import UNITS, Joint, torque
from compat.engineering.units import Range
from compat.questions.torque import texts as texts

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
    nut_class="8",
    wrench_error_percent=4.0,
    thread_relief=False,
)


# Bearing face of a hexagon nut, from memory of ISO 4032 and ISO 273 as below.
BY_FRICTION: dict[str, object] = {
    "nut_factor": None, "friction": Range(0.11, 0.13, 0.12), "bearing_mm": Range(14.8, 15.4, 15.1),
}  # fmt: skip


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
    M12x1.25 and 36.61 of M8x1.25 (ISO 898-1); percent of the proof load, by a wrench without error."""
    joint = Joint(
        thread,
        25 * FT,
        property_class="8.8",
        hole_mm=Range.exact(float(hole)),
        wrench_error_percent=0.0,
        thread_relief=False,
    )
    answer = torque(joint)
    assert tuple(round(end) for end in ends(answer, "proof_percent")) == (low, high)
    assert "nut_factor_unknown" in codes(answer)
    # On M8 even the least preload, with the pitch's share of the torque alone, is over 90 % of the yield stress.
    assert answer.verdict is (Verdict.DOES_NOT_FIT if thread == "M8x1.25" else Verdict.CANNOT_TELL)


def test_the_short_form_by_a_textbook() -> None:
    """Shigley, example 8-4 (from memory): 3/4-16, 25 kip, K 0.2 gives 3,750 lbf.in."""
    moment = 3750 * UNITS["torque_lbf_in"]
    answer = torque(Joint("3/4-16 UNF", moment, nut_factor=Range.exact(0.2), wrench_error_percent=0.0))
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
    joint = Joint(
        thread, moment, friction=Range.exact(mu), bearing_mm=bearing, property_class="8.8", hole_mm=SOLID,
        wrench_error_percent=0.0, thread_relief=False,
    )  # fmt: skip
    answer = torque(joint)
    assert ends(answer, "preload_n")[0] / 1000 == pytest.approx(force, rel=0.02)
    # The table is made for 90 % of Rp0.2, tension and torsion together.
    assert ends(answer, "equivalent_percent") == pytest.approx((90, 90), rel=0.02)


@pytest.mark.parametrize(
    ("nominal", "mu", "force"),
    [(12, 0.10, 49.1), (12, 0.12, 48.0), (12, 0.14, 46.8), (10, 0.10, 32.4), (10, 0.12, 31.6), (10, 0.14, 30.8)],
)
def test_tension_and_torsion_by_vdi_2230(nominal: int, mu: float, force: float) -> None:
    """VDI 2230:2001, table of fine threads (M12x1.25, M10x1.25), class 8.8, kN: the preload that brings tension and
    torsion together to 90 % of Rp0.2, 640 MPa (from memory of ISO 898-1), reproduced within 1.1 %. Moment in the
    thread F d2/2 (P/(pi d2) + 1.155 mu), as the same guideline has it."""
    pitch = 1.25
    flank, root = nominal - 0.649519 * pitch, nominal - 1.226869 * pitch
    moment = 1000 * force * flank / 2 * (pitch / (math.pi * flank) + 1.155 * mu)
    area, modulus = joints.stress_area_mm2(nominal, pitch), joints.torsion_mm3(flank, root)
    assert joints.equivalent_mpa(1000 * force, area, moment, modulus) == pytest.approx(0.9 * 640, rel=0.011)


def test_a_hollow_section_against_torsion_is_the_solid_one_less_its_hole() -> None:
    """Fully yielded section by the integral of 2 pi tau r^2 from the hole outward, summed here in rings."""
    flank, root, hole = 11.188, 10.466, 6.0
    outer, rings = (flank + root) / 4, 20000
    step = (outer - hole / 2) / rings
    summed = sum(2 * math.pi * (hole / 2 + (n + 0.5) * step) ** 2 * step for n in range(rings))
    assert joints.torsion_mm3(flank, root, hole) == pytest.approx(summed, rel=1e-6)
    with pytest.raises(ValueError, match="no wall"):
        joints.torsion_mm3(flank, root, 10.5)


def test_all_that_is_known_fits() -> None:
    answer = torque(KNOWN)
    assert answer.verdict is Verdict.FITS, codes(answer)
    assert ends(answer, "proof_percent")[1] < 75
    assert ends(answer, "equivalent_percent")[1] < 90
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
        ({"torque_n_m": 55.0, "engagement_mm": Range.exact(12.0)}, "torque_may_be_over_yield", Verdict.CANNOT_TELL),
        ({"torque_n_m": 90.0, "engagement_mm": Range.exact(12.0)}, "torque_over_yield", Verdict.DOES_NOT_FIT),
        ({**BY_FRICTION, "torque_n_m": 48.0, "engagement_mm": Range.exact(12.0)}, "torque_near_proof", Verdict.FITS),
        ({"engagement_mm": Range.exact(1.5)}, "torque_strips", Verdict.DOES_NOT_FIT),
        ({"engagement_mm": Range(4.0, 9.0, 8.5)}, "torque_may_strip", Verdict.CANNOT_TELL),
        ({"engagement_mm": Range.exact(1.0)}, "engagement_under_a_turn", Verdict.DOES_NOT_FIT),
        ({"engagement_mm": Range.exact(0.0)}, "no_engagement", Verdict.DOES_NOT_FIT),
        ({"nut_class": None}, "nut_strength_unknown", Verdict.CANNOT_TELL),
        ({"nut_class": "6"}, "nut_strength_unknown", Verdict.CANNOT_TELL),
        ({"property_class": "10.9"}, "classes_do_not_pair", Verdict.FITS),
        ({"wrench_error_percent": None}, "wrench_error_assumed", Verdict.FITS),
        ({"wrench_error_percent": None, "torque_n_m": 45.0}, "torque_may_be_over_yield", Verdict.CANNOT_TELL),
        ({"hole_mm": Range.exact(8.666)}, "wall_too_thin_to_judge", Verdict.CANNOT_TELL),
        ({"hole_mm": Range.exact(7.5), "torque_n_m": 20.0}, "thin_wall", Verdict.FITS),
        ({**BY_FRICTION, "nut_factor": Range(0.3, 0.4, 0.35)}, "friction_contradicts_factor", Verdict.CANNOT_TELL),
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
    # The wrench's 4 % are of all 35 N.m, and what is not prevailing torque clamps: 30 -+ 1.4 N.m.
    assert ends(answer, "preload_n") == pytest.approx((28.6e3 / (0.18 * 12), 31.4e3 / (0.14 * 12)))


def test_what_the_prevailing_torque_was_read_off_by_goes_into_the_preload() -> None:
    """The wrench is set to 30 + 5 N.m. A nut that turns with 2 leaves 33 to clamp with, one that turns with 8 leaves 27
    (statics), besides the wrench's 4 % of all 35."""
    read = replace(KNOWN, torque_n_m=30.0, prevailing_n_m=Range(2.0, 8.0, 2.0))
    answer = torque(read)
    assert ends(answer, "set_n_m") == (35.0, 35.0)
    assert ends(answer, "preload_n") == pytest.approx(((27 - 1.4) * 1e3 / (0.18 * 12), (33 + 1.4) * 1e3 / (0.14 * 12)))
    (said,) = [one for one in answer.findings if one.code == "prevailing_middle_added"]
    assert said.data == {"low": 2.0, "high": 8.0, "n_m": 5.0, "off_n_m": 3.0}
    assert "2 to 8" in texts.TEXTS[said.code].format(**said.data)
    other = torque(replace(read, prevailing_n_m=Range(2.0, 8.0, 8.0)))
    for name in ("set_n_m", "preload_n", "equivalent_percent", "strip_percent"):
        assert ends(other, name) == ends(answer, name), "a nominal value decides nothing"


def test_each_judgement_takes_its_worst_corner_of_the_prevailing_torque() -> None:
    """The same middle, read wide: proof, yield and stripping each come nearer to their limits, and none moves away."""
    exact, wide = (
        torque(replace(KNOWN, torque_n_m=42.0, prevailing_n_m=read))
        for read in (Range.exact(5.0), Range(0.0, 10.0, 5.0))
    )
    for name in ("preload_n", "proof_percent", "equivalent_percent", "strip_percent"):
        (low, high), (one, other) = ends(wide, name), ends(exact, name)
        assert low < one <= other < high, name
    assert exact.verdict is Verdict.FITS
    assert wide.verdict is Verdict.CANNOT_TELL
    with pytest.raises(ValueError, match="above zero"):
        torque(replace(KNOWN, prevailing_n_m=Range(-1.0, 1.0, 0.0)))


def test_prevailing_torque_twists_the_shaft_too() -> None:
    """It acts in the thread: 35 N.m of which 5 are prevailing twist more than 30 N.m do."""
    free, stiff = (
        torque(replace(KNOWN, **BY_FRICTION, prevailing_n_m=Range.exact(moment), wrench_error_percent=0.0))  # type: ignore[arg-type]  # named above
        for moment in (0.0, 5.0)
    )
    assert ends(free, "preload_n") == ends(stiff, "preload_n")
    assert ends(free, "equivalent_percent")[0] < ends(stiff, "equivalent_percent")[0]


def test_an_unknown_wrench_is_never_better_than_any_that_can_be_told() -> None:
    for error in (0.0, 4.0, 25.0):
        told = torque(replace(KNOWN, wrench_error_percent=error))
        unknown = torque(replace(KNOWN, wrench_error_percent=None))
        assert ends(unknown, "equivalent_percent")[1] >= ends(told, "equivalent_percent")[1]
    with pytest.raises(Refused) as refused:
        torque(replace(KNOWN, wrench_error_percent=26.0))
    assert refused.value.field == "wrench_error_percent"
    assert texts.REFUSALS[refused.value.code].format(**refused.value.data)


def test_a_nut_factor_alone_may_leave_all_of_the_torque_in_the_thread() -> None:
    """Wherever the friction is, the twist lies between the pitch's share, 0.16 P F (VDI 2230), and the whole torque."""
    exact = {"nut_factor": Range.exact(0.16), "wrench_error_percent": 0.0, "hole_mm": SOLID}
    answer = torque(replace(KNOWN, **exact))  # type: ignore[arg-type]  # named above
    force = 25 * FT / 0.16 / 0.012
    area, modulus = joints.stress_area_mm2(12, 1.25), joints.torsion_mm3(12 - 0.649519 * 1.25, 12 - 1.226869 * 1.25)
    least, most = (
        100 / 640 * joints.equivalent_mpa(force, area, moment, modulus) for moment in (0.2 * force, 25e3 * FT)
    )
    assert ends(answer, "equivalent_percent") == pytest.approx((least, most), rel=1e-6)


def test_an_adapter_that_leaves_no_arm_is_refused_by_its_field() -> None:
    with pytest.raises(Refused) as refused:
        torque(replace(KNOWN, adapter_offset_mm=-100.0, wrench_length_mm=100.0))
    assert refused.value.field == "adapter_offset_mm"
    assert texts.REFUSALS[refused.value.code].format(**refused.value.data)


@pytest.mark.parametrize(
    "change",
    [
        {"torque_n_m": 0.0},
        {"torque_n_m": float("inf")},
        {"adapter_offset_mm": 50.0},
        {"nut_factor": Range(0.0, 0.2, 0.1)},
        {"friction": Range(0.0, 0.2, 0.1)},
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
    for name in ("preload_n", "proof_percent", "equivalent_percent"):
        (low, high), (one, other) = ends(answer, name), ends(inner, name)
        assert low * (1 - 1e-9) <= one <= other <= high * (1 + 1e-9)
    needed = (
        "source",
        "nut_factor",
        "property_class",
        "nut_class",
        "hole_mm",
        "engagement_mm",
        "prevailing_n_m",
        "thread_relief",
    )
    for missing in needed:
        less = torque(replace(joint, **{missing: None}))  # type: ignore[arg-type]  # by name
        assert less.verdict is not Verdict.FITS
