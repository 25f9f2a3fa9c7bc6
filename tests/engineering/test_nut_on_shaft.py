"""The nut-on-shaft question. Rules are common practice of the trade unless a standard is named beside the check."""

from __future__ import annotations

import math
import string
from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.answers import Answer, Severity, Verdict
from compat.engineering.nut_on_shaft import Nut, ShaftEnd, nut_on_shaft
from compat.engineering.refused import Refused
from compat.engineering.units import Range
from compat.texts import common
from compat.texts import nut_on_shaft as texts

SHAFT = ShaftEnd(
    thread="M12x1.25", tolerance_class="6g", hand="right", gauged_pitch_mm=1.25, major_mm=11.90, hole_mm=6.0,
    end_condition="plain", full_thread_start_mm=28.0, shaft_end_mm=46.0,
)  # fmt: skip
NUT = Nut(
    thread="M12x1.25", tolerance_class="6H", hand="right", gauged_pitch_mm=1.25, minor_mm=10.75, height_mm=10.8,
    chamfer_mm=0.7, property_class="10", locking="compound", condition="new", underside_mm=31.0,
)  # fmt: skip
SHAFT_READINGS = [
    field.name
    for field in fields(ShaftEnd)
    if field.name not in ("property_class", "full_length_gauged", "thread_relief")
]
NUT_READINGS = [field.name for field in fields(Nut) if field.name != "property_class"]
ONLY_WARNS = {"tolerance_class"}  # unknown class: the widest is taken, at best fits with a warning


def codes(answer: Answer, severity: Severity | None = None) -> set[str]:
    return {finding.code for finding in answer.findings if severity in (None, finding.severity)}


def ask(shaft: dict[str, Any] | None = None, nut: dict[str, Any] | None = None, **kwargs: Any) -> Answer:
    answer = nut_on_shaft(replace(SHAFT, **(shaft or {})), replace(NUT, **(nut or {})), **kwargs)
    for finding in answer.findings:  # every finding has a text that its data fill, and a source that is written out
        assert texts.TEXTS[finding.code].format(**finding.data)
        assert not finding.source or finding.source in common.SOURCES
    assert set(answer.sources) <= set(common.SOURCES)
    assert set(answer.cautions) <= set(common.CAUTIONS)
    return answer


def test_the_right_nut_with_every_reading_fits() -> None:
    answer = ask()
    assert answer.verdict is Verdict.FITS
    assert codes(answer, Severity.WARN) == set()
    assert answer.values["turns_before_binding"] is None
    assert answer.values["axial_play_mm"] == Range(0.016, 0.196, 0.106)
    assert (round(answer.values["overlap_percent"].low), round(answer.values["overlap_percent"].high)) == (63, 98)
    assert answer.values["engagement_mm"]["available"] == pytest.approx(9.4)
    assert answer.values["engagement_mm"]["needed"] is None
    assert {"wrong_nut", "makers_instructions"} <= set(answer.cautions)


def test_full_strength_engagement_is_a_note_and_depends_on_the_hole() -> None:
    """9.70 mm for the solid M12x1.25 (FED-STD-H28/2B): a nut of 9.4 mm falls just short and still fits."""
    solid = ask({"hole_mm": 0.0})
    assert solid.values["engagement_mm"]["full_strength"] == pytest.approx(9.70, abs=0.006)
    assert "under_full_strength" in codes(solid, Severity.NOTE)
    assert solid.verdict is Verdict.FITS
    assert ask().values["engagement_mm"]["full_strength"] < 9.4


@pytest.mark.parametrize("name", SHAFT_READINGS)
def test_without_a_reading_of_the_shaft_nothing_fits(name: str) -> None:
    answer = ask({name: None})
    expected = Verdict.FITS if name in ONLY_WARNS else Verdict.CANNOT_TELL
    assert answer.verdict is expected
    assert codes(answer, Severity.WARN if name in ONLY_WARNS else Severity.ASK)


@pytest.mark.parametrize("name", NUT_READINGS)
def test_without_a_reading_of_the_nut_nothing_fits(name: str) -> None:
    answer = ask(nut={name: None})
    expected = Verdict.FITS if name in ONLY_WARNS else Verdict.CANNOT_TELL
    assert answer.verdict is expected
    assert codes(answer, Severity.WARN if name in ONLY_WARNS else Severity.ASK)


