"""The corner law against brute force over its own corners: arithmetic, no outside source needed."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.answers import ask, note, stop
from compat.engineering.corners import UNKNOWN, Standing, both, judged, over_corners, room, standing
from compat.engineering.units import Range

NEVER, PERHAPS = stop("never"), ask("perhaps")
numbers = st.floats(-1000, 1000, allow_nan=False)
order = {Standing.GOOD: 0, Standing.OPEN: 1, Standing.BAD: 2}


@st.composite
def ranges(draw: st.DrawFn) -> Range:
    low, nominal, high = sorted(draw(st.tuples(numbers, numbers, numbers)))
    return Range(low, high, nominal)


@given(ranges(), st.booleans())
def test_every_corner_bad_stops_any_corner_bad_asks_all_good_is_silent(margin: Range, strict: bool) -> None:
    good = [end > 0 if strict else end >= 0 for end in (margin.low, margin.high)]
    if any(0 < abs(end) < 1e-5 for end in (margin.low, margin.high)):
        return  # within the dust either answer is right
    wanted = [] if all(good) else [PERHAPS] if any(good) else [NEVER]
    assert judged(margin, never=NEVER, perhaps=PERHAPS, strict=strict) == wanted


@given(ranges(), st.floats(0, 100), st.floats(0, 100))
def test_a_vaguer_margin_is_never_good_where_the_sharper_one_was_not(margin: Range, down: float, up: float) -> None:
    wider = Range(margin.low - down, margin.high + up, margin.nominal)
    if standing(margin) is not Standing.GOOD:
        assert standing(wider) is not Standing.GOOD
    assert standing(None) is Standing.OPEN and standing(UNKNOWN) is Standing.OPEN


def test_a_limit_met_exactly_is_met_unless_it_must_be_passed() -> None:
    assert standing(Range.exact(0.0)) is Standing.GOOD
    assert standing(Range.exact(0.1 + 0.2 - 0.3)) is Standing.GOOD
    assert standing(Range.exact(0.0), strict=True) is Standing.BAD


def test_a_margin_to_two_limits_is_the_smaller_one_at_each_corner() -> None:
    assert room(Range.exact(5), least=Range.exact(2), most=Range.exact(6)) == Range.exact(1)
    assert room(Range(4, 7, 5), most=Range(6, 8, 7)) == Range(-1, 4, 2)
    assert room(None, least=Range.exact(2)).low == -math.inf
    with pytest.raises(ValueError, match="one limit"):
        room(Range.exact(5))


@given(ranges(), ranges())
def test_two_sources_leave_what_both_allow(one: Range, other: Range) -> None:
    found = both(one, other)
    if found is None:
        assert not one.touches(other)
    else:
        assert found.low == max(one.low, other.low) and found.high == min(one.high, other.high)
    assert both(one, None) == one and both(None, one) is not None


@given(ranges(), ranges(), st.floats(0, 1), st.floats(0, 1))
def test_every_value_of_a_monotone_function_lies_inside_its_corners(
    one: Range, other: Range, at: float, beside: float
) -> None:
    span = over_corners(lambda a, b: 3 * a - 2 * b, one, other)
    a, b = one.low + at * (one.high - one.low), other.low + beside * (other.high - other.low)
    assert span.low - 1e-6 <= 3 * a - 2 * b <= span.high + 1e-6


def test_a_finding_that_could_not_hold_the_law_is_refused() -> None:
    with pytest.raises(ValueError, match="asks"):
        judged(UNKNOWN, never=NEVER, perhaps=note("known"))
    with pytest.raises(ValueError, match="asks"):
        judged(UNKNOWN, never=note("known"), perhaps=PERHAPS)
