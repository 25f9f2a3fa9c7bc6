"""The rows of the bench: errors beside the row that has them, buttons on the row they stand in, and the focus."""

from __future__ import annotations

import re

import pytest
from django.test import Client as Browser
from django.urls import reverse

from tests import people
from tests.api.conftest import STACKS, damper_document, lay_in, line, saved_damper
from tests.compat.test_bench import Typed, ask, focused, typed, values
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(client: Browser) -> Browser:
    return signed_in(client, people.tuner())


@pytest.fixture
def fork(db: None) -> str:
    """A damper with a main valve and a base valve of compression alone."""
    document = damper_document("FO-1")
    sides = {"compression": document["valves"][0]["sides"]["compression"]}
    document["valves"].append({"code": "base", "shaft_mm": 8.0, "piston_height_mm": 8.0, "sides": sides})
    return saved_damper(document)


def wrong(text: str) -> dict[str, str]:
    """{row: what is said beside it}."""
    return dict(re.findall(r'id="([a-z]+-[a-z]+-\d+)-wrong">([^<]*)', text))


def kept(bench: Browser, sent: Typed) -> str:
    """The page that refuses to keep the plan."""
    reply = bench.post(reverse("bench"), {**sent, "once": "K", "do": "plan"})
    assert reply.status_code == 422
    return str(reply.content.decode())


def all_focused(text: str) -> list[str]:
    """The name of everything on the page that asks for the focus."""
    return re.findall(r'<(?:input|textarea|select)[^>]*name="([^"]*)"[^>]*\sautofocus', text)


def test_every_error_stands_beside_its_own_row(bench: Browser, shelf: str) -> None:
    lines = [line(500, 0.15), line(34, 9), line(38, 0.15), line(30, 0.2), line(28, 8)]
    said = wrong(kept(bench, typed({"rebound": lines})))
    assert list(said) == ["main-rebound-0", "main-rebound-1", "main-rebound-4"]
    assert said["main-rebound-0"].startswith("Diameter: It must lie within")
    assert said["main-rebound-1"].startswith("Thickness: ") and said["main-rebound-4"].startswith("Thickness: ")


def test_rows_that_were_passed_over_do_not_shift_the_errors_behind_them(bench: Browser, shelf: str) -> None:
    sent = typed({"rebound": [line(36, 0.2), line(34, 0.2), line(30, 9)]})
    sent |= {"main-rebound-0-od": "", "main-rebound-0-thickness": "", "main-rebound-0-count": ""}
    assert list(wrong(kept(bench, sent))) == ["main-rebound-2"]


@pytest.mark.parametrize(
    ("on_main", "beside"),
    [
        ([500.0], ["main-compression-0", "base-compression-0"]),
        ([36.0, 500.0], ["main-compression-1", "base-compression-0"]),
        ([36.0], ["base-compression-0"]),
        ([], ["base-compression-0"]),
    ],
)
def test_an_error_stands_at_its_own_valve(bench: Browser, fork: str, on_main: list[float], beside: list[str]) -> None:
    main = typed({"compression": [line(od, 0.15) for od in on_main]})
    base = typed({"compression": [line(500, 0.15)]}, valve="base")
    assert list(wrong(kept(bench, {**main, **base, "damper": fork}))) == beside


def test_two_errors_of_one_cell_are_both_said(bench: Browser, shelf: str) -> None:
    sent = typed({"rebound": [line(500, 0.2)]}) | {"main-rebound-0-form": "square"}
    said = wrong(kept(bench, sent))["main-rebound-0"]
    assert "must lie within" in said and "square" in said


def test_what_is_wrong_with_a_whole_side_is_said_there(bench: Browser, shelf: str) -> None:
    text = kept(bench, typed({"rebound": [line(34, 0.2, 150), line(30, 0.2, 150)]}))
    assert wrong(text) == {}
    assert '<div class="refused" role="alert"><p>It may have at most 200 shims.</p></div>' in text


