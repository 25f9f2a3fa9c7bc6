"""Threads: readings that contradict each other or stand in another unit. Common practice, no published source, unless
a source stands beside the check."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compat.engineering.answers import Answer, Severity, Verdict
from compat.engineering.nut_on_shaft import Nut, ShaftEnd, nut_on_shaft
from compat.engineering.thread_reading import thread_reading
from compat.engineering.threads.designation import known_threads
from compat.questions.nut_on_shaft import texts as texts
from compat.questions.thread_reading import texts as reading_texts

# A pair that fits, as in test_nut_on_shaft.py; here of 1/2-28, limits in test_thread_unef.py.
SHAFT = ShaftEnd(
    thread="1/2-28 UNEF", tolerance_class="2A", hand="right", gauged_pitch_mm=0.907, major_mm=12.6, hole_mm=5.0,
    end_condition="plain", full_thread_start_mm=28.0, shaft_end_mm=46.0, property_class="8.8",
    thread_relief=False,
)  # fmt: skip
NUT = Nut(
    thread="1/2-28 UNEF", tolerance_class="2B", hand="right", gauged_pitch_mm=0.907, minor_mm=11.8, height_mm=11.1,
    chamfer_mm=0.6, property_class="10", locking="compound", condition="new", underside_mm=31.0,
)  # fmt: skip


def ask(shaft: dict[str, Any] | None = None, nut: dict[str, Any] | None = None) -> Answer:
    answer = nut_on_shaft(replace(SHAFT, **(shaft or {})), replace(NUT, **(nut or {})))
    for finding in answer.findings:
        assert texts.TEXTS[finding.code].format(**finding.data)
    return answer


def codes(answer: Answer, severity: Severity | None = None) -> set[str]:
    return {finding.code for finding in answer.findings if severity in (None, finding.severity)}


def test_an_extra_fine_nut_fits_its_own_shaft() -> None:
    answer = ask()
    assert answer.verdict is Verdict.FITS, codes(answer, Severity.ASK) | codes(answer, Severity.STOP)


@pytest.mark.parametrize(("label", "size_mm"), [("1/2-28 UNEF", 0.5), ("1/2-20 UNF", 0.5), ("1/2-20 UNF", 0.496)])
def test_half_an_inch_typed_as_millimetres_is_a_question_and_no_stop(label: str, size_mm: float) -> None:
    pitch = 25.4 / int(label[4:6])
    answer = ask(
        {"thread": label, "gauged_pitch_mm": pitch, "major_mm": size_mm},
        {"thread": label, "gauged_pitch_mm": pitch, "minor_mm": 11.45 if pitch > 1 else 11.8},
    )
    asked = [finding for finding in answer.findings if finding.code == "thread_reading_in_inches"]
    assert [(finding.data["field"], finding.data["mm"]) for finding in asked] == [
        ("major_mm", round(size_mm * 25.4, 3))
    ]
    assert answer.verdict is Verdict.CANNOT_TELL
    assert codes(answer, Severity.STOP) == set()


@pytest.mark.parametrize(("part", "field", "value"), [("shaft", "major_mm", 0.4685), ("nut", "minor_mm", 0.423)])
def test_a_crest_in_inches_is_asked_about_while_the_thread_is_not_known(part: str, field: str, value: float) -> None:
    change: dict[str, Any] = {"thread": None, field: value}
    answer = ask(change) if part == "shaft" else ask(nut=change)
    asked = [finding for finding in answer.findings if finding.code == "thread_reading_in_inches"]
    assert [(finding.data["part"], finding.data["field"]) for finding in asked] == [(part, field)]
    plain: dict[str, Any] = {"thread": None}
    assert "thread_reading_in_inches" not in codes(ask(plain) if part == "shaft" else ask(nut=plain))


def test_a_label_of_the_extra_fine_series_that_the_gauge_contradicts_is_open() -> None:
    """The gauge reads 20 per inch on a shaft labelled 1/2-28: 1/2-20 is the thread that it then is (ASME B1.1)."""
    answer = ask({"gauged_pitch_mm": 1.27})
    assert "gauge_contradicts_label" in codes(answer, Severity.ASK)
    stopped = next(finding for finding in answer.findings if finding.code == "threads_differ")
    assert (stopped.data["shaft"], stopped.data["nut"]) == ("1/2-20 UNF", "1/2-28 UNEF")
    both = ask({"gauged_pitch_mm": 1.27}, {"gauged_pitch_mm": 1.27})
    assert both.verdict is not Verdict.FITS
    assert "gauge_contradicts_label" in codes(both, Severity.ASK)


def test_a_label_that_contradicts_itself_is_a_question() -> None:
    answer = ask({"thread": "1/2-20 UNEF"})
    assert "series_contradicts_pitch" in codes(answer, Severity.ASK)
    assert answer.verdict is Verdict.CANNOT_TELL


def test_swapped_readings_of_bore_and_outside_are_a_question_and_no_stop() -> None:
    answer = ask({"major_mm": 11.8}, {"minor_mm": 12.6})
    asked = [finding for finding in answer.findings if finding.code == "bore_over_outside"]
    assert [dict(finding.data) for finding in asked] == [{"bore_mm": 12.6, "outside_mm": 11.8}]
    assert answer.verdict is Verdict.CANNOT_TELL
    assert codes(answer, Severity.STOP) == set()


def test_a_bore_over_the_outside_that_no_swap_explains_still_stops() -> None:
    """A nut with a bore of 13.2 mm does slide over a shaft of 12.6 mm, whatever the labels say."""
    answer = ask(nut={"minor_mm": 13.2})
    assert "bore_over_outside" in codes(answer, Severity.ASK)
    assert "overlap_too_small" in codes(answer, Severity.STOP)


def test_a_bore_over_the_outside_is_asked_about_without_any_label() -> None:
    assert "bore_over_outside" in codes(ask({"thread": None, "major_mm": 10.0}, {"thread": None, "minor_mm": 11.0}))


def test_a_diameter_in_inches_is_not_taken_for_a_bore_over_the_outside() -> None:
    assert "bore_over_outside" not in codes(ask({"major_mm": 0.496}))
    assert "bore_over_outside" not in codes(ask())


@pytest.mark.parametrize("hole_mm", [12.7, 13.5])
def test_a_hole_wider_than_its_shaft_is_a_question(hole_mm: float) -> None:
    answer = ask({"hole_mm": hole_mm})
    assert "thread_reading_implausible" in codes(answer, Severity.ASK)
    assert answer.verdict is Verdict.CANNOT_TELL


@given(st.floats(9.0, 15.0), st.floats(9.0, 15.0))
def test_no_pair_of_crests_with_the_bore_outside_the_shaft_fits(outside: float, bore: float) -> None:
    answer = ask({"major_mm": outside}, {"minor_mm": bore})
    if bore >= outside:
        assert answer.verdict is not Verdict.FITS
    assert ("bore_over_outside" in codes(answer)) == (outside + 0.02 < bore - 0.02 and bore - 0.02 <= 1.5 * outside)


# Which thread is this?


def test_diameter_and_pitch_typed_into_each_others_field_are_asked_about() -> None:
    answer = thread_reading("shaft", diameter_mm=1.25, pitch_mm=11.9)
    asked = answer.findings[0]
    assert (asked.code, asked.data["threads"]) == ("readings_swapped", "M12x1.25")
    assert reading_texts.TEXTS[asked.code].format(**asked.data)
    assert answer.verdict is Verdict.CANNOT_TELL


@pytest.mark.parametrize(
    ("diameter", "pitch"),
    [(0.468, 1.25), (0.5, 20.0), (11.9, 1.25), (11.9, 20.0), (0.547, 2.0)],
)
def test_readings_in_inches_are_not_taken_for_swapped_ones(diameter: float, pitch: float) -> None:
    answer = thread_reading("shaft", diameter_mm=diameter, pitch_mm=pitch)
    assert "readings_swapped" not in codes(answer)


@pytest.mark.parametrize("thread", known_threads(), ids=lambda thread: str(thread.name))
def test_no_right_reading_of_any_thread_looks_swapped_or_in_inches(thread: Any) -> None:
    answer = thread_reading("shaft", diameter_mm=thread.nominal_mm, pitch_mm=thread.pitch_mm)
    assert (
        codes(answer) & {"readings_swapped", "reading_in_inches", "pitch_too_fine", "reading_outside_tables"} == set()
    )


def test_a_pitch_in_inches_is_asked_about() -> None:
    """20 per inch are 0.05 inch; the finest pitch of the tables is 0.35 mm (ISO 261)."""
    assert "pitch_too_fine" in codes(thread_reading("shaft", diameter_mm=12.6, pitch_mm=0.05))
    assert "pitch_too_fine" not in codes(thread_reading("shaft", diameter_mm=2.95, pitch_mm=0.35))
