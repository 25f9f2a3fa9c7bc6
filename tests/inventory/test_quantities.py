"""Numbers as people and addresses write them."""

from __future__ import annotations

import pytest

from inventory.common.quantities import whole_number


@pytest.mark.parametrize(("text", "number"), [("0", 0), ("007", 7), ("9" * 18, 10**18 - 1)])
def test_plain_digits_are_a_whole_number(text: str, number: int) -> None:
    assert whole_number(text) == number


@pytest.mark.parametrize("text", ["", "-1", "+1", " 1", "1.0", "1e3", "0x1", "1_000", "\u0661", "\u00b2", "9" * 19])
def test_anything_else_is_none(text: str) -> None:
    assert whole_number(text) is None


def test_more_digits_than_asked_for_are_none() -> None:
    assert (whole_number("999", digits=3), whole_number("1000", digits=3)) == (999, None)
