"""Every field for a text or a size takes as many steps more as its text is longer, and none beyond its length.

Steps are lines of Python that run, which no other program on the machine changes; what a regular expression does inside
one of them is held by tests/house/test_patterns.py.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

import pytest
from django import forms

from compat.pages.bench.also_text import AlsoParts, read_also
from compat.pages.blanks import Diameters, StackLines
from compat.pages.calibration.calibration_sheet import Points
from compat.pages.calibration.points_text import read_points
from compat.pages.diameters_text import read_diameters
from compat.pages.measured import Measured, Millimetre, Reading, read_length
from compat.pages.stack_text import read_lines
from inventory.common import quantities
from inventory.common.sizes.numbers import LONGEST, single
from inventory.common.sizes.reading import read
from inventory.counter.forms import Line, Millimetres, Pieces, Thicknesses

REPEATED = (
    *(" ", "\t", "1", ".", ",", "x", "-", "1 ", "1\t", "1.", "@", "1@", ";", ":", "(", "\u00a0", "\ufdfa", "#"),
    *("\n", "1\n", "0.05 1\n", "M12 ", "a\u0300\u0323", "'", "±", "mm", "34x0.15; ", "20: 46 "),
)
READERS: dict[str, Callable[[str], Any]] = {
    "points": read_points,
    "diameters": read_diameters,
    "a length": read_length,
    "one length": single,
    "a size": read,
    "lines of a stack": read_lines,
    "parts besides": read_also,
    "micrometres": quantities.um_from_mm,
    **{
        type(field).__name__: field.clean
        for field in (
            *(AlsoParts(), Diameters(), StackLines(), Points(), Measured(), Millimetre(), Reading(), Line()),
            *(Millimetres(), Pieces(), Thicknesses()),
        )
    },
}


def steps(reader: Callable[[str], Any], text: str) -> int:
    """How many lines of Python it runs to read a text or refuse it."""
    number = 0

    def trace(frame: Any, event: str, arg: Any) -> Any:
        nonlocal number
        number += event == "line"
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        reader(text)
    except (ValueError, forms.ValidationError):
        pass
    finally:
        sys.settrace(before)
    return number


@pytest.mark.parametrize("name", READERS)
def test_a_text_four_times_as_long_takes_four_times_the_steps_at_most(name: str) -> None:
    """Steps that grow with the square would be sixteen times as many."""
    for sign in REPEATED:
        for end in ("", "x", " 1"):
            short, long = (steps(READERS[name], f"1{sign * number}{end}") for number in (200, 800))
            assert long <= 6 * short + 400, (sign, end, short, long)


@pytest.mark.parametrize("name", ["a length", "one length", "a size", "micrometres", "Measured", "Millimetre"])
def test_a_text_longer_than_any_size_is_refused_unread(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Putting a text into plain signs is itself no work for a hundred thousand of them."""
    read_plainly: list[int] = []

    def plain(text: str) -> str:
        read_plainly.append(len(text))
        return text

    for module in ("compat.pages.measured", "inventory.common.sizes.numbers", "inventory.common.sizes.tokens"):
        monkeypatch.setattr(f"{module}.plain", plain)
    for sign in REPEATED:
        steps(READERS[name], "1" + sign * 100_000 + "x")
    assert all(length <= LONGEST for length in read_plainly)


def test_steps_that_grow_with_the_square_are_seen() -> None:
    def slow(text: str) -> int:
        found = 0
        for _ in text:
            for _ in text:
                found += 1
        return found

    short, long = (steps(slow, "x" * number) for number in (20, 80))
    assert long > 6 * short + 400
