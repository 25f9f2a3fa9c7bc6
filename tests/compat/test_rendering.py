"""An Answer as the API gives it: the verdict follows from the findings, and every code has words."""

from __future__ import annotations

import string
from typing import Any

import pytest

from compat import texts
from compat.engineering.answers import Answer, Finding, ask, note, stop, warn
from compat.engineering.face import face_shim
from compat.engineering.units import Range
from compat.texts import rendering

OPEN = ask("shoulder_to_lip_unknown", "trade")
OTHER_OPEN = ask("past_lip_unknown", "trade")
STOP = stop("stack_too_tall", "trade", by_mm=0.2)
WARN = warn("no_locking", "trade")
NOTE = note("lip_straddled", "trade", add_max_mm=0.3)


def shown(*findings: Finding, values: dict[str, Any] | None = None, sources: tuple[str, ...] = ()) -> dict[str, Any]:
    return rendering.answer(Answer("spacer", findings, values or {}, sources, ("makers_instructions",)))


@pytest.mark.parametrize(
    ("findings", "verdict"),
    [
        ([], "fits"),
        ([WARN, NOTE], "fits"),
        ([WARN, OPEN], "cannot_tell"),
        ([OPEN, STOP, NOTE], "does_not_fit"),
        ([STOP], "does_not_fit"),
    ],
)
def test_the_verdict_is_that_of_the_worst_finding(findings: list[Finding], verdict: str) -> None:
    assert shown(*findings)["verdict"] == verdict


def test_an_open_question_is_a_warning_that_says_what_to_measure() -> None:
    one, two = shown(OPEN, WARN)["findings"]
    assert (one["severity"], one["measure"]) == ("warn", True)
    assert (two["severity"], two["measure"]) == ("warn", False)


def test_the_summary_names_the_finding_that_decides_and_counts_the_others() -> None:
    assert shown(WARN)["summary"] == "It fits."
    both = shown(OPEN, OTHER_OPEN)["summary"]
    assert both.startswith("Cannot tell") and "Measure the shaft" in both and both.endswith("(1 more.)")
    stopped = shown(OPEN, STOP)["summary"]
    assert stopped.startswith("It does not fit. ") and "0.2 mm short" in stopped


def test_sources_are_named_once_and_those_of_the_findings_are_among_them() -> None:
    answer = shown(STOP, NOTE, sources=("iso_9445_1", "trade", "iso_9445_1"))
    assert answer["sources"] == [texts.SOURCES["iso_9445_1"], texts.SOURCES["trade"]]
    assert answer["findings"][0]["source"] == texts.SOURCES["trade"]


def test_the_side_stands_before_a_text_that_does_not_name_it() -> None:
    open_ports = stop("ports_open_outside", "trade", side="rebound", short_mm=1.0, needed_mm=0.5)
    assert shown(open_ports)["findings"][0]["text"].startswith("Rebound side: ")


WRONG = {
    "ports_outer_mm": 40.0,
    "ports_inner_mm": 12.01,
    "hub_mm": 11.9,
    "land_outer_mm": 33.0,
    "body_bore_mm": 33.5,
    "other_side_feed_inner_mm": 33.0,
    "shim_od_mm": 34.0,
    "shim_bore_mm": 12.0,
    "overlap_mm": 0.5,
}


@pytest.mark.parametrize("shaft_mm", [11.9, 12.1])
def test_what_stays_short_is_said_as_a_length_and_not_as_less_than_nothing(shaft_mm: float) -> None:
    """Everything wrong at once, each by some way: (34 - 40)/2 and play 0.05 leave the outer edges 3.05 mm open."""
    sizes = {name: Range.exact(value) for name, value in WRONG.items()}
    texts_of = [rendering.sentence(one) for one in face_shim(**sizes, shaft_mm=Range.exact(shaft_mm)).findings]
    assert len(texts_of) >= 6
    assert not [text for text in texts_of if "-" in text.replace("under-", "")]
    if shaft_mm < 12:
        assert "the shim's rim stays 3.05 mm short of their outer edge" in texts_of[0]
    else:
        assert "it lacks 0.05 mm all round" in texts_of[0]


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (Range(1.0, 2.0, 1.5), {"min": 1.0, "max": 2.0, "nominal": 1.5}),
        (0.1 + 0.2, 0.3),
        (-0.00001, 0.0),
        (3, 3),
        (True, True),
        (None, None),
        ("word", "word"),
        ((Range.exact(1.0), [0.30000000000000004]), [{"min": 1.0, "max": 1.0, "nominal": 1.0}, [0.3]]),
        ({"a": {"b": 2 / 3}}, {"a": {"b": 0.6667}}),
    ],
)
def test_numbers_are_shown_without_binary_dust(value: Any, expected: Any) -> None:
    found = rendering.number(value)
    assert found == expected
    assert str(found) == str(expected)


def test_every_text_is_a_sentence_that_ends() -> None:
    for code, text in {**texts.TEXTS, **texts.METHODS, **texts.CAUTIONS}.items():
        assert text == text.strip() and text[-1] in ".?!:", code
        assert text[0].isupper() or text[0] in "{'", code


def test_placeholders_are_plain_names() -> None:
    for code, text in texts.TEXTS.items():
        for _, name, _, conversion in string.Formatter().parse(text):
            assert name is None or name.isidentifier(), code
            # !r puts quotes around what somebody has typed.
            assert conversion in (None, "", "r"), code


def test_codes_are_snake_case() -> None:
    for code in texts.TEXTS:
        assert code == code.lower() and code.replace("_", "").isalnum(), code


def test_a_stack_that_fits_only_with_spacers_says_so_in_its_summary() -> None:
    needed = note("lip_needs_spacers", "trade", add_min_mm=0.2, add_max_mm=0.6)
    shown = rendering.document("stack", [needed], {}, (), ())
    assert shown["verdict"] == "fits"
    assert shown["summary"].startswith("It fits. Spacers of 0.2 to 0.6 mm are needed")
    assert rendering.document("spacer", [needed], {}, (), ())["summary"] == "It fits."
