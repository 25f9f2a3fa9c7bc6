"""The lip rule: common practice of the trade, no published source; figures worked by hand from its formulas."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.answers import Severity, Verdict, verdict_of
from compat.engineering.lip import LipLimits, LipRule, LipWindow, shim_limits, window
from compat.engineering.refused import Refused
from compat.engineering.units import Range
from compat.texts import common
from compat.texts import lip as texts

exact = Range.exact
RULE = LipRule(shoulder_to_lip_mm=exact(30.0), base_plate_mm=exact(4.0), on_straight_mm=1.5, past_lip_mm=0.5)


def codes(found: LipWindow) -> list[str]:
    return [finding.code for finding in found.findings]


def test_a_low_stack_needs_spacers_between_two_limits() -> None:
    """L 30, B 4, on 1.5, past 0.5, H 26: add at least 30 + 0.5 - 4 - 26 = 0.5 and at most 30 - 1.5 - 26 = 2.5."""
    found = window(exact(26.0), RULE)
    assert found.add_mm == Range(0.5, 2.5, 1.5)
    assert codes(found) == ["lip_needs_spacers"]
    assert verdict_of(found.findings) is Verdict.FITS


def test_a_stack_inside_the_window_needs_nothing() -> None:
    found = window(exact(27.0), RULE)
    assert (found.add_min_mm, found.add_max_mm) == (0.0, 1.5)
    assert codes(found) == ["lip_straddled"]


def test_both_ends_of_the_window_belong_to_it() -> None:
    """H 26.5 lies past the lip by exactly 0.5, H 28.5 on the straight part by exactly 1.5."""
    assert window(exact(26.5), RULE).add_min_mm == 0.0
    assert codes(window(exact(28.5), RULE)) == ["lip_straddled"]
    assert codes(window(exact(28.501), RULE)) == ["stack_too_tall"]


def test_a_stack_that_may_be_too_tall_is_asked_about_and_never_fits() -> None:
    """28.5 is allowed: too tall at every corner stops, at some it must be measured."""
    found = window(Range.between(28.3, 28.6), RULE)
    assert codes(found) == ["stack_may_be_too_tall"]
    assert (found.findings[0].data["min_mm"], found.findings[0].data["max_mm"]) == (-0.1, 0.2)
    assert verdict_of(found.findings) is Verdict.CANNOT_TELL
    never = window(Range.between(28.6, 28.7), RULE)
    assert codes(never) == ["stack_too_tall"] and never.findings[0].data["by_mm"] == 0.1
    assert found.add_mm is None


def test_a_base_plate_thinner_than_both_lengths_stops() -> None:
    found = window(exact(27.0), LipRule(exact(30.0), exact(1.9), 1.5, 0.5))
    assert codes(found) == ["base_plate_too_thin"]
    assert found.findings[0].data == {"needed_mm": 2.0, "plate_min_mm": 1.9, "plate_max_mm": 1.9}


def test_a_base_plate_of_exactly_both_lengths_has_one_place_to_lie() -> None:
    """B 2.0 = 1.5 + 0.5, L 30, H 27: it lies from 28.5 to 30.5, so exactly 1.5 is added."""
    found = window(exact(27.0), LipRule(exact(30.0), exact(2.0), 1.5, 0.5))
    assert codes(found) == ["lip_needs_spacers"]
    assert found.add_mm == exact(1.5)


def test_a_base_plate_that_may_be_too_thin_asks() -> None:
    found = window(exact(28.4), LipRule(exact(30.0), Range.between(1.95, 2.05), 1.5, 0.5))
    assert codes(found) == ["base_plate_may_be_thin"]
    assert found.findings[0].data == {"needed_mm": 2.0, "plate_min_mm": 1.95, "plate_max_mm": 2.05}
    assert verdict_of(found.findings) is Verdict.CANNOT_TELL


def test_a_spread_wider_than_the_window_asks_for_the_widest_reading() -> None:
    """B_min - on - past = 2.0 wide; height spreads 1.2 and lip 1.0, together 2.2."""
    rule = LipRule(Range.between(29.5, 30.5), Range.between(4.0, 4.1), 1.5, 0.5)
    found = window(Range.between(24.0, 25.2), rule)
    assert (found.add_min_mm, found.add_max_mm) == (3.0, 2.8)
    assert codes(found) == ["lip_spread_too_wide"]
    assert found.findings[0].data == {
        "add_min_mm": 3.0,
        "add_max_mm": 2.8,
        "height_spread_mm": 1.2,
        "lip_spread_mm": 1.0,
        "plate_spread_mm": 0.1,
        "measure": "stack_height",
    }
    assert verdict_of(found.findings) is Verdict.CANNOT_TELL
    assert found.add_mm is None


def test_corners_are_taken_at_their_worst() -> None:
    rule = LipRule(Range.between(29.9, 30.1), Range.between(3.95, 4.05), 1.5, 0.5)
    found = window(Range.between(25.8, 26.2), rule)
    assert found.add_min_mm == pytest.approx(30.1 + 0.5 - 3.95 - 25.8, abs=1e-9)
    assert found.add_max_mm == pytest.approx(29.9 - 1.5 - 26.2, abs=1e-9)


def test_what_may_be_added_is_taken_at_the_corners_that_leave_it_widest() -> None:
    """By hand: at least 29.9 + 0.5 - 4.05 - 26.2 = 0.15, at most 30.1 - 1.5 - 25.8 = 2.8."""
    rule = LipRule(Range.between(29.9, 30.1), Range.between(3.95, 4.05), 1.5, 0.5)
    found = window(Range.between(25.8, 26.2), rule).perhaps_mm
    assert found is not None
    assert found.low == pytest.approx(0.15, abs=1e-9)
    assert found.high == pytest.approx(2.8, abs=1e-9)


@pytest.mark.parametrize(
    ("height", "rule", "code"),
    [
        (None, RULE, "stack_height_unknown"),
        (exact(27.0), LipRule(None, exact(4.0), 1.5, 0.5), "shoulder_to_lip_unknown"),
        (exact(27.0), LipRule(exact(30.0), None, 1.5, 0.5), "lip_base_plate_unknown"),
        (exact(27.0), LipRule(exact(30.0), exact(4.0), None, 0.5), "on_straight_unknown"),
        (exact(27.0), LipRule(exact(30.0), exact(4.0), 1.5, None), "past_lip_unknown"),
    ],
)
def test_anything_unknown_asks_for_itself_alone(height: Range | None, rule: LipRule, code: str) -> None:
    found = window(height, rule)
    assert codes(found) == [code]
    assert verdict_of(found.findings) is Verdict.CANNOT_TELL
    assert found.add_mm is None


def test_a_stack_too_tall_stops_even_while_the_base_plate_is_unknown() -> None:
    found = window(exact(29.0), LipRule(exact(30.0), None, 1.5, None))
    assert verdict_of(found.findings) is Verdict.DOES_NOT_FIT


def test_negative_lengths_are_refused() -> None:
    with pytest.raises(Refused, match=r"length_negative.*on_straight_mm"):
        LipRule(on_straight_mm=-0.1)
    with pytest.raises(Refused, match=r"length_not_above_zero.*base_plate_mm"):
        LipRule(base_plate_mm=Range.between(0.0, 4.0))
    with pytest.raises(Refused, match=r"length_negative.*stack_height_mm"):
        window(Range(-1.0, 1.0, 0.0), RULE)


def test_limits_for_a_search_are_those_of_the_window() -> None:
    """fixed 20: floor 30 + 0.5 - 4 - 20 = 6.5 mm, ceiling 30 - 1.5 - 20 = 8.5 mm of shims."""
    assert shim_limits(RULE, exact(20.0)) == LipLimits(6500, 8500)


def test_limits_round_towards_the_safe_side() -> None:
    rule = LipRule(exact(30.0004), exact(4.0), 1.5, 0.5)
    assert shim_limits(rule, exact(20.0)) == LipLimits(6501, 8500)
    assert shim_limits(rule, exact(20.0006)) == LipLimits(6500, 8499)


def test_limits_are_none_while_anything_is_unknown() -> None:
    assert shim_limits(RULE, None) is None
    assert shim_limits(LipRule(exact(30.0), exact(4.0), 1.5, None), exact(20.0)) is None


lengths = st.integers(min_value=0, max_value=4_000)  # micrometres
spreads = st.integers(min_value=0, max_value=900)
verdicts = [Verdict.FITS, Verdict.CANNOT_TELL, Verdict.DOES_NOT_FIT]


def around(middle_um: int, spread_um: int) -> Range:
    return Range((middle_um - spread_um) / 1000, (middle_um + spread_um) / 1000, middle_um / 1000)


@st.composite
def cases(draw: st.DrawFn) -> tuple[int, int, list[int], list[int]]:
    """(on, past, [height, lip, plate], their spreads), micrometres."""
    middles = [26_000 + draw(lengths), 30_000, 1_000 + draw(lengths)]
    return draw(lengths), draw(lengths), middles, [draw(spreads) for _ in middles]


def judge(on: int, past: int, middles: list[int], widths: list[int]) -> LipWindow:
    height, lip, plate = (around(*pair) for pair in zip(middles, widths, strict=True))
    return window(height, LipRule(lip, plate, on / 1000, past / 1000))


@given(cases(), st.integers(min_value=1, max_value=2_000))
def test_a_taller_stack_never_needs_or_allows_more(case: tuple[int, int, list[int], list[int]], more: int) -> None:
    on, past, (height, lip, plate), widths = case
    low, high = judge(on, past, [height, lip, plate], widths), judge(on, past, [height + more, lip, plate], widths)
    assert low.add_min_mm is not None and high.add_min_mm is not None
    assert low.add_max_mm is not None and high.add_max_mm is not None
    assert high.add_min_mm <= low.add_min_mm
    assert high.add_max_mm == pytest.approx(low.add_max_mm - more / 1000, abs=1e-9)


@given(cases(), st.integers(min_value=0, max_value=2), st.integers(min_value=1, max_value=99))
def test_a_wider_reading_never_turns_a_doubt_into_fits(
    case: tuple[int, int, list[int], list[int]], which: int, more: int
) -> None:
    on, past, middles, widths = case
    wider = [width + more if index == which else width for index, width in enumerate(widths)]
    if verdict_of(judge(on, past, middles, widths).findings) is not Verdict.FITS:
        assert verdict_of(judge(on, past, middles, wider).findings) is not Verdict.FITS


@given(cases(), st.integers(min_value=0, max_value=3))
def test_a_removed_reading_never_gives_fits(case: tuple[int, int, list[int], list[int]], which: int) -> None:
    on, past, middles, widths = case
    height, lip, plate = (around(*pair) for pair in zip(middles, widths, strict=True))
    rule = LipRule(
        None if which == 1 else lip,
        None if which == 2 else plate,
        None if which == 3 else on / 1000,
        past / 1000,
    )
    found = window(None if which == 0 else height, rule)
    assert verdict_of(found.findings) is not Verdict.FITS


@given(cases(), st.floats(min_value=0, max_value=1))
def test_every_addition_inside_the_window_straddles_the_lip_at_every_corner(
    case: tuple[int, int, list[int], list[int]], share: float
) -> None:
    """Checked from the drawing, not from the formula: the plate lies from H + T to H + T + B."""
    on, past, middles, widths = case
    found = judge(on, past, middles, widths)
    if found.add_mm is None or verdict_of(found.findings) is not Verdict.FITS:
        return
    added = found.add_mm.low + share * (found.add_mm.high - found.add_mm.low)
    height, lip, plate = (around(*pair) for pair in zip(middles, widths, strict=True))
    for bottom in (height.low + added, height.high + added):
        for end in (lip.low, lip.high):
            for thickness in (plate.low, plate.high):
                assert end - bottom >= on / 1000 - 1e-6
                assert bottom + thickness - end >= past / 1000 - 1e-6


@given(cases())
def test_every_finding_has_a_text_and_a_source(case: tuple[int, int, list[int], list[int]]) -> None:
    for finding in judge(*case).findings + window(None, LipRule()).findings:
        assert texts.TEXTS[finding.code].format(**finding.data)
        assert finding.source in common.SOURCES
        assert finding.severity in Severity
