"""The one reader of sizes: its table, and thousands of texts that it reads or refuses with a sentence."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compat.engineering.threads.designation import ThreadError, parse
from inventory.common.sizes.echo import heard, read_as
from inventory.common.sizes.numbers import single
from inventory.common.sizes.reading import read
from inventory.common.sizes.refusals import REFUSALS, TextError
from inventory.common.sizes.table import UNDERSTOOD, Example
from inventory.common.sizes.wanted import meanings


@pytest.mark.parametrize("one", UNDERSTOOD, ids=lambda one: one.text)
def test_every_row_of_the_table_is_read_as_it_says(one: Example) -> None:
    first, *others = heard(one.text)
    assert (first, len(others)) == (one.first, one.others)


@pytest.mark.parametrize(
    ("text", "both"),
    [
        ("222", {"O-ring, size 222 of AS568", "band, for a bore of 222 mm"}),
        ("44x3.5", {"O-ring, inside 44 mm, section 3.5 mm", "shim, outside 44 mm, thickness 3.5 mm"}),
        ("o-ring 44x3.5", {"O-ring, inside 44 mm, section 3.5 mm", "O-ring, outside 44 mm, section 3.5 mm"}),
        (
            "34x0.15x12",
            {
                "shim, outside 34 mm, thickness 0.15 mm, bore 12 mm",
                "shim, outside 34 mm, thickness 0.15 mm, 12 pieces",
            },
        ),
        ("44 x3", {"O-ring, inside 44 mm, section 3 mm", "piston, outside 44 mm, 3 pieces"}),
        ("12x1.25", {"nut, thread diameter 12 mm, pitch 1.25 mm", "shim, outside 12 mm, thickness 1.25 mm"}),
    ],
)
def test_words_with_two_meanings_name_both(text: str, both: set[str]) -> None:
    said = heard(text)
    found = {one for wanted in both for one in said if _holds(one, wanted)}
    assert len(found) >= len(both), said


def _holds(said: str, wanted: str) -> bool:
    """Whether a line says these sizes of this kind, among others of the same sizes."""
    kind, _, sizes = wanted.partition(", ")
    titles, _, told = said.partition(", " + sizes)
    return kind in titles and not told and said.endswith(sizes)


@pytest.mark.parametrize(
    ("one", "same"),
    [
        ("34x0.15", "34 × 0,15 mm"),
        ("34x0.15 x3", "3 off 34x0.15"),
        ("34x0.15 x3", "34 0,15 qty 3"),
        ("o-ring 44x3.5", "O-Rings 44 x 3,5"),
        ("222 nbr", "222 nitrile"),
        ("ring -222", "AS568-222"),
        ("1.75 x 0.139 in", '1.75" x 0.139"'),
        ("1 3/4 in od", "od 1-3/4 in"),
        ("M12x1.25", "m12 × 1,25"),
        ("34mm x 0.15", "34 x 0.15 mm"),
    ],
)
def test_two_ways_to_write_one_thing_are_read_alike(one: str, same: str) -> None:
    assert heard(one) == heard(same) != []


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("12,5", "12.5"),
        ("Ø34 mm", "34"),
        (".15", ".15"),
        ('1.75"', None),
        ("1 3/4 in", None),
        ("6 thou", None),
        ("1/2", None),
        ("34x0.15", None),
        ("", None),
        ("-3", None),
        ("٣", None),
    ],
)
def test_one_length_in_a_box_of_its_own(text: str, mm: str | None) -> None:
    assert single(text) == mm


PIECES = [
    *("shim", "shims", "o-ring", "ring", "nut", "washer", "piston", "band", "bush", "seal head", "NBR", "FKM 75"),
    *("bore", "od", "id", "section", "thick", "high", "af", "pitch", "tpi", "x", "×", "x3", "3 off", "qty 2", ","),
    *("34", "0.15", "0,15", "12", "44", "3.5", "222", "-222", "2-222", "AS568-222", "M12x1.25", "1/2-20 UNF", "3/4"),
    *("1 3/4 in", "in", '"', "mm", "thou", "about", "±0.1", "micrometer", "left hand", "notched", "Ø", "SH-12-34"),
]


def test_any_words_of_sizes_are_read_in_named_ways_or_refused_with_a_sentence() -> None:
    """In numbers: a draw of hypothesis takes longer than the reader does."""
    dice = random.Random(0)
    for _ in range(5_000):
        read_or_refused(" ".join(dice.choices(PIECES, k=dice.randint(1, 7))))


@settings(max_examples=1000, deadline=None)
@given(st.one_of(st.lists(st.sampled_from(PIECES), min_size=1, max_size=7).map(" ".join), st.text(max_size=60)))
def test_any_text_is_read_in_named_ways_or_refused_with_a_sentence(text: str) -> None:
    read_or_refused(text)


def read_or_refused(text: str) -> None:
    said: list[TextError] = []
    try:
        wanted = read(text)
    except TextError as refused:
        said.append(refused)
    if said:
        assert said[0].code in REFUSALS and said[0].sentence.endswith(".")
        return
    ways = meanings(wanted)
    assert ways and len(read_as(wanted)) >= 1
    # What is written otherwise is read alike: in capitals, with wide blanks, with a comma for the point.
    for same in (text.upper(), f"  {text}  ", text.replace("×", "x")):
        if len(same) <= 120:
            assert heard(same) == heard(text) or text.upper().lower() != text.lower()
    for one in ways:
        assert one.dash or one.sizes
        assert all(number.mm > 0 for number in one.sizes.values())
        assert one.count is None or one.count >= 1


@pytest.mark.parametrize("point", [".", ","])
def test_a_shim_is_read_back_from_however_it_is_written(point: str) -> None:
    dice = random.Random(point)
    corners = [(od, thick, count) for od in (8_000, 60_000) for thick in (50, 990) for count in (1, 99)]
    drawn = [(dice.randint(8_000, 60_000), dice.randint(50, 990), dice.randint(1, 99)) for _ in range(1_000)]
    for od, thick, count in [*corners, *drawn]:
        read_back(od, thick, count, point)


def read_back(od: int, thick: int, count: int, point: str) -> None:
    size = [f"{um / 1000:g}".replace(".", point) for um in (od, thick)]
    for text in (
        f"{size[0]}x{size[1]} x{count}",
        f"{count} off {size[0]} x {size[1]}",
        f"{size[0]} {size[1]} {count}pcs",
    ):
        shims = [one for one in meanings(read(text), "shim") if {"od_mm", "thickness_mm"} <= set(one.sizes)]
        assert [
            (round(1000 * one.sizes["od_mm"].mm), round(1000 * one.sizes["thickness_mm"].mm), one.count)
            for one in shims
        ] == [(od, thick, count)]


@settings(max_examples=500, deadline=None)
@given(
    st.sampled_from(["3", "4", "5", "6", "8", "10", "12", "14", "16", "20"]),
    st.sampled_from(["0.5", "0,75", "1", "1.25", "1,5", "2"]),
)
def test_the_plain_numbers_of_a_thread_are_those_of_the_engine(nominal: str, pitch: str) -> None:
    thread = read(f"M{nominal}x{pitch}").thread
    assert thread is not None and thread.pitch_mm is not None
    try:
        engine = parse(thread.text)
    except ThreadError:
        return
    assert (thread.name, thread.nominal_mm, thread.pitch_mm) == (engine.name, engine.nominal_mm, engine.pitch_mm)