@pytest.mark.parametrize(
    ("do", "left", "goes_on"),
    [
        ("remove:main-rebound:1", ["34", "30", "20"], "main-rebound-2-od"),
        ("insert:main-rebound:2", ["34", "30", "22", "", "20"], "main-rebound-3-od"),
        ("insert:main-rebound:0", ["", "34", "30", "22", "20"], "main-rebound-0-od"),
        ("remove:main-rebound:0", ["22", "20"], "main-rebound-0-od"),
    ],
)
def test_a_button_hits_its_own_row_below_a_cell_that_holds_several_lines(
    bench: Browser, shelf: str, do: str, left: list[str], goes_on: str
) -> None:
    sent = typed({"rebound": [line(1, 1), line(22, 0.1), line(20, 0.3)]})
    sent |= {"main-rebound-0-od": "34x0.20 x2; 30x0.15", "main-rebound-0-thickness": "", "main-rebound-0-count": ""}
    text = ask(bench, sent, do=do)
    assert values(text, "od")[1:] == [*left, ""]
    assert focused(text) == [goes_on]


def test_a_row_that_is_not_whole_is_said_to_be_left_out(bench: Browser, shelf: str) -> None:
    text = ask(bench, typed(STACKS) | {"main-rebound-1-count": "", "main-compression-3-thickness": ""})
    said = [
        "<p>Compression, line 4 is not whole yet and is not counted.</p>",
        "<p>Rebound, line 2 is not whole yet and is not counted.</p>",
    ]
    assert [text.count(one) for one in said] == [1, 1]
    assert text.index(said[0]) < text.index(said[1]) < text.index("data-verdict")
    assert "not counted" not in ask(bench, typed(STACKS))


def test_a_row_of_another_valve_is_named_with_it(bench: Browser, fork: str) -> None:
    lay_in(line(36, 0.2, 2), bore_mm=8)
    sent = {**typed({"compression": [line(36, 0.2, 2), line(20, 0.2)]}, valve="base"), "damper": fork}
    text = ask(bench, sent | {"base-compression-1-count": ""})
    assert "Base valve, compression, line 2 is not whole yet" in text


def test_a_first_row_that_was_only_begun_is_no_mistake_yet(bench: Browser, shelf: str) -> None:
    text = ask(bench, typed({"rebound": [line(34, 0.2)]}) | {"main-rebound-0-count": ""})
    assert "diameter, Enter, thickness, Enter, count, Enter" in text
    assert "No answer yet" not in text


def test_a_cell_that_cannot_be_read_withholds_the_answer(bench: Browser, shelf: str) -> None:
    text = ask(bench, typed(STACKS) | {"main-rebound-1-count": "two"})
    assert "data-verdict" not in text
    assert ">Rebound, line 2: It must be a whole number from 1 to 200.</p>" in text
    assert 'data-wrong="main-rebound-1-count" data-said="Count: It must be a whole number' in text


@pytest.mark.parametrize(
    ("change", "goes_on"),
    [
        ({"main-rebound-2-thickness": "9"}, "main-rebound-2-thickness"),
        ({"main-rebound-3-count": "0", "job": "=1"}, "main-rebound-3-count"),
        ({"main-rebound-1-count": ""}, "main-rebound-1-count"),
        ({"main-rebound-text": "rubbish"}, "main-rebound-text"),
        ({"also": "NU-404"}, "also"),
        ({"job": "=1"}, "job"),
        ({"hole_mm": "wide"}, "hole_mm"),
        ({"curve_percent": "101"}, "curve_percent"),
    ],
)
def test_a_refusal_puts_the_focus_where_mending_begins(bench: Browser, shelf: str, change: Typed, goes_on: str) -> None:
    assert all_focused(kept(bench, typed(STACKS) | change)) == [goes_on]


def test_a_field_that_is_wrong_is_not_folded_away(bench: Browser, shelf: str) -> None:
    for change in ({"hole_mm": "wide"}, {"curve_percent": "101"}, {"main-rebound-text": "rubbish"}):
        text = kept(bench, typed(STACKS) | change)
        before = text[: text.index(f'name="{next(iter(change))}"')]
        assert before.rindex("<details") == before.rindex("<details open>")


def test_a_refusal_of_nothing_in_particular_has_the_focus_itself(bench: Browser, shelf: str) -> None:
    text = kept(bench, typed({"rebound": []}))
    assert '<div class="refused" role="alert" tabindex="-1" autofocus><p>No shims yet' in text
    assert all_focused(text) == []