def test_knowing_nothing_is_cannot_tell() -> None:
    answer = nut_on_shaft(ShaftEnd(), Nut())
    assert answer.verdict is Verdict.CANNOT_TELL
    assert answer.values["engagement_mm"] == {"available": None, "needed": None, "full_strength": None}


@given(st.sets(st.sampled_from(SHAFT_READINGS)), st.sets(st.sampled_from(NUT_READINGS)), st.booleans())
def test_removing_readings_never_makes_a_nut_fit(shaft: set[str], nut: set[str], wrong: bool) -> None:
    parts: dict[str, Any] = {"thread": "M12x1.5", "gauged_pitch_mm": 1.5, "minor_mm": 10.5} if wrong else {}
    answer = ask(dict.fromkeys(shaft), parts | dict.fromkeys(nut))
    lost = (shaft | nut) - ONLY_WARNS
    assert (answer.verdict is Verdict.FITS) == (not wrong and not lost)


@pytest.mark.parametrize(
    ("shaft", "nut", "low", "high"), [("M12x1.25", "M12x1.5", 0.19, 0.93), ("M12x1.5", "M12x1.25", -0.05, 0.69)]
)
def test_the_wrong_pitch_is_stopped_and_binds_early(shaft: str, nut: str, low: float, high: float) -> None:
    one, other = float(shaft[4:]), float(nut[4:])
    answer = ask({"thread": shaft, "gauged_pitch_mm": one}, {"thread": nut, "gauged_pitch_mm": other})
    assert {"threads_differ", "gauged_pitches_differ"} <= codes(answer, Severity.STOP)
    assert "binds_after_turns" in codes(answer, Severity.NOTE)
    turns = answer.values["turns_before_binding"]
    assert (turns.low, turns.high) == (low, high)


def test_a_half_inch_nut_on_m12_is_named_as_a_false_friend() -> None:
    half = {"thread": "1/2-20 UNF", "gauged_pitch_mm": 1.27, "minor_mm": 11.45, "tolerance_class": None}
    answer = ask(nut=half)
    assert answer.verdict is Verdict.DOES_NOT_FIT
    assert {"threads_differ", "false_friend", "overlap_too_small"} <= codes(answer, Severity.STOP)
    turns, overlap = answer.values["turns_before_binding"], answer.values["overlap_percent"]
    assert (round(turns.low), round(turns.high)) == (21, 29)
    assert (round(overlap.low), round(overlap.high)) == (11, 48)


def test_a_half_inch_nut_in_the_wrong_drawer_is_found_by_its_bore() -> None:
    """Labelled M12x1.25 and gauged 1.25 by mistake for 20 per inch: only the bore tells."""
    answer = ask(nut={"minor_mm": 11.45})
    assert answer.verdict is Verdict.DOES_NOT_FIT
    named = [finding for finding in answer.findings if finding.code == "nut_could_be_another_thread"]
    assert named[0].data["names"] == "1/2-20 UNF"


def test_a_thinner_shaft_of_another_thread_is_found_by_its_diameter() -> None:
    answer = ask({"major_mm": 11.05})
    assert {"shaft_crest_outside_limits", "shaft_could_be_another_thread"} <= codes(answer, Severity.ASK)
    assert answer.verdict is not Verdict.FITS


def test_the_traps_of_caliper_and_leaf_gauge_are_noted() -> None:
    assert {"caliper_cannot_tell", "leaf_gauge_cannot_tell"} <= codes(ask(), Severity.NOTE)


def test_m12_without_pitch_is_never_fine() -> None:
    answer = ask(nut={"thread": "M12"})
    assert "coarse_pitch_taken" in codes(answer, Severity.WARN)
    assert "gauge_contradicts_label" in codes(answer, Severity.ASK)
    assert answer.verdict is Verdict.CANNOT_TELL
    assert "threads_differ" in codes(ask(nut={"thread": "M12", "gauged_pitch_mm": 1.75}), Severity.STOP)


def test_a_gauge_that_contradicts_the_label_decides_the_pitch_and_leaves_the_label_open() -> None:
    alone = ask({"gauged_pitch_mm": 1.5})
    assert {"threads_differ", "gauged_pitches_differ"} <= codes(alone, Severity.STOP)
    both = ask({"gauged_pitch_mm": 1.5, "major_mm": 11.9}, {"gauged_pitch_mm": 1.5, "minor_mm": 10.5})
    assert both.verdict is Verdict.CANNOT_TELL
    assert "gauge_contradicts_label" in codes(both, Severity.ASK)


