"""The wrong nut: play, turns before binding, overlap. Figures computed from ISO 965-1 and ASME B1.1 limits."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from compat.engineering.threads.designation import Thread, known_threads, parse
from compat.engineering.threads.limits import ExternalLimits, InternalLimits, external_limits, internal_limits
from compat.engineering.threads.pairing import (
    axial_play_mm,
    caliper_twins,
    differences,
    leaves_near,
    nuts_matching,
    overlap_percent,
    shafts_matching,
    turns_before_binding,
)
from compat.engineering.units import Range


def pair(shaft: str, nut: str) -> tuple[ExternalLimits, InternalLimits, float, float]:
    one, other = parse(shaft), parse(nut)
    inner = internal_limits(other, "2B" if other.size else "6H")
    return external_limits(one, "6g"), inner, one.pitch_mm, other.pitch_mm


@pytest.mark.parametrize(
    ("shaft", "nut", "low", "high", "places"),
    [
        ("M12x1.25", "M12x1.5", 0.19, 0.93, 2),
        ("M12x1.5", "M12x1.25", -0.05, 0.69, 2),
        ("M12x1.25", "1/2-20 UNF", 21, 29, 0),
    ],
)
def test_turns_before_a_wrong_nut_binds(shaft: str, nut: str, low: float, high: float, places: int) -> None:
    outer, inner, one, other = pair(shaft, nut)
    turns = turns_before_binding(axial_play_mm(one, other, outer.pitch, inner.pitch), one, other)
    assert turns is not None
    assert (round(turns.low, places), round(turns.high, places)) == (low, high)


@pytest.mark.parametrize(("nut", "low", "high"), [("M12x1.25", 63, 98), ("1/2-20 UNF", 11, 48)])
def test_overlap_of_a_right_nut_and_of_its_false_friend(nut: str, low: int, high: int) -> None:
    outer, inner, pitch, _ = pair("M12x1.25", nut)
    overlap = overlap_percent(outer.major, inner.minor, pitch)
    assert (round(overlap.low), round(overlap.high)) == (low, high)


def test_a_right_nut_never_binds_and_always_has_play() -> None:
    outer, inner, one, other = pair("M12x1.25", "M12x1.25")
    play = axial_play_mm(one, other, outer.pitch, inner.pitch)
    assert play.low == pytest.approx((11.188 - 11.160) * math.tan(math.pi / 6), abs=1e-6)
    assert turns_before_binding(play, one, other) is None


def test_differences_are_named_in_order() -> None:
    assert differences(parse("M12x1.25"), parse("M12x1.25-6H LH")) == []
    assert differences(parse("M12x1.25"), parse("M12")) == ["pitch_mm"]
    assert differences(parse("M12x1.25"), parse("1/2-20")) == ["form", "nominal_mm", "pitch_mm"]
    assert differences(parse("M16x1.5"), parse("M16xPh3P1.5")) == ["starts"]


def test_a_caliper_cannot_tell_the_pitches_of_one_diameter() -> None:
    """M12x1.25 and M12x1.5 shafts share an outside diameter band; their nut bores overlap 10.647..10.676."""
    assert {"M12x1.5", "M12x1.75"} <= {twin.name for twin in caliper_twins(parse("M12x1.25"))}
    one, other = internal_limits(parse("M12x1.25"), "6H").minor, internal_limits(parse("M12x1.5"), "6H").minor
    assert (max(one.low, other.low), min(one.high, other.high)) == (10.647, 10.676)


def test_a_leaf_gauge_confuses_a_pitch_of_1_25_with_20_per_inch_only() -> None:
    assert leaves_near(1.25) == [20]
    assert leaves_near(1.5) == leaves_near(1.75) == leaves_near(1.0) == []


def test_readings_name_the_false_friends() -> None:
    assert [thread.name for thread in nuts_matching(Range.around(11.45, 0.02), 1.25)] == ["1/2-20 UNF"]
    assert [thread.name for thread in nuts_matching(Range.around(10.75, 0.02), 1.25)] == ["M12x1.25"]
    assert [thread.name for thread in shafts_matching(Range.around(12.55, 0.02), 1.25)] == ["1/2-20 UNF"]
    assert [thread.name for thread in shafts_matching(Range.around(11.05, 0.02), 1.27)] == ["7/16-20 UNF"]


diameter = st.floats(8, 16)
band = st.floats(0, 0.5)
pitch = st.sampled_from([1.0, 1.25, 1.27, 1.5, 1.75])
share = st.floats(0, 1)


@given(diameter, band, diameter, band, pitch, pitch, share, share)
def test_every_pair_inside_the_limits_lies_inside_the_answer(
    d: float, td: float, big: float, tbig: float, one: float, other: float, at: float, where: float
) -> None:
    shaft, nut = Range.between(d, d + td), Range.between(big, big + tbig)
    a, b = d + at * td, big + where * tbig
    play = axial_play_mm(one, other, shaft, nut)
    exact = (other - one) / 2 + (b - a) / math.sqrt(3)
    assert play.low - 1e-6 <= exact <= play.high + 1e-6
    overlap = overlap_percent(shaft, nut, one)
    height = math.sqrt(3) / 2 * one
    assert overlap.low - 1e-6 <= 100 * (a - b) / 2 / (5 * height / 8) <= overlap.high + 1e-6
    turns = turns_before_binding(play, one, other)
    assert (turns is None) == (one == other)
    if turns is not None:
        assume(abs(other - one) > 0.01)
        assert turns.low - 1e-4 <= exact / abs(other - one) <= turns.high + 1e-4


@given(st.sampled_from(known_threads()), st.sampled_from(known_threads()))
def test_differences_are_the_same_from_both_sides(one: Thread, other: Thread) -> None:
    assert differences(one, other) == differences(other, one)
    assert (differences(one, other) == []) == (one == other)
