"""What people write for a thread. Designations by ISO 965-1 and ASME B1.1; diameters and pitches by ISO 261."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.threads.designation import Form, ThreadError, known_threads, parse


@pytest.mark.parametrize(
    "written",
    [
        "M12x1.25",
        "M12 x 1,25",
        "M12-1.25",
        "m12X1.25",
        "M12×1,250",
        "M12 1.25",
        "M12*1.25",
        "M12x1.25 RH",
        " M12x1.25 ",
    ],
)
def test_every_way_of_writing_it_is_one_thread(written: str) -> None:
    thread = parse(written)
    assert (thread.name, thread.nominal_mm, thread.pitch_mm, thread.starts) == ("M12x1.25", 12, 1.25, 1)


def test_no_pitch_means_the_coarse_pitch_and_says_so() -> None:
    assert (parse("M12").pitch_mm, parse("M12").coarse_taken) == (1.75, True)
    assert (parse("M12-6g").pitch_mm, parse("M12 6H").tolerance_class) == (1.75, "6H")
    assert parse("M12x1.75").coarse_taken is False


def test_hand_is_unknown_unless_it_is_written() -> None:
    assert parse("M12x1.25").hand is None
    for written in ("M12-1.25 LH", "M12x1.25LH", "M12x1.25-6g-LH", "M12x1.25 LH 6g", "M12x1.25 left hand"):
        assert parse(written).hand == "left"
    assert parse("M12x1.25 RH").hand == "right"


def test_classes_keep_their_letters_case() -> None:
    assert parse("M12x1.25-6g").tolerance_class == "6g"
    assert parse("M12x1.25-6G").tolerance_class == "6G"
    assert parse("M27x1.5-4e6g").tolerance_class == "4e6g"
    assert parse("1/2-20 UNF-2b").tolerance_class == "2B"


def test_starts_follow_from_lead_and_pitch() -> None:
    thread = parse("M16xPh3P1.5")
    assert (thread.starts, thread.pitch_mm, thread.name) == (2, 1.5, "M16xPh3P1.5")


@pytest.mark.parametrize("written", ["1/2-20 UNF", "1/2 UNF", ".5-20 UNF", "½-20 UNF", "1/2-20", '1/2"-20 UNF'])
def test_unified_threads(written: str) -> None:
    thread = parse(written)
    assert (thread.form, thread.name, thread.threads_per_inch) == (Form.UNIFIED, "1/2-20 UNF", 20)
    assert [thread.nominal_mm, thread.pitch_mm] == pytest.approx([12.7, 1.27])


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("M12 fine", "pitch_ambiguous"),
        ("M15", "pitch_ambiguous"),
        ("12x1.25", "thread_form_missing"),
        ("M12x20", "pitch_is_per_inch"),
        ("M12x1.3", "pitch_not_standard"),
        ("M12x6", "pitch_not_standard"),
        ("M13x1", "diameter_not_standard"),
        ("1/0-20", "diameter_not_standard"),
        ("MJ12x1.25", "thread_form_unknown"),
        ("G1/2", "thread_form_unknown"),
        ("1/4-20 BSW", "thread_form_unknown"),
        ("1/4-20", "series_missing"),
        ("1/2", "series_missing"),
        ("1/2-20 UNC", "series_contradicts_pitch"),
        ("M10x1.5 fine", "metric_series_contradicts"),
        ("M10x1.25 coarse", "metric_series_contradicts"),
        ("1/2-14 UNF", "pitch_not_standard"),
        ("M12x1.25-6H/6g", "class_is_a_pair"),
        ("M16xPh3P2", "thread_not_understood"),
        ("M12x", "thread_not_understood"),
        ("nut", "thread_not_understood"),
        ("", "thread_not_understood"),
        ("M12x1.25" + " " * 50 + "LH", "thread_not_understood"),
    ],
)
def test_what_could_mean_two_threads_is_refused(written: str, code: str) -> None:
    with pytest.raises(ThreadError) as refused:
        parse(written)
    assert refused.value.code == code


def test_the_name_of_every_known_thread_reads_back_as_itself() -> None:
    threads = known_threads()
    assert len(threads) > 80
    for thread in threads:
        back = parse(thread.name)
        assert (back.form, back.nominal_mm, back.pitch_mm) == (thread.form, thread.nominal_mm, thread.pitch_mm)


@given(st.text(max_size=45) | st.from_regex(r"M1[0-9][x -][0-9.,]{1,5}[ -]?[0-9A-Za-z/]{0,6}", fullmatch=True))
def test_any_text_gives_a_thread_or_a_thread_error(text: str) -> None:
    try:
        thread = parse(text)
    except ThreadError:
        return
    assert parse(thread.name).pitch_mm == thread.pitch_mm
