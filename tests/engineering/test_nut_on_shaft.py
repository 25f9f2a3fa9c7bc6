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
from compat.questions.nut_on_shaft import texts as texts
from compat.texts import common

SHAFT = ShaftEnd(
    thread="M12x1.25", tolerance_class="6g", hand="right", gauged_pitch_mm=1.25, major_mm=11.90, hole_mm=6.0,
    end_condition="plain", full_thread_start_mm=28.0, shaft_end_mm=46.0, property_class="8.8", thread_relief=False,
)  # fmt: skip
NUT = Nut(
    thread="M12x1.25", tolerance_class="6H", hand="right", gauged_pitch_mm=1.25, minor_mm=10.75, height_mm=10.8,
    chamfer_mm=0.7, property_class="10", locking="compound", condition="new", underside_mm=31.0,
)  # fmt: skip
NO_READINGS = ("full_length_gauged", "relief_diameter_mm")  # there is no groove
SHAFT_READINGS = [field.name for field in fields(ShaftEnd) if field.name not in NO_READINGS]
NUT_READINGS = [field.name for field in fields(Nut) if field.name != "unthreaded_mm"]
# Unknown class: every usual one is counted, and the nut at best fits with a warning. Of the shaft that leaves the play
# open, until the thread was gauged over its whole length.
ONLY_WARNS = {"tolerance_class"}


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
    # (11.88 - 10.77)/2 and (11.92 - 10.73)/2 of 5H/8 = 0.6766 mm: the crests as read, to 0.02 mm either way.
    assert (round(answer.values["overlap_percent"].low), round(answer.values["overlap_percent"].high)) == (82, 88)
    assert answer.values["engagement_mm"]["available"] == pytest.approx(9.4)
    assert answer.values["engagement_mm"]["needed"] is None
    assert "needed_engagement_open" in codes(answer, Severity.NOTE)
    assert {"wrong_nut", "makers_instructions"} <= set(answer.cautions)


def test_without_a_load_the_thread_carries_as_much_as_the_shaft() -> None:
    """9.70 mm for the solid M12x1.25 (FED-STD-H28/2B): a nut of 9.4 mm falls just short, and its load must be told."""
    solid = ask({"hole_mm": 0.0})
    assert solid.values["engagement_mm"]["full_strength"] == pytest.approx(9.70, abs=0.006)
    assert codes(solid, Severity.ASK) == {"engagement_under_full_strength"}
    told = ask({"hole_mm": 0.0}, preload_n=Range.between(14100, 23500))
    assert told.verdict is Verdict.FITS
    assert "under_full_strength" in codes(told, Severity.NOTE)
    assert ask().values["engagement_mm"]["full_strength"] < 9.4


def test_a_weak_nut_decides_the_engagement_for_full_strength() -> None:
    """A class 8 nut on a 12.9 shaft: 2 x 63.8 mm2 x 1220 MPa over 25.1 mm2/mm x 640 MPa (FED-STD-H28/2B), and the
    shaft may be 1.2 times as strong as its class says at least (VDI 2230, 5.5, from memory)."""
    answer = ask({"property_class": "12.9"}, {"property_class": "8"})
    area = math.pi / 1.25 * 11.760 * (0.625 + (11.760 - 11.368) / math.sqrt(3))
    net = math.pi / 4 * ((12 - 0.9382 * 1.25) ** 2 - 36)
    expected = 1.2 * 2 * net * 1220 / (area * 640)
    assert answer.values["engagement_mm"]["full_strength"] == pytest.approx(expected, abs=0.001)
    assert "engagement_under_full_strength" in codes(answer, Severity.ASK)
    assert "classes_do_not_pair" in codes(answer, Severity.WARN)


@pytest.mark.parametrize("name", SHAFT_READINGS)
def test_without_a_reading_of_the_shaft_nothing_fits(name: str) -> None:
    answer = ask({name: None, "full_length_gauged": name in ONLY_WARNS})
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
    answer = ask({**dict.fromkeys(shaft), "full_length_gauged": True}, parts | dict.fromkeys(nut))
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
    answer = ask({"tolerance_class": None, "full_length_gauged": True}, {"tolerance_class": None})
    assert answer.verdict is Verdict.FITS
    assert [f.data["tolerance_class"] for f in answer.findings if f.code == "class_assumed"] == ["8g", "7H"]
    assert "play_not_proven" in codes(ask({"tolerance_class": None}), Severity.ASK)
    unread = ask({"tolerance_class": None, "major_mm": None}, {"tolerance_class": None, "minor_mm": None})
    assert "overlap_not_proven" in codes(unread, Severity.ASK)


def test_a_worn_thread_that_overlaps_too_little_is_stopped() -> None:
    answer = ask({"major_mm": 11.45})
    assert "overlap_too_small" in codes(answer, Severity.STOP)