@pytest.mark.parametrize(
    ("gauged", "code"),
    [(1.27, "gauge_near_another_leaf"), (20.0, "gauge_looks_per_inch"), (0.0492, "thread_reading_in_inches")],
)
def test_doubtful_gaugings_are_questions(gauged: float, code: str) -> None:
    answer = ask({"gauged_pitch_mm": gauged})
    assert code in codes(answer, Severity.ASK)
    assert answer.verdict is Verdict.CANNOT_TELL


def test_different_gauged_pitches_stop_even_when_no_label_is_readable() -> None:
    answer = ask({"thread": None}, {"thread": "nut", "gauged_pitch_mm": 1.5})
    assert codes(answer, Severity.STOP) == {"gauged_pitches_differ"}


def test_hands_and_starts_must_agree() -> None:
    assert codes(ask(nut={"hand": "left"}), Severity.STOP) == {"hands_differ"}
    assert "hand_contradicts_label" in codes(ask(nut={"thread": "M12x1.25 LH"}), Severity.ASK)
    assert ask({"thread": "M12x1.25 LH", "hand": None}, {"hand": "left"}).verdict is Verdict.FITS
    assert "threads_differ" in codes(ask(nut={"thread": "M12xPh2.5P1.25"}), Severity.STOP)


def test_an_unclear_label_is_a_question_with_its_reason() -> None:
    for label, code in (
        ("M12 fine", "pitch_ambiguous"),
        ("1/4-20", "series_missing"),
        ("12x1.25", "thread_form_missing"),
    ):
        answer = ask(nut={"thread": label})
        assert code in codes(answer, Severity.ASK)
        assert answer.verdict is Verdict.CANNOT_TELL


def test_classes_that_cannot_be_are_questions() -> None:
    assert "class_not_for_part" in codes(ask({"tolerance_class": "6H"}), Severity.ASK)
    assert "class_outside_tables" in codes(ask({"tolerance_class": "9x"}), Severity.ASK)
    assert "class_contradicts_label" in codes(ask({"thread": "M12x1.25-4h"}), Severity.ASK)


def test_unknown_classes_take_the_readings_and_warn() -> None:
    answer = ask({"tolerance_class": None}, {"tolerance_class": None})
    assert answer.verdict is Verdict.FITS
    assert [f.data["tolerance_class"] for f in answer.findings if f.code == "class_assumed"] == ["8g", "7H"]
    unread = ask({"tolerance_class": None, "major_mm": None}, {"tolerance_class": None, "minor_mm": None})
    assert "overlap_not_proven" in codes(unread, Severity.ASK)


def test_a_worn_thread_that_overlaps_too_little_is_stopped() -> None:
    answer = ask({"major_mm": 11.45})
    assert "overlap_too_small" in codes(answer, Severity.STOP)


def test_a_pair_without_allowance_leaves_the_play_open() -> None:
    """6h in 6H may meet without play at their limits (ISO 965-1)."""
    assert codes(ask({"tolerance_class": "6h"}), Severity.ASK) == {"play_not_proven"}


@pytest.mark.parametrize(
    ("shaft", "nut", "code", "severity"),
    [
        ({"end_condition": "peened"}, {}, "shaft_end_peened", Severity.STOP),
        ({"end_condition": "damaged"}, {}, "shaft_end_damaged", Severity.STOP),
        ({"end_condition": "peened_dressed"}, {}, "dressed_end_not_gauged", Severity.ASK),
        ({"end_condition": "peened_dressed", "full_length_gauged": True}, {}, "dressed_end_gauged", Severity.WARN),
        ({}, {"condition": "used", "locking": "prevailing"}, "used_locking_nut", Severity.STOP),
        ({}, {"condition": "used", "locking": "staked"}, "used_locking_nut", Severity.STOP),
        ({}, {"condition": "used"}, "used_nut", Severity.WARN),
        ({}, {"locking": "none"}, "no_locking", Severity.WARN),
    ],
)
def test_reuse(shaft: dict[str, Any], nut: dict[str, Any], code: str, severity: Severity) -> None:
    answer = ask(shaft, nut)
    assert code in codes(answer, severity)
    assert answer.verdict is {
        Severity.STOP: Verdict.DOES_NOT_FIT, Severity.ASK: Verdict.CANNOT_TELL, Severity.WARN: Verdict.FITS
    }[severity]  # fmt: skip


