"""A request that is declared once: its check, its typed form, its blanks and its letters."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any, ClassVar

import pytest

from compat.asking.fields import (
    Nothing,
    Placed,
    length,
    lengths,
    measured,
    number,
    refuse_value,
    request,
    rows,
    spread,
    text,
    within,
    word,
    yes_no,
)
from compat.asking.requests import (
    blanks_of,
    blanks_with,
    letters_of,
    made,
    open_rows,
    passed,
    refuse,
    serializer_of,
    untold,
)
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


def accept_springs(springs: Sequence[Spring]) -> None:
    """Refuses springs that are not one longer than the other."""
    if any(after.turns <= before.turns for before, after in pairwise(springs)):
        refuse_value("not_rising", "must have more turns, one after the other")


@request
class Set:
    """Springs of a set, some with fields of their own, and one that stands by itself or is said to be none."""

    springs: tuple[Spring, ...] = rows(Spring, open=2, accepts=accept_springs, group="The set")
    spare: tuple[Spring, ...] | None = rows(Spring, "Spare ones", apart=True)
    helper: Spring | Nothing | None = within(Spring, none=True, hidden=("wire_mm", "turns"), lettered=False)
    preloads_mm: tuple[float, ...] = lengths(most_um=50_000, most=3)


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


def a_set(**body: Any) -> Set:
    return made(Set, passed(Set, body))


def test_that_nothing_is_there_is_more_than_not_telling_it() -> None:
    assert untold(Set).helper is None and a_set(helper=None).helper is Nothing.THERE
    assert a_set(helper={"turns": 4}).helper == made(Spring, {"turns": 4.0})
    assert untold(Set).spare is None and a_set(spare=[]).spare == ()


def test_rows_that_do_not_go_together_are_refused_beside_what_else_is_wrong() -> None:
    with pytest.raises(DomainError) as caught:
        a_set(springs=[{"turns": 5}, {"turns": 5}], preloads_mm=[60])
    assert [(one.field, one.code) for one in caught.value.errors] == [
        ("springs", "not_rising"),
        ("preloads_mm.0", "out_of_range"),
    ]


def test_several_lengths_are_millimetres_too() -> None:
    assert a_set(preloads_mm=[1, 2.5]).preloads_mm == (1.0, 2.5) and untold(Set).preloads_mm == ()


def test_rows_have_fields_of_their_own_as_many_as_are_told_and_one_letter() -> None:
    assert open_rows(Set) == {"springs": "wire_mm"}
    paths = [f"springs.{row}.{name}" for row in range(3) for name in ("wire_mm", "turns")]
    assert [blank.path for blank in blanks_of(Set)] == [*paths[:4], "spare"]
    assert [blank.path for blank in blanks_with(Set, {"springs": 3})] == [*paths, "spare"]
    assert {blank.group for blank in blanks_of(Set)[:4]} == {"The set"}
    assert letters_of(Set) == {"springs.wire_mm": "A", "spare.wire_mm": "A"}


def test_what_is_taken_over_from_another_stands_as_the_taker_says() -> None:
    @request
    class Coil(Spring):
        TAKEN_OVER: ClassVar[Placed] = {"group": "A coil", "letters": {"turns": "T"}, "helps": {"wire_mm": "Bare."}}
        pitch_mm: float | None = length("Pitch", letter="P")

    shown = {blank.path: (blank.group, blank.help) for blank in blanks_of(Coil)}
    assert shown == {"wire_mm": ("A coil", "Bare."), "turns": ("A coil", ""), "pitch_mm": ("", "")}
    assert letters_of(Coil) == {"wire_mm": "A", "turns": "T", "pitch_mm": "P"}
    assert letters_of(Spring) == {"wire_mm": "A"} and {blank.group for blank in blanks_of(Spring)} == {"The spring"}


def test_a_request_that_the_house_checks_elsewhere_has_its_fields_and_no_others() -> None:
    elsewhere = serializer_of(Spring)

    @request
    class Coil:
        CHECKED_BY: ClassVar = elsewhere
        wire_mm: Range | None = measured()
        turns: float = number(least=0, most=9, needed=True)

    assert serializer_of(Coil) is elsewhere
    assert made(Coil, passed(Coil, {"wire_mm": 2, "turns": 40})) == Coil(wire_mm=Range.exact(2.0), turns=40.0)

    @request
    class Less:
        CHECKED_BY: ClassVar = elsewhere
        turns: float = number(least=0, most=9, needed=True)

    @request
    class Other:
        CHECKED_BY: ClassVar = elsewhere
        wire_mm: float | None = length()
        turns: float = number(least=0, most=9, needed=True)

    with pytest.raises(TypeError, match=r"differ in .*wire_mm"):
        serializer_of(Less)
    with pytest.raises(TypeError, match=r"Other\.wire_mm is checked as Measured"):
        serializer_of(Other)