def test_a_pair_without_allowance_leaves_the_play_open() -> None:
    """6h in 6H may meet without play at their limits (ISO 965-1)."""
    assert codes(ask({"tolerance_class": "6h"}), Severity.ASK) == {"play_not_proven"}
    gauged = ask({"tolerance_class": "6h", "full_length_gauged": True})
    assert gauged.verdict is Verdict.FITS
    assert "play_by_gauge" in codes(gauged, Severity.NOTE)


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
    assert "nut_may_run_out_of_thread" in codes(ask({**late, "thread_relief": None}), Severity.ASK)
    assert "nut_may_run_out_of_thread" in codes(ask(nut={"underside_mm": Range(27.9, 28.3, 28.1)}), Severity.ASK)
    assert "positions_contradict" in codes(ask({"full_thread_start_mm": 47.0}), Severity.ASK)
    assert "no_engagement" in codes(ask({"full_thread_start_mm": 45.0}), Severity.STOP)


def test_over_a_relief_groove_only_the_turns_on_full_thread_count() -> None:
    """Common practice, no published source: the straight part ends in a groove, and the nut may stand over it."""
    plain, over = ask(), ask({"full_thread_start_mm": 31.6, "thread_relief": True, "relief_diameter_mm": 10.0})
    assert over.verdict is Verdict.FITS
    assert "nut_overhangs_relief" in codes(over, Severity.NOTE)
    assert over.values["engagement_mm"]["available"] < plain.values["engagement_mm"]["available"]


def test_a_thin_nut_is_a_question_until_the_load_is_known() -> None:
    """ISO 4035 thin nut, 6 mm high; ISO 898-2 calls a nut thin below 0.8 of the diameter. Needed: see the next test."""
    thin = {"height_mm": 6.0, "chamfer_mm": 0.5}
    assert "engagement_under_full_strength" in codes(ask(nut=thin), Severity.ASK)
    light = ask(nut=thin, preload_n=Range.between(5000, 8000))
    assert light.verdict is Verdict.FITS
    assert "thin_nut" in codes(light, Severity.WARN)
    some = ask(nut=thin, preload_n=Range.between(14100, 23500))
    assert "engagement_may_be_too_short" in codes(some, Severity.ASK)
    heavy = ask(nut=thin, preload_n=Range.between(30000, 31000))
    assert "engagement_too_short" in codes(heavy, Severity.STOP)


def test_the_needed_engagement_follows_the_preload_and_the_shops_factor() -> None:
    """25 lbf.ft on M12 gives 14.1 to 23.5 kN; needed 6.19 mm at factor 2, see the test of joints: 18.98 mm2/mm at 400
    MPa carry 7.59 kN/mm at worst, 24.6 at most."""
    preload = Range.between(14100, 23500)
    answer = ask(preload_n=preload)
    assert answer.verdict is Verdict.FITS
    assert answer.values["engagement_mm"]["needed"] == pytest.approx(6.19, abs=0.01)
    low = {"height_mm": 5.8}  # 4.4 mm of full thread: 12 kN need 3.16 mm at factor 2 and 4.87 to 6.32 at factor 4
    assert ask(nut=low, preload_n=Range.exact(12000)).verdict is Verdict.FITS
    strict = ask(nut=low, preload_n=Range.exact(12000), strip_factor=4.0)
    assert "engagement_too_short" in codes(strict, Severity.STOP)


def test_a_thread_that_outlasts_its_shaft_is_not_asked_for_more() -> None:
    """Half of 800 MPa x 63.8 mm2 is 25.5 kN: above it twice the preload is more than breaks the shaft itself."""
    needed = [ask(preload_n=Range.exact(load)).values["engagement_mm"]["needed"] for load in (25000, 30000, 36000)]
    full = ask().values["engagement_mm"]["full_strength"]
    assert needed[0] < full and needed[1] == needed[2] == full


@pytest.mark.parametrize(
    ("hole", "code"), [(6.97, None), (7.0, "thin_wall_load_unknown"), (7.95, "thin_wall_load_unknown"),
                       (8.0, "wall_too_thin_to_judge"), (10.1, "wall_too_thin_to_judge")],
)  # fmt: skip
def test_the_wall_under_the_root(hole: float, code: str | None) -> None:
    """Root 10.466 mm (ISO 724). A hole over two thirds of it, 6.98 mm, makes a thin tube; under a wall of one pitch, a
    hole of 7.97 mm, nothing is said. Common practice, no published source; the reasons stand beside THIN_WALL."""
    found = codes(ask({"hole_mm": hole}), Severity.ASK)
    assert found == (set() if code is None else {code})