def test_at_least_one_pitch_protrudes() -> None:
    """Underside 31 + height 10.8 + pitch 1.25 = 43.05."""
    assert ask({"shaft_end_mm": 43.05}).verdict is Verdict.FITS
    assert "too_little_protrusion" in codes(ask({"shaft_end_mm": 43.04}), Severity.STOP)
    assert "protrusion_not_proven" in codes(ask({"shaft_end_mm": Range.around(43.05, 0.1)}), Severity.ASK)


def test_the_nut_must_not_run_out_of_the_full_thread() -> None:
    assert ask({"full_thread_start_mm": 31.0}).verdict is Verdict.FITS
    late = {"full_thread_start_mm": 31.1}
    assert "nut_runs_out_of_thread" in codes(ask({**late, "thread_relief": False}), Severity.STOP)
    assert "nut_may_run_out_of_thread" in codes(ask(late), Severity.ASK)
    assert "nut_may_run_out_of_thread" in codes(ask(nut={"underside_mm": Range(27.9, 28.3, 28.1)}), Severity.ASK)
    assert "positions_contradict" in codes(ask({"full_thread_start_mm": 47.0}), Severity.ASK)
    assert "no_engagement" in codes(ask({"full_thread_start_mm": 45.0}), Severity.STOP)


def test_over_a_relief_groove_only_the_turns_on_full_thread_count() -> None:
    """Common practice, no published source: the straight part ends in a groove, and the nut may stand over it."""
    plain, over = ask(), ask({"full_thread_start_mm": 31.6, "thread_relief": True})
    assert over.verdict is Verdict.FITS
    assert "nut_overhangs_relief" in codes(over, Severity.NOTE)
    assert over.values["engagement_mm"]["available"] < plain.values["engagement_mm"]["available"]


def test_a_thin_nut_is_a_question_until_the_load_is_known() -> None:
    """ISO 4035 thin nut, 6 mm high; ISO 898-2 calls a nut thin below 0.8 of the diameter."""
    thin = {"height_mm": 6.0, "chamfer_mm": 0.5}
    assert "thin_nut_load_unknown" in codes(ask(nut=thin), Severity.ASK)
    light = ask({"property_class": "8.8"}, thin, preload_n=Range.between(5000, 8000))
    assert light.verdict is Verdict.FITS
    assert "thin_nut" in codes(light, Severity.WARN)
    heavy = ask({"property_class": "8.8"}, thin, preload_n=Range.between(14100, 23500))
    assert "engagement_too_short" in codes(heavy, Severity.STOP)


def test_the_needed_engagement_follows_the_preload_and_the_shops_factor() -> None:
    """25 lbf.ft on M12 gives 14.1 to 23.5 kN; needed 6.19 mm at factor 2, see the test of joints."""
    preload = Range.between(14100, 23500)
    answer = ask({"property_class": "8.8"}, preload_n=preload)
    assert answer.verdict is Verdict.FITS
    assert answer.values["engagement_mm"]["needed"] == pytest.approx(6.19, abs=0.01)
    strict = ask({"property_class": "8.8"}, preload_n=preload, strip_factor=4.0)
    assert "engagement_too_short" in codes(strict, Severity.STOP)


def test_a_load_needs_known_strengths() -> None:
    preload = Range.exact(20000.0)
    assert "shaft_strength_unknown" in codes(ask(preload_n=preload), Severity.ASK)
    assert "nut_strength_unknown" in codes(ask({"property_class": "8.8"}, {"property_class": None}, preload_n=preload))
    assert "classes_do_not_pair" in codes(ask({"property_class": "12.9"}, preload_n=preload), Severity.WARN)


