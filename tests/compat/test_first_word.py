"""Before stand-ins are looked for the bench says what is certain, says that it is not the answer, and keeps nothing."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from compat.engineering.plans.solve import solve
from compat.plans import searched as module
from compat.plans.checked import PlanIn
from compat.plans.document import Allow, AskedPlan, asked_plan
from compat.plans.first_word import first_word
from compat.plans.plan import PlanAnswer, make_plan
from inventory.jobs.models import Plan
from tests import people
from tests.api.conftest import COMPRESSION, REBOUND, STACKS, lay_in, line
from tests.compat.test_bench import SWAP, typed
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db
SHORT = COMPRESSION[3]
CASES = 60


@pytest.fixture
def lacking(damper: str) -> str:
    """A shelf that lacks one size and has three that may stand in for it."""
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in [*COMPRESSION, *REBOUND] if one != SHORT}.values())
    lay_in(line(28, 0.25), line(28, 0.1), line(28, 0.12))
    return damper


@pytest.fixture
def bench(client: Browser, lacking: str) -> Browser:
    return signed_in(client, people.tuner())


@pytest.fixture
def stand_ins(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Of each search whether stand-ins were looked for; nothing is remembered of earlier ones."""
    found: list[bool] = []

    def noted(problem: Any, **words: Any) -> Any:
        found.append(problem.allow_stand_ins)
        return solve(problem, **words)

    module._remembered.cache_clear()
    monkeypatch.setattr(module, "solve", noted)
    return found


def answered(browser: Browser, **more: str) -> str:
    reply = browser.post(reverse("bench-answer"), typed(STACKS, **more), headers=SWAP)
    assert reply.status_code == 200
    return str(reply.content.decode())


def checked(**more: Any) -> AskedPlan:
    found = PlanIn(data={"damper": "HA-46", **more})
    assert found.is_valid(), found.errors
    return asked_plan(found.validated_data)


def test_the_first_word_says_what_is_missing_and_that_it_is_not_the_answer(
    bench: Browser, stand_ins: list[bool]
) -> None:
    text = answered(bench)
    assert stand_ins == [False], "no stand-in was looked for yet"
    assert " data-half>" in text and "Stand-ins are still being looked for. This is not the answer yet." in text
    missing = f"Missing as written: {SHORT['quantity']} of {SHORT['od_mm']:g} x {SHORT['thickness_mm']:.2f}<"
    assert missing in text
    assert 'data-verdict="looking"' in text and "It fits" not in text
    assert "/drawers/" not in text and "/lots/" not in text, "which lots are drawn is not known yet"
    assert 'name="shown"' not in text


def test_the_whole_answer_is_the_one_that_was_always_given(bench: Browser) -> None:
    text = answered(bench, whole="yes")
    assert "data-half" not in text and "Stand-in: " in text and 'name="shown"' in text
    page = bench.post(reverse("bench"), typed(STACKS, do="show")).content.decode()
    assert "data-half" not in page and "Stand-in: " in page, "a page without script has one answer"


def test_where_all_is_there_the_first_word_is_the_answer(bench: Browser, stand_ins: list[bool]) -> None:
    lay_in(SHORT)
    text = answered(bench)
    assert "data-half" not in text and 'name="shown"' in text
    assert answered(bench, whole="yes").split("</figure>")[0] == text.split("</figure>")[0]
    assert len(stand_ins) == 1, "both asked the same"


def test_where_none_are_allowed_there_is_nothing_to_look_for(bench: Browser) -> None:
    assert "data-half" not in answered(bench, stand_ins="")


def test_nothing_is_kept_from_under_a_first_word(bench: Browser) -> None:
    sent = typed(STACKS, do="plan", once="K", half="yes")
    page = bench.post(reverse("bench"), sent).content.decode()
    assert not Plan.objects.exists()
    assert "Nothing was kept: stand-ins were still being looked for." in page
    assert "Stand-in: " in page and "data-half" not in page


def test_a_saved_stack_comes_with_its_first_word_and_leads_on_without_script(bench: Browser) -> None:
    bench.post(reverse("bench"), typed(STACKS, name="Trail", once="K", do="save"))
    text = bench.get("/bench", {"on": "HA-46/Trail"}).content.decode()
    assert " data-half>" in text
    found = re.search(r'<noscript><meta http-equiv="refresh" content="0; url=([^"]+)"></noscript>', text)
    assert found is not None
    whole = bench.get(found[1].replace("&amp;", "&")).content.decode()
    assert "data-half" not in whole and "Stand-in: " in whole and "refresh" not in whole


@pytest.mark.parametrize("seed", range(3))
def test_no_first_word_is_better_than_the_last(lacking: str, seed: int) -> None:
    """It is the last one, or no verdict at all: of the stacks as written it says only what is bad, and pieces that the
    last word misses are missing in the first."""
    draw, halves = random.Random(seed), 0
    for _ in range(CASES // 3):
        stacks = {
            side: [{**one, "quantity": draw.choice((1, 1, one["quantity"], 2, 12))} for one in lines]
            for side, lines in STACKS.items()
        }
        asked = checked(stacks=stacks, spacer=draw.random() < 0.5, nut=draw.random() < 0.5)
        first, last = first_word(asked), make_plan(asked, alternatives=0)
        if isinstance(first, PlanAnswer):
            assert first.document == last.document
            continue
        halves += 1
        assert first.as_written in ("", "cannot_tell", "does_not_fit")
        alone = make_plan(replace(asked, allow=Allow(stand_ins=False)), alternatives=0)
        assert first.as_written == ("" if alone.verdict == "fits" else alone.verdict)
        assert first.missing == sum(one["missing"] for one in alone.document["lines"])
        assert first.missing >= sum(one["missing"] for one in last.document["lines"])
    assert halves > 3