def test_a_thin_wall_is_judged_by_its_net_section_under_its_load() -> None:
    """580 MPa on 92.07 - 44.18 = 47.9 mm2 is 27.8 kN (ISO 898-1), of a hole of 7.5 mm."""
    light = ask({"hole_mm": 7.5}, preload_n=Range.exact(20000))
    assert light.verdict is Verdict.FITS
    assert "thin_wall" in codes(light, Severity.WARN)
    assert "preload_over_proof" in codes(ask({"hole_mm": 7.5}, preload_n=Range.exact(28000)), Severity.STOP)


def test_a_load_needs_known_strengths() -> None:
    preload = Range.exact(20000.0)
    for load in (preload, None):
        assert "shaft_strength_unknown" in codes(ask({"property_class": "5.6"}, preload_n=load), Severity.ASK)
        assert "nut_strength_unknown" in codes(ask(nut={"property_class": None}, preload_n=load), Severity.ASK)
    assert "classes_do_not_pair" in codes(ask({"property_class": "12.9"}, preload_n=preload), Severity.WARN)


def test_a_preload_over_the_proof_load_of_the_hollow_shaft_is_stopped() -> None:
    """580 MPa on 92.07 - 28.27 = 63.8 mm2 is 37.0 kN (ISO 898-1); the solid shaft carries 53.4 kN."""
    load = Range.exact(40000.0)
    assert "preload_over_proof" in codes(ask({"property_class": "8.8"}, preload_n=load), Severity.STOP)
    solid = ask({"property_class": "8.8", "hole_mm": 0.0}, preload_n=load)
    assert "preload_over_proof" not in codes(solid)
    unsure = {"property_class": "8.8", "hole_mm": Range(2.0, 6.0, 3.0)}
    assert "preload_may_be_over_proof" in codes(ask(unsure, preload_n=load), Severity.ASK)


@pytest.mark.parametrize(
    ("part", "name", "value"),
    [
        ("shaft", "major_mm", 0.4685), ("shaft", "hole_mm", 0.236), ("shaft", "shaft_end_mm", 1.81),
        ("shaft", "full_thread_start_mm", 1.1), ("nut", "minor_mm", 0.423), ("nut", "height_mm", 0.425),
        ("nut", "chamfer_mm", 0.028), ("nut", "underside_mm", 1.22), ("nut", "unthreaded_mm", 0.1),
    ],
)  # fmt: skip
def test_an_inch_typed_as_millimetres_is_a_question(part: str, name: str, value: float) -> None:
    answer = ask({name: value}) if part == "shaft" else ask(nut={name: value})
    found = [f for f in answer.findings if f.code == "thread_reading_in_inches"]
    assert [finding.data["field"] for finding in found] == [name]
    assert name not in texts.TEXTS["thread_reading_in_inches"].format(**found[0].data)
    assert answer.verdict is not Verdict.FITS


def test_readings_no_part_has_are_questions() -> None:
    assert "thread_reading_implausible" in codes(ask({"major_mm": 119.0}), Severity.ASK)
    assert "thread_reading_implausible" in codes(ask(nut={"chamfer_mm": 5.0}), Severity.ASK)
    for wide in (Range(6.0, 18.0, 11.9), Range(0.4, 11.9, 11.9)):
        assert {"thread_reading_implausible", "thread_reading_in_inches"} & codes(ask({"major_mm": wide}), Severity.ASK)
    assert "hole_leaves_no_wall" in codes(ask({"hole_mm": Range(10.0, 10.5, 10.1)}), Severity.ASK)


@pytest.mark.parametrize("value", [-1.0, 0.0, math.nan, math.inf])
@pytest.mark.parametrize("name", ["major_mm", "gauged_pitch_mm", "shaft_end_mm"])
def test_an_absurd_length_is_refused_by_name(name: str, value: float) -> None:
    absurd: dict[str, Any] = {name: value}
    with pytest.raises(Refused) as refused:
        replace(SHAFT, **absurd)
    assert (refused.value.code, refused.value.field) == ("not_a_length", f"shaft.{name}")
    assert texts.REFUSALS["not_a_length"].format(**refused.value.data)


def test_zero_is_a_length_only_where_it_means_something() -> None:
    zeros = {"chamfer_mm": 0.0, "unthreaded_mm": 0.0}
    assert ask({"hole_mm": 0.0, "full_thread_start_mm": 0.0}, zeros).verdict is Verdict.FITS
    for name in ("minor_mm", "height_mm", "underside_mm"):
        with pytest.raises(Refused, match=f"nut.{name}"):
            ask(nut={name: 0.0})
    with pytest.raises(Refused, match="hole_mm"):
        replace(SHAFT, hole_mm=Range(-0.1, 0.1, 0.0))


def test_unknown_words_and_factors_are_refused() -> None:
    for name, value in (("hand", "both"), ("locking", "glue"), ("condition", "good")):
        with pytest.raises(Refused, match=f"nut.{name}") as refused:
            ask(nut={name: value})
        assert texts.REFUSALS[refused.value.code].format(**refused.value.data)
    with pytest.raises(Refused, match=r"shaft\.end_condition"):
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
