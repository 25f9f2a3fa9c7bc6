"""A request that is declared once: its check, its typed form, its blanks and its letters."""

from __future__ import annotations

from typing import Any

import pytest

from compat.asking.fields import length, measured, number, request, rows, spread, text, within, word, yes_no
from compat.asking.requests import blanks_of, letters_of, made, passed, refuse, serializer_of
from compat.engineering.units import Range
from inventory.common.errors import DomainError


@request
class Spring:
    """A spring."""

    wire_mm: Range | None = measured("Wire", least_um=100, letter="A", group="The spring")
    turns: float = number("Turns", least=1, most=50, needed=True, group="The spring")

    def check(self) -> None:
        if self.wire_mm is not None and self.wire_mm.high > self.turns:
            refuse("odd", wire_mm="is thicker than it has turns")


@request
class Fitted:
    """A spring where it goes."""

    free_mm: float | None = length("Free length", help="Without load.")
    rate_n_mm: Range | None = spread("Rate", least=0, most=500, unit="N/mm", later=True)
    ends: str = word({"open": "open", "ground": "ground flat"}, "Its ends", default="open")
    wound: bool | None = yes_no("Wound to the right")
    called: str | None = text(most=10)
    spring: Spring | None = within(
        Spring, group="Inside", labels={"wire_mm": "Its wire"}, letters={"wire_mm": "Q"}, first=(), hidden=("turns",)
    )
    others: tuple[Spring, ...] = rows(Spring, "The others", kind="lines", letter="C")


def asked(**body: Any) -> Fitted:
    """The request as the API would take it."""
    return made(Fitted, passed(Fitted, body))


def refused(**body: Any) -> list[tuple[str, str]]:
    """(field, code) of what is refused."""
    with pytest.raises(DomainError) as caught:
        asked(**body)
    return [(one.field, one.code) for one in caught.value.errors]


def test_every_length_is_millimetres_behind_the_check() -> None:
    told = asked(free_mm=120.5, spring={"wire_mm": {"min": 3.9, "max": 4.1}, "turns": 8})
    assert told.free_mm == 120.5 and isinstance(told.free_mm, float)
    assert told.spring == Spring(wire_mm=Range(3.9, 4.1, 4.0), turns=8.0)


def test_what_is_left_out_and_what_is_null_are_one_and_the_same() -> None:
    nothing = asked()
    assert nothing == asked(free_mm=None, rate_n_mm=None, wound=None, called=None, spring=None)
    assert (nothing.ends, nothing.others, nothing.spring) == ("open", (), None)


def test_limits_and_words_are_checked_at_their_paths() -> None:
    assert refused(free_mm=0.0001) == [("free_mm", "not_a_length")]
    assert refused(rate_n_mm=501) == [("rate_n_mm", "out_of_range")]
    assert refused(ends="bent") == [("ends", "invalid_choice")]
    assert refused(spring={}) == [("spring.turns", "required")]
    assert refused(others=[{"turns": 5}, {"turns": 0}]) == [("others.1.turns", "out_of_range")]
    assert refused(gauge=1) == [("gauge", "unknown_field")]


def test_what_contradicts_itself_is_refused_also_within_another() -> None:
    assert refused(spring={"wire_mm": 6, "turns": 5}) == [("spring.wire_mm", "odd")]
    assert refused(others=[{"wire_mm": 6, "turns": 5}]) == [("others.0.wire_mm", "odd")]


def test_blanks_stand_as_they_are_declared_and_placed() -> None:
    shown = {blank.path: blank for blank in blanks_of(Fitted)}
    assert list(shown) == ["free_mm", "rate_n_mm", "ends", "wound", "spring.wire_mm", "others"]
    assert (shown["free_mm"].kind, shown["free_mm"].first, shown["free_mm"].help) == ("length", True, "Without load.")
    assert (shown["rate_n_mm"].kind, shown["rate_n_mm"].first, shown["rate_n_mm"].unit) == ("figure", False, "N/mm")
    assert shown["ends"].choices == (("open", "open"), ("ground", "ground flat"))
    wire = shown["spring.wire_mm"]
    assert (wire.label, wire.group, wire.first) == ("Its wire", "Inside", False)


def test_letters_are_those_of_the_place() -> None:
    assert letters_of(Fitted) == {"spring.wire_mm": "Q", "others": "C", "others.wire_mm": "A"}


def test_the_check_is_made_once_and_named_for_the_document() -> None:
    assert serializer_of(Spring) is serializer_of(Spring)
    assert (serializer_of(Spring).__name__, serializer_of(Spring).__doc__) == ("SpringIn", "A spring.")


def test_a_field_whose_type_is_not_what_is_told_is_refused_where_it_is_declared() -> None:
    with pytest.raises(TypeError, match=r"Wrong\.wire_mm is .*float.*gives .*Range"):

        @request
        class Wrong:
            wire_mm: float | None = measured("Wire")


def test_a_field_that_nobody_declares_is_refused() -> None:
    with pytest.raises(TypeError, match=r"Bare\.wire_mm does not declare"):

        @request
        class Bare:
            wire_mm: float | None = None
