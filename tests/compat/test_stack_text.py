"""Stacks as people type and paste them."""

from __future__ import annotations

from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.pages.stack_text import MOST_LINES, read_line, read_lines, write_line, write_lines
from compat.plans.sent import SentLine


def line(od: float = 34.0, thickness: float = 0.15, quantity: int = 3, **more: Any) -> SentLine:
    return cast(SentLine, {"od_mm": od, "thickness_mm": thickness, "quantity": quantity, **more})


@pytest.mark.parametrize(
    "typed",
    [
        "34x0.15 x3",
        "34 x 0.15 x 3",
        "34X0,15 X3",
        "34×0.15 ×3",
        "34*0.15 *3",
        "34 0.15 3",
        "34 .15 3",
        "34\t0,15\t3",
        "3 x 34 x 0.15",
        "3x 34x0.15",
        "3 off 34x0.15",
        "34x0.15x3",
        "34x0.15 3pcs",
        "Ø34 x 0,15 mm x3",
        "  34x0.150 x3  ",
        "0.15x34 x3",
        "shims 34 x 0.15 x3",
    ],
)
def test_one_size_is_read_however_it_is_written(typed: str) -> None:
    lines, faults = read_lines(typed)
    assert (lines, faults) == ([line()], [])


def test_without_a_count_it_is_one() -> None:
    assert read_line("34x0.15") == line(quantity=1)


def test_a_bore_and_a_form_may_stand_with_it() -> None:
    assert read_line("34x0.15x10 x3") == line(bore_mm=10.0)
    assert read_line("34x0.15 x3 notched") == line(form="notched")
    assert read_line("34x0.15x10 x3 ring") == line(bore_mm=10.0, form="ring")
    assert read_line("34x0.15 x3 round") == line()


@pytest.mark.parametrize("count", [6, 8, 10, 12, 14, 16])
def test_a_third_number_that_may_be_the_bore_is_asked_about(count: int) -> None:
    with pytest.raises(ValueError, match="the bore or the count"):
        read_line(f"34x0.15x{count}")
    assert read_line(f"34x0.15 x{count}") == line(quantity=count)
    assert read_line(f"34x0.15x{count} x1") == line(quantity=1, bore_mm=float(count))


@pytest.mark.parametrize(
    ("typed", "cure"),
    [
        ("34", "diameter, thickness and count"),
        ("abc", "diameter, thickness and count"),
        ("12x34 x3", "diameter first"),
        ("SH-12-34-150", "number of a part"),
        ("34x0.15 ±0.01", "diameter, thickness and count"),
        ("34x0.15 x3 square", "diameter, thickness and count"),
        ("34x0.1555 x3", "diameter, thickness and count"),
        ("34x0.15 x-3", "diameter, thickness and count"),
        ("1e1 x 0.15", "diameter, thickness and count"),
        ("34x0.15 x٣", "diameter, thickness and count"),
    ],
)
def test_what_cannot_be_read_says_what_to_type(typed: str, cure: str) -> None:
    lines, faults = read_lines(typed)
    assert lines == []
    assert [cure in fault.cure for fault in faults] == [True]


def test_lines_stand_below_each_other_or_between_semicolons_and_notes_are_passed_over() -> None:
    text = "# from the old sheet\n40x0.15 x4   # face\n\n24x0.1; 38x0.15 x1\r\n"
    lines, faults = read_lines(text)
    assert faults == []
    assert lines == [line(40.0, 0.15, 4), line(24.0, 0.1, 1), line(38.0, 0.15, 1)]


def test_sizes_on_one_line_are_separated_by_a_comma_with_a_blank_and_a_decimal_comma_has_none() -> None:
    lines, faults = read_lines("34x0.2 x2, 22x0,1, 30x0,15 x3,\n28 0,2 1")
    assert faults == []
    assert lines == [line(34.0, 0.2, 2), line(22.0, 0.1, 1), line(30.0, 0.15, 3), line(28.0, 0.2, 1)]


def test_what_to_type_instead_is_a_sentence() -> None:
    assert [fault.said for fault in read_lines("34x0.15x12")[1]] == [
        "12 may be the bore or the count: type 34x0.15 x12 for the count, 34x0.15x12 x1 for both."
    ]


def test_a_fault_names_its_line_and_leaves_the_others() -> None:
    lines, faults = read_lines("40x0.15 x4\nrubbish\n38x0.15 x1")
    assert [one["od_mm"] for one in lines] == [40.0, 38.0]
    assert [(fault.line, fault.text) for fault in faults] == [(2, "rubbish")]


def test_too_many_lines_are_a_fault() -> None:
    assert read_lines("34x0.15\n" * MOST_LINES)[1] == []
    assert len(read_lines("34x0.15\n" * (MOST_LINES + 1))[1]) == 1


def test_a_line_is_written_as_the_trade_writes_it() -> None:
    assert write_line(line()) == "34x0.15 x3"
    assert write_line(line(thickness=0.1)) == "34x0.10 x3"
    assert write_line(line(thickness=0.125)) == "34x0.125 x3"
    assert write_line(line(bore_mm=12.0), usual_bore_mm=12.0) == "34x0.15 x3"
    assert write_line(line(bore_mm=10.0, form="notched"), usual_bore_mm=12.0) == "34x0.15x10 x3 notched"


SIZES = st.fixed_dictionaries(
    {
        "od_mm": st.integers(16_000, 50_000).map(lambda um: um / 1000),
        "thickness_mm": st.integers(50, 999).map(lambda um: um / 1000),
        "quantity": st.integers(1, 200),
    },
    optional={"bore_mm": st.sampled_from([6.0, 8.0, 10.0, 12.5, 14.0]), "form": st.sampled_from(["notched", "ring"])},
)


@given(st.lists(SIZES, max_size=MOST_LINES))
def test_what_is_written_is_read_again(lines: list[SentLine]) -> None:
    assert read_lines(write_lines(lines)) == (lines, [])


@given(st.text(max_size=80))
def test_no_text_breaks_the_reader(text: str) -> None:
    lines, faults = read_lines(text)
    typed = [piece for row in text.splitlines() for piece in row.split("#")[0].split(";") if piece.strip()]
    assert len(lines) + len(faults) <= len(typed) + 1
    assert all(fault.cure for fault in faults)
