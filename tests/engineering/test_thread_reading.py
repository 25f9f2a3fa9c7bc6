"""Which thread is this? Against tabulated limits of a library, and the traps of the trade."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from screw_thread_lib.data import ASME_M_6g6H_dict, ASME_UN_2A2B_dict

from compat.engineering.answers import Answer, Verdict
from compat.engineering.thread_reading import thread_reading
from compat.engineering.threads.designation import known_threads, parse
from compat.engineering.threads.limits import external_limits, internal_limits
from compat.engineering.units import MM_PER_INCH, Range

THREADS = known_threads()


def names(answer: Answer, *, inside: bool = True) -> list[str]:
    return [one["thread"] for one in answer.values["candidates"] if one["inside"] or not inside]


def codes(answer: Answer) -> set[str]:
    return {finding.code for finding in answer.findings}


@pytest.mark.parametrize("thread", THREADS, ids=lambda thread: thread.name)
@pytest.mark.parametrize("part", ["shaft", "nut"])
def test_every_thread_is_its_own_best_candidate(part: str, thread: object) -> None:
    """Made to the middle of 6g/6H or 2A/2B and read exactly. Limits: tests/engineering/test_thread_limits.py."""
    one = next(known for known in THREADS if known is thread)
    unified = bool(one.size)
    if part == "shaft":
        middle = external_limits(one, "2A" if unified else "6g").major.nominal
    else:
        middle = internal_limits(one, "2B" if unified else "6H").minor.nominal
    answer = thread_reading(part, diameter_mm=middle, pitch_mm=one.pitch_mm, pitch_error_mm=0.005)
    assert names(answer) == [one.name]


INCHES = [size for size in ASME_UN_2A2B_dict if size[:2] != "10" and size != "1-14"]  # 10 is a number, 1-14 is UNS


@pytest.mark.parametrize("size", [*ASME_M_6g6H_dict, *INCHES])
def test_every_part_inside_published_limits_finds_its_thread(size: str) -> None:
    """At both limits of ASME B1.13M and B1.1 as screw-thread-lib tabulates them, by a caliper and a leaf gauge."""
    metric = size in ASME_M_6g6H_dict
    row = (ASME_M_6g6H_dict if metric else ASME_UN_2A2B_dict)[size]
    name = size.replace("-", "x") if metric else f"{size} {row['series']}"
    thread = parse(name)
    for part, ends in (("shaft", ("dmax", "dmin")), ("nut", ("D1max", "D1min"))):
        for end in ends:
            found = names(thread_reading(part, diameter_mm=row[end] * MM_PER_INCH, pitch_mm=thread.pitch_mm))
            assert thread.name in found, (part, end)


# What a caliper alone cannot tell (common practice, no published source), with the limits of ISO
# 965-1 and ASME B1.1 in tests/engineering/test_thread_limits.py
def test_a_caliper_alone_never_names_a_shaft() -> None:
    answer = thread_reading("shaft", diameter_mm=11.87)
    assert answer.verdict is Verdict.CANNOT_TELL
    assert {"M12x1.25", "M12x1.5", "M12x1.75"} <= set(names(answer))
    assert {one["reading"] for one in answer.values["separate_by"]} == {"pitch"}


def test_bores_that_overlap_need_the_pitch() -> None:
    """M12x1.25 and M12x1.5 nuts overlap from 10.647 to 10.676 mm."""
    answer = thread_reading("nut", diameter_mm=10.66)
    assert {"M12x1.25", "M12x1.5"} <= set(names(answer))
    told = {one["thread"]: one for one in answer.values["separate_by"]}
    first = answer.values["candidates"][0]["thread"]
    other = "M12x1.25" if first != "M12x1.25" else "M12x1.5"
    assert told[other]["reading"] == "pitch"
    assert (told[other]["over_threads"], told[other]["other_mm"].nominal) == (10, 12.5 if other == "M12x1.25" else 15)


def test_a_leaf_that_takes_20_per_inch_for_1_25_is_told_by_the_diameter() -> None:
    """1/2-20: bore 11.33 to 11.61, M12x1.25: 10.65 to 10.91 mm; 1.27 and 1.25 mm lie under one leaf."""
    by_leaf = thread_reading("nut", pitch_mm=1.25)
    assert {"M12x1.25", "1/2-20 UNF"} <= set(names(by_leaf))
    assert names(thread_reading("nut", pitch_mm=1.25, diameter_mm=11.45)) == ["1/2-20 UNF"]
    assert names(thread_reading("nut", threads_per_inch=20, diameter_mm=10.8)) == ["M12x1.25"]


def test_one_thread_with_both_readings_fits_and_names_what_it_does_not_know() -> None:
    answer = thread_reading("shaft", diameter_mm=11.9, pitch_mm=1.25)
    assert (answer.verdict, names(answer)) == (Verdict.FITS, ["M12x1.25"])
    assert codes(answer) == {"one_thread_matches"}


def test_a_neighbour_within_twice_the_errors_is_asked_about() -> None:
    """9/16-18 (14.288 mm, 1.411) and M14x1.5 (to 14.000 mm): between them nothing is sure."""
    answer = thread_reading("shaft", diameter_mm=14.02, pitch_mm=1.45)
    assert answer.verdict is Verdict.CANNOT_TELL
    assert {"another_thread_is_near"} <= codes(answer) or {"several_threads_match"} <= codes(answer)
    assert {"M14x1.5", "9/16-18 UNF"} <= set(names(answer, inside=False))


@pytest.mark.parametrize(
    ("told", "code"),
    [
        ({"diameter_mm": 0.47, "pitch_mm": 1.25}, "reading_in_inches"),
        ({"diameter_mm": 119.0, "pitch_mm": 1.25}, "reading_outside_tables"),
        ({"diameter_mm": 11.9, "pitch_mm": 20}, "pitch_looks_per_inch"),
        ({"diameter_mm": 11.9, "pitch_mm": 0.05}, "pitch_too_fine"),
        ({"diameter_mm": 11.4, "pitch_mm": 1.25}, "no_thread_matches"),
        ({"pitch_mm": 1.25}, "reading_diameter_missing"),
        ({"diameter_mm": 11.9}, "reading_pitch_missing"),
        ({}, "reading_pitch_missing"),
        ({"diameter_mm": 12.6, "threads_per_inch": 13}, "one_thread_matches"),
        ({"diameter_mm": 9.45, "threads_per_inch": 16}, "whitworth_twin"),
    ],
)
def test_what_is_said_of_a_reading(told: dict[str, float], code: str) -> None:
    answer = thread_reading("shaft", **told)
    assert code in codes(answer)
    assert answer.verdict is (Verdict.FITS if code in {"one_thread_matches"} else Verdict.CANNOT_TELL)


@pytest.mark.parametrize(
    ("part", "told"),
    [
        ("bolt", {"diameter_mm": 12.0}),
        ("nut", {"pitch_mm": 1.25, "threads_per_inch": 20.0}),
        ("nut", {"pitch_mm": -1.0}),
        ("nut", {"pitch_mm": float("nan")}),
        ("nut", {"diameter_mm": 10.8, "diameter_error_mm": 0.0}),
    ],
)
def test_what_is_no_question_is_refused(part: str, told: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"shaft or nut|give one|above zero"):
        thread_reading(part, **told)


diameters = st.floats(2.0, 38.0)
pitches = st.floats(0.4, 4.5)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(["shaft", "nut"]), diameters, pitches, st.floats(1.0, 4.0))
def test_a_coarser_gauge_rules_nothing_out_and_one_reading_less_never_decides(
    part: str, diameter: float, pitch: float, factor: float
) -> None:
    fine = thread_reading(part, diameter_mm=diameter, pitch_mm=pitch, diameter_error_mm=0.02, pitch_error_mm=0.02)
    coarse = thread_reading(
        part, diameter_mm=diameter, pitch_mm=pitch, diameter_error_mm=0.02 * factor, pitch_error_mm=0.02 * factor
    )
    assert set(names(fine)) <= set(names(coarse)) or len(names(coarse)) == 12
    if coarse.verdict is Verdict.FITS and fine.verdict is Verdict.FITS:
        assert names(coarse) == names(fine)
    for less in ({"diameter_mm": diameter}, {"pitch_mm": pitch}):
        assert thread_reading(part, **less).verdict is Verdict.CANNOT_TELL


def test_a_range_is_taken_as_it_is() -> None:
    answer = thread_reading("shaft", diameter_mm=Range(11.7, 12.4, 11.9), pitch_mm=1.25, pitch_error_mm=0.01)
    assert names(answer) == ["M12x1.25"]
