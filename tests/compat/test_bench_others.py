"""Other ways to build what stands on the bench: looked for when somebody asks, and no part of the answer's mark."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from compat.engineering.plans.solve import Result, solve
from compat.pages.shown import mark_of
from compat.plans import searched as module
from inventory.jobs.models import Plan
from tests import people
from tests.api.conftest import COMPRESSION, REBOUND, STACKS, lay_in, line
from tests.compat.test_bench import SWAP, typed
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db
SHORT = COMPRESSION[3]


@pytest.fixture
def bench(client: Browser, damper: str) -> Browser:
    """A browser of the tuner, and a shelf that lacks one size and has three that may stand in for it."""
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in [*COMPRESSION, *REBOUND] if one != SHORT}.values())
    lay_in(line(28, 0.25), line(28, 0.1), line(28, 0.12))
    return signed_in(client, people.tuner())


@pytest.fixture
def asked_for(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many alternatives each search was to find; nothing is remembered of earlier ones."""
    found: list[int] = []

    def counted(problem: Any, *, alternatives: int, **words: Any) -> Result:
        found.append(alternatives)
        return solve(problem, alternatives=alternatives, **words)

    module._remembered.cache_clear()
    monkeypatch.setattr(module, "solve", counted)
    return found


def post(browser: Browser, name: str, **more: str) -> str:
    reply = browser.post(reverse(name), typed(STACKS, **more), headers=SWAP)
    assert reply.status_code == 200
    return str(reply.content.decode())


def shown(text: str) -> str:
    found = re.search(r'name="shown" value="(\w+)"', text)
    assert found is not None
    return found[1]


def ways(text: str) -> list[str]:
    return re.findall(r"<li>([^<]*)</li>", text[text.index('<div class="other-ways">') :].split("</ol>")[0])


def test_an_answer_waits_for_no_other_way(bench: Browser, asked_for: list[int]) -> None:
    text = post(bench, "bench-answer", whole="yes")
    assert asked_for == [0]
    assert "Stand-in: " in text and "Other ways" not in text


def test_the_page_says_that_other_ways_are_looked_for_when_asked(bench: Browser, asked_for: list[int]) -> None:
    text = bench.post(reverse("bench"), typed(STACKS, do="show")).content.decode()
    section = text[text.index('<section id="others"') :]
    section = section[: section.index("</section>")]
    assert "Show other ways" in section and "only once you ask" in section and " data-closed>" in section
    assert asked_for == [0]


def test_other_ways_come_when_they_are_asked_for(bench: Browser, asked_for: list[int]) -> None:
    text = post(bench, "bench-others")
    assert asked_for == [module.ALTERNATIVES]
    assert "<html" not in text
    assert len(ways(text)) >= 2 and len(set(ways(text))) == len(ways(text))
    assert all("compression 4: " in one for one in ways(text))


def test_without_script_the_bench_comes_back_with_them_and_all_that_was_typed(bench: Browser) -> None:
    text = bench.post(reverse("bench-others"), typed(STACKS)).content.decode()
    assert "<html" in text and "Show other ways" not in text and len(ways(text)) >= 2
    assert 'name="main-compression-0-od" value="36"' in text
    assert shown(text) == shown(post(bench, "bench-answer", whole="yes"))


def test_a_kept_plan_has_them_and_is_the_answer_that_was_shown(bench: Browser) -> None:
    """Kept from under the answer without them: nothing has changed."""
    mark, others = shown(post(bench, "bench-answer", whole="yes")), ways(post(bench, "bench-others"))
    sent = typed(STACKS, do="plan", once="K", shown=mark)
    page = bench.post(reverse("bench"), sent, follow=True).content.decode()
    assert "The bench showed another answer" not in page
    assert f"Other ways to build it ({len(others)})" in page
    document = Plan.objects.get().answer
    assert len(document["alternatives"]) == len(others) and mark_of(document) == mark


def test_another_answer_has_another_mark(bench: Browser) -> None:
    mark = shown(post(bench, "bench-answer", whole="yes"))
    lay_in(SHORT)
    assert shown(post(bench, "bench-answer", whole="yes")) != mark


def test_where_all_is_there_there_is_no_other_way(bench: Browser) -> None:
    lay_in(SHORT)
    assert "There is no other way with other stand-ins" in post(bench, "bench-others")


def test_nothing_typed_and_what_cannot_be_read_have_none(bench: Browser) -> None:
    empty = bench.post(reverse("bench-others"), {"damper": "HA-46"}, headers=SWAP).content.decode()
    assert "type the shims of a side" in empty
    assert "correct what is marked above" in post(bench, "bench-others", height_mm="rubbish")