def test_a_preload_over_the_proof_load_of_the_hollow_shaft_is_stopped() -> None:
    """580 MPa on 92.07 - 28.27 = 63.8 mm2 is 37.0 kN (ISO 898-1); the solid shaft carries 53.4 kN."""
    load = Range.exact(40000.0)
    assert "preload_over_proof" in codes(ask({"property_class": "8.8"}, preload_n=load), Severity.STOP)
    solid = ask({"property_class": "8.8", "hole_mm": 0.0}, preload_n=load)
    assert "preload_over_proof" not in codes(solid)
    unsure = {"property_class": "8.8", "hole_mm": Range(0.0, 6.0, 3.0)}
    assert "preload_over_proof" in codes(ask(unsure, preload_n=load), Severity.STOP)


@pytest.mark.parametrize(
    ("part", "name", "value"),
    [
        ("shaft", "major_mm", 0.4685), ("shaft", "hole_mm", 0.236), ("shaft", "shaft_end_mm", 1.81),
        ("shaft", "full_thread_start_mm", 1.1), ("nut", "minor_mm", 0.423), ("nut", "height_mm", 0.425),
        ("nut", "chamfer_mm", 0.028), ("nut", "underside_mm", 1.22),
    ],
)  # fmt: skip
def test_an_inch_typed_as_millimetres_is_a_question(part: str, name: str, value: float) -> None:
    answer = ask({name: value}) if part == "shaft" else ask(nut={name: value})
    found = [f for f in answer.findings if f.code == "thread_reading_in_inches"]
    assert [finding.data["field"] for finding in found] == [name]
    assert answer.verdict is not Verdict.FITS


def test_readings_no_part_has_are_questions() -> None:
    assert "thread_reading_implausible" in codes(ask({"major_mm": 119.0}), Severity.ASK)
    assert "thread_reading_implausible" in codes(ask(nut={"chamfer_mm": 5.0}), Severity.ASK)
    assert "hole_leaves_no_wall" in codes(ask({"hole_mm": Range(10.0, 10.5, 10.1)}), Severity.ASK)


@pytest.mark.parametrize("value", [-1.0, 0.0, math.nan, math.inf])
@pytest.mark.parametrize("name", ["major_mm", "gauged_pitch_mm", "shaft_end_mm"])
def test_an_absurd_length_is_refused_by_name(name: str, value: float) -> None:
    absurd: dict[str, Any] = {name: value}
    with pytest.raises(Refused, match=f"shaft.{name}"):
        replace(SHAFT, **absurd)


def test_zero_is_a_length_only_where_it_means_something() -> None:
    assert ask({"hole_mm": 0.0, "full_thread_start_mm": 0.0}, {"chamfer_mm": 0.0}).verdict is Verdict.FITS
    for name in ("minor_mm", "height_mm", "underside_mm"):
        with pytest.raises(Refused, match=f"nut.{name}"):
            ask(nut={name: 0.0})
    with pytest.raises(Refused, match="hole_mm"):
        replace(SHAFT, hole_mm=Range(-0.1, 0.1, 0.0))


def test_unknown_words_and_factors_are_refused() -> None:
    for name, value in (("hand", "both"), ("locking", "glue"), ("condition", "good")):
        with pytest.raises(ValueError, match=f"nut.{name}"):
            ask(nut={name: value})
    with pytest.raises(ValueError, match=r"shaft\.end_condition"):
        replace(SHAFT, end_condition="bent")
    with pytest.raises(ValueError, match="strip_factor"):
        ask(strip_factor=0.0)
    with pytest.raises(ValueError, match="preload_n"):
        ask(preload_n=Range(-1, 1, 0))


def test_a_unified_nut_fits_its_own_unified_shaft() -> None:
    shaft = {"thread": "1/2-20 UNF", "tolerance_class": "2A", "gauged_pitch_mm": 1.27, "major_mm": 12.6}
    nut = {"thread": "1/2-20 UNF-2B", "tolerance_class": None, "gauged_pitch_mm": 1.27, "minor_mm": 11.45}
    assert ask(shaft, nut).verdict is Verdict.FITS


def test_the_word_fits_is_never_given_with_an_open_question() -> None:
    for name in SHAFT_READINGS:
        answer = ask({name: None}, {"locking": "none"})
        assert not (answer.verdict is Verdict.FITS and codes(answer, Severity.ASK))


def test_every_text_names_only_fields_and_the_question_has_a_method() -> None:
    assert ask().question in texts.METHODS
    for code, text in texts.TEXTS.items():
        assert code == code.lower() and " " not in code
        assert all(name is None or name.isidentifier() for _, name, _, _ in string.Formatter().parse(text))
