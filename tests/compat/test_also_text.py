"""Parts besides the stacks as people type them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.pages.bench.also_text import read_also, write_also


def part(number: str, quantity: int = 1) -> dict[str, Any]:
    return {"part": number, "quantity": quantity}


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("", []),
        ("NU-1", [part("NU-1")]),
        ("NU-M12x1.25 x1; WA-3", [part("NU-M12x1.25"), part("WA-3")]),
        ("NU-1 X2;;NU-2 ×3 ;", [part("NU-1", 2), part("NU-2", 3)]),
        ("WA 3 x10", [part("WA 3", 10)]),
        ("WA 3", [part("WA 3")]),
        ("NU-1 x123456", [part("NU-1", 123456)]),
    ],
)
def test_a_part_is_read_with_its_count_and_without_one_it_is_one(typed: str, read: list[dict[str, Any]]) -> None:
    assert read_also(typed) == read


@pytest.mark.parametrize("count", ["x²", "x٣", "x12345678", "x1234567", "x", "x-1", "x1.5", "xx2", "x2x"])
def test_a_count_that_is_none_says_what_to_type(count: str) -> None:
    with pytest.raises(ValueError, match=r"is no count; type a whole number as in NU-1 x2\."):
        read_also(f"WA-3; NU-1 {count}")


@given(st.text(max_size=60))
def test_what_is_read_is_written_and_read_again_and_no_text_breaks_the_reader(text: str) -> None:
    try:
        read = read_also(text)
    except ValueError:
        return
    assert read_also(write_also(read)) == read
