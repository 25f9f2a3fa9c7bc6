"""The bench: a stack typed row by row, the answer beside it, and the plan that is kept."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inventory.dampers.selectors import saved_stack
from inventory.jobs.models import Plan
from tests import factories, people
from tests.api.conftest import STACKS, damper_document, job, lay_in, line, saved_damper, statements
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db

Typed = dict[str, str]
SWAP = {"HX-Request": "true"}


@pytest.fixture
def bench(client: Browser) -> Browser:
    """A browser in which the tuner is signed in."""
    return signed_in(client, people.tuner())


def typed(stacks: dict[str, list[dict[str, Any]]], valve: str = "main", **more: str) -> Typed:
    """A stack as the page sends it, with an empty row behind each side."""
    found = {"damper": "HA-46", "stand_ins": "on", "spacer": "on", "nut": "on", **more}
    for side, lines in stacks.items():
        rows = [(f"{one['od_mm']:g}", f"{one['thickness_mm']:g}", str(one["quantity"])) for one in lines]
        for index, row in enumerate([*rows, ("", "", "")]):
            found |= {
                f"{valve}-{side}-{index}-{cell}": text
                for cell, text in zip(("od", "thickness", "count"), row, strict=True)
            }
    return found


def ask(bench: Browser, sent: Typed, do: str = "") -> str:
    """The fragment for a bench that changed; where a button of the rows is pressed, the page without script."""
    reply = (
        bench.post(reverse("bench"), {**sent, "do": do})
        if do
        else bench.post(reverse("bench-answer"), sent, headers=SWAP)
    )
    assert reply.status_code == 200, reply.content
    return str(reply.content.decode())


def values(text: str, cell: str) -> list[str]:
    """What stands in the cells of that name, row by row."""
    return re.findall(rf'name="main-\w+-\d+-{cell}" value="([^"]*)"', text)


def focused(text: str) -> list[str]:
    return re.findall(r'<input[^>]*name="([^"]*)"[^>]*autofocus', text)


def test_an_empty_bench_says_what_to_do(bench: Browser, shelf: str) -> None:
    assert "Choose a damper model above" in bench.get("/bench").content.decode()
    text = bench.get("/bench?damper=HA-46").content.decode()
    assert '<span class="scripted">: diameter, Enter, thickness, Enter, count, Enter</span>' in text
    assert focused(text) == ["main-compression-0-od"], "typing begins at once"


def test_without_any_damper_it_leads_to_describing_one(bench: Browser) -> None:
    assert reverse("new-damper") in bench.get("/bench").content.decode()


def test_a_saved_stack_stands_in_the_rows_with_its_answer(bench: Browser, shelf: str) -> None:
    reply = bench.post(reverse("bench"), typed(STACKS, name="Trail", note="for stones", once="K", do="save"))
    assert (reply.status_code, reply["Location"]) == (303, "/bench?damper=HA-46&stack=Trail")
    saved = saved_stack("HA-46", "Trail")
    assert (saved.stack.valve, saved.number, saved.note) == ("main", 1, "for stones")
    assert saved.stacks == STACKS_WITHOUT_BORE and saved.person == people.tuner().person
    text = bench.get("/bench", {"on": "HA-46/Trail"}).content.decode()
    assert values(text, "od") == ["36", "22", "32", "28", "20", "", "34", "22", "30", "26", "20", ""]
    assert values(text, "thickness")[:2] == ["0.20", "0.10"]
    assert 'data-verdict="fits"' in text


def test_the_same_name_again_is_the_next_revision_and_the_same_form_again_is_not(bench: Browser, shelf: str) -> None:
    sent = typed(STACKS, name="Trail", do="save")
    for once, number in (("A", 1), ("A", 1), ("B", 2)):
        assert bench.post(reverse("bench"), {**sent, "once": once}).status_code == 303
        assert saved_stack("HA-46", "Trail").number == number


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"name": ""}, "A name is missing: under which name?"),
        ({"main-rebound-0-od": "x"}, "plain number"),
        ({"once": ""}, "key is missing"),
    ],
)
def test_a_stack_that_cannot_be_saved_says_why_and_keeps_the_typing(
    bench: Browser, shelf: str, wrong: Typed, said: str
) -> None:
    reply = bench.post(reverse("bench"), {**typed(STACKS, name="Trail", once="K", do="save"), **wrong})
    assert reply.status_code == 422
    assert said in reply.content.decode()
    assert values(reply.content.decode(), "thickness")[:2] == ["0.2", "0.1"]


def test_a_clerk_plans_and_saves_nothing(shelf: str) -> None:
    clerk = signed_in(Browser(), people.clerk())
    assert 'value="save"' not in clerk.get("/bench?damper=HA-46").content.decode()
    reply = clerk.post(reverse("bench"), typed(STACKS, name="Trail", once="K", do="save"))
    assert reply.status_code == 403
    assert "The role clerk may not do this" in reply.content.decode()


def test_the_answer_comes_while_typing_and_nothing_is_kept(bench: Browser, shelf: str) -> None:
    text = ask(bench, typed(STACKS))
    assert 'data-verdict="fits"' in text
    assert '<span class="big">14</span> pieces on the shelf' in text
    assert "<svg" in text and "half section" in text.lower()
    assert "<form" not in text and 'name="main-' not in text, "the rows are left alone while somebody types in them"
    assert Plan.objects.count() == 0


def test_a_decimal_comma_is_a_decimal_point(bench: Browser, shelf: str) -> None:
    sent = {
        name: value.replace(".", ",") if name.endswith("thickness") else value for name, value in typed(STACKS).items()
    }
    assert ask(bench, sent).count("<tr") == ask(bench, typed(STACKS)).count("<tr")
    assert 'data-verdict="fits"' in ask(bench, sent)


def test_ending_a_row_gives_the_next_one_and_the_focus(bench: Browser, shelf: str) -> None:
    text = ask(bench, typed({"rebound": [line(34, 0.2, 2)]}), do="end:main-rebound:0")
    assert values(text, "od") == ["", "34", ""]
    assert focused(text) == ["main-rebound-1-od"]


def test_a_row_that_was_begun_keeps_the_focus_where_it_lacks_something(bench: Browser, shelf: str) -> None:
    sent = typed({"rebound": [line(34, 0.2, 2)]}) | {"main-rebound-0-count": ""}
    assert focused(ask(bench, sent, do="end:main-rebound:0")) == ["main-rebound-0-count"]


def test_lines_typed_or_pasted_into_a_diameter_become_rows(bench: Browser, shelf: str) -> None:
    sent = typed({"rebound": []}) | {"main-rebound-0-od": "34x0,20 x2; 22x0.1; 3 x 30x0.15"}
    text = ask(bench, sent, do="end:main-rebound:0")
    rebound = list(zip(values(text, "od"), values(text, "thickness"), values(text, "count"), strict=True))[1:]
    assert rebound == [("34", "0.20", "2"), ("22", "0.10", "1"), ("30", "0.15", "3"), ("", "", "")]


def test_text_that_cannot_be_read_stays_where_it_was_typed(bench: Browser, shelf: str) -> None:
    sent = typed({"rebound": []}) | {"main-rebound-0-od": "34x0.15x12"}
    text = ask(bench, sent, do="end:main-rebound:0")
    assert 'value="34x0.15x12"' in text
    assert "the bore or the count" in text
    sent = typed({"rebound": []}) | {"main-rebound-text": "34x0.2 x2\nrubbish"}
    text = ask(bench, sent, do="end:main-rebound:0")
    assert "34x0.2 x2\nrubbish</textarea>" in text
    assert "Line 2, rubbish" in text


def test_a_row_can_be_put_between_and_taken_away(bench: Browser, shelf: str) -> None:
    sent = typed({"rebound": [line(34, 0.2), line(30, 0.2), line(26, 0.2)]})
    assert values(ask(bench, sent, do="remove:main-rebound:1"), "od")[1:] == ["34", "26", ""]
    text = ask(bench, sent, do="insert:main-rebound:1")
    assert values(text, "od")[1:] == ["34", "", "30", "26", ""]
    assert focused(text) == ["main-rebound-1-od"]


@pytest.mark.parametrize(
    "do",
    ["remove:main-rebound:99", "remove:base-rebound:0", "insert:main-rebound:-1", "eat::", "remove:main-rebound:٣"],
)
def test_a_button_that_does_not_exist_changes_nothing(bench: Browser, shelf: str, do: str) -> None:
    assert values(ask(bench, typed({"rebound": [line(34, 0.2)]}), do=do), "od") == ["", "34", ""]


@pytest.mark.parametrize(
    ("cell", "typing", "said"),
    [
        ("od", "thirty", "plain number in millimetres"),
        ("od", "11", "larger than the bore"),
        ("thickness", "0,1555", "3 decimals"),
        ("thickness", "15", "must lie within"),
        ("count", "2.5", "whole number from 1 to 200"),
        ("count", "0", "whole number from 1 to 200"),
        ("count", "201", "whole number from 1 to 200"),
    ],
)
def test_what_cannot_be_is_said_beside_the_row_and_the_typing_is_kept(
    bench: Browser, shelf: str, cell: str, typing: str, said: str
) -> None:
    sent = typed(STACKS) | {f"main-rebound-2-{cell}": typing, "do": "plan"}
    reply = bench.post(reverse("bench"), sent)
    text = reply.content.decode()
    assert reply.status_code == 422
    wrong = re.search(r'id="main-rebound-2-wrong">([^<]*)', text)
    assert wrong is not None and said in wrong[1]
    assert f'name="main-rebound-2-{cell}" value="{typing}"' in text
    assert Plan.objects.count() == 0


def test_a_row_that_lacks_a_count_is_not_planned_as_if_it_were_not_there(bench: Browser, shelf: str) -> None:
    sent = typed(STACKS) | {"main-rebound-2-count": ""}
    assert "data-verdict" in ask(bench, sent), "while typing the rows that are whole are answered"
    reply = bench.post(reverse("bench"), {**sent, "do": "plan"})
    assert reply.status_code == 422
    assert "Count: It is still missing." in reply.content.decode()


def test_keeping_the_plan_records_what_the_api_would_and_opens_it(bench: Browser, shelf: str) -> None:
    job("J-7")
    sent = typed(STACKS, job="J-7", shoulder_to_lip_mm="21,98..22.02", once="K", do="plan")
    reply = bench.post(reverse("bench"), sent)
    plan = Plan.objects.get()
    assert (reply.status_code, reply["Location"]) == (303, f"/plans/{plan.pk}")
    assert plan.request == {
        "damper": "HA-46",
        "valves": [{"code": "main", "stacks": STACKS_WITHOUT_BORE}],
        "spacer": True,
        "allow": {"stand_ins": True, "take_offs": False},
        "readings": {"shoulder_to_lip_mm": {"min": 21.98, "max": 22.02}},
        "job": "J-7",
    }
    assert plan.person == people.tuner().person and plan.job is not None


STACKS_WITHOUT_BORE = {
    side: [
        {name: float(one[name]) if name != "quantity" else one[name] for name in ("od_mm", "thickness_mm", "quantity")}
        for one in lines
    ]
    for side, lines in STACKS.items()
}


def test_an_unknown_part_or_damper_is_said_where_it_was_typed(bench: Browser, shelf: str) -> None:
    text = ask(bench, typed(STACKS, also="NU-404 x1"))
    assert '<p data-wrong="also">There is no part NU-404.</p>' in text
    assert bench.post(reverse("bench"), {**typed(STACKS), "damper": "XX"}).status_code == 404


def test_a_nut_comes_along_by_its_number(bench: Browser, shelf: str) -> None:
    factories.stocked(factories.nut(number="NU-A"), 3)
    assert "NU-A" in ask(bench, typed(STACKS, also="NU-A"))
    assert "big plan-lack" not in ask(bench, typed(STACKS, also="NU-A x2"))
    assert 'big plan-lack">2 missing' in ask(bench, typed(STACKS, also="NU-A x5"))


def test_a_recorded_plan_is_put_back_on_the_bench_as_it_was_typed(bench: Browser, shelf: str) -> None:
    factories.stocked(factories.nut(number="NU-A"), 3)
    more = {"also": "NU-A x2", "take_offs": "on", "base_plate_mm": "3.99..4.01", "once": "K", "do": "plan"}
    bench.post(reverse("bench"), typed(STACKS, **more))
    text = bench.get("/bench", {"plan": Plan.objects.get().pk}).content.decode()
    assert values(text, "od") == ["36", "22", "32", "28", "20", "", "34", "22", "30", "26", "20", ""]
    assert 'value="NU-A x2"' in text
    assert re.search(r'value="4 ±0.01"|value="3.99..4.01"', text)
    assert all(re.search(rf'name="{name}"[^>]*checked', text) for name in ("stand_ins", "take_offs", "spacer"))


def test_a_missing_size_is_counted_and_marked(bench: Browser, damper: str) -> None:
    lay_in(*[one for one in STACKS["compression"] + STACKS["rebound"] if one["od_mm"] != 26])
    text = ask(bench, typed(STACKS) | {"stand_ins": ""})
    assert "1 missing" in text
    assert 'class="lacking"' in text


def test_a_base_valve_is_planned_on_its_own(bench: Browser) -> None:
    document = damper_document("BA-1")
    base = {
        "code": "base",
        "shaft_mm": 8.0,
        "piston_height_mm": 8.0,
        "sides": {"compression": document["valves"][0]["sides"]["compression"]},
    }
    saved_damper({"code": "BA-1", "name": "Fork", "valves": [base]})
    lay_in(line(36, 0.2, 2), bore_mm=8)
    text = bench.get("/bench?damper=BA-1").content.decode()
    assert "Base valve, compression" in text and "rebound" not in text
    sent = {**typed({"compression": [line(36, 0.2, 2)]}, valve="base"), "damper": "BA-1"}
    assert '<span class="big">2</span> pieces on the shelf' in ask(bench, sent)


def test_the_queries_do_not_grow_with_the_stack_or_the_shelf(bench: Browser, shelf: str) -> None:
    with statements() as small:
        ask(bench, typed({"rebound": [line(34, 0.2)]}))
    for index in range(30):
        lay_in(line(34, 0.2), pieces=5 + index)
    with statements() as large:
        ask(bench, typed(STACKS))
    assert len(large) <= len(small) <= 12


def test_only_people_of_the_workshop_see_the_bench(client: Browser) -> None:
    assert client.get("/bench")["Location"].startswith(reverse("sign-in"))
    assert client.post(reverse("bench-answer"), {}, headers=SWAP)["HX-Retarget"] == "#lock"
