"""Where the hands go on at the bench, what stays of what was chosen and typed, and the sentences that are met there."""

from __future__ import annotations

import re

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inventory.jobs.models import Plan
from tests import factories, people
from tests.api.conftest import STACKS, line
from tests.compat import saved
from tests.compat.form_fields import fields_of
from tests.compat.test_bench import Typed, ask, focused, typed
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(client: Browser) -> Browser:
    return signed_in(client, people.tuner())


def test_a_new_job_refuses_no_plan_and_goes_along_to_the_hold(bench: Browser, shelf: str) -> None:
    assert "A new job is made when you hold." in bench.get("/bench?damper=HA-46").content.decode()
    sent = typed(STACKS, job="J 404", once="K", do="plan")
    first, again = (bench.post(reverse("bench"), sent) for _ in range(2))
    plan = Plan.objects.get()
    assert first["Location"] == again["Location"] == f"/plans/{plan.pk}?job=J+404"
    assert plan.job is None and "job" not in plan.request
    text = bench.get(first["Location"]).content.decode()
    assert re.search(r'name="job" value="J 404"', text) and focused(text) == ["title"]
    assert "Hold 14 pieces for J 404</button>" in text
    back = f"/bench?plan={plan.pk}&amp;job=J%20404"
    assert f'href="{back}"' in text
    assert 'name="job" value="J 404"' in bench.get(back.replace("&amp;", "&")).content.decode()


def test_a_comma_in_a_number_is_a_point_unless_a_part_is_numbered_so(bench: Browser, shelf: str) -> None:
    factories.stocked(factories.nut(number="NU-M12x1.5"), 3)
    text = ask(bench, typed(STACKS, also="NU-M12x1,5 x2"))
    assert "NU-M12x1.5</a>" in text and "no part" not in text
    factories.stocked(factories.nut(number="NU-M12x1,5"), 3)
    assert "NU-M12x1,5</a>" in ask(bench, typed(STACKS, also="NU-M12x1,5 x2"))
    assert "There is no part NU-4,5." in ask(bench, typed(STACKS, also="NU-4,5"))


def chosen(text: str) -> list[str]:
    """What the box of dampers and stacks shows."""
    box = text[text.index('<select id="on"') :]
    return re.findall(r'<option value="([^"]*)" selected>', box[: box.index("</select>")])


def test_the_name_of_a_stack_stands_in_the_box_until_its_rows_say_something_else(bench: Browser, shelf: str) -> None:
    saved.saved_stack("HA-46", "Trail", STACKS)
    page = bench.get("/bench", {"on": "HA-46/Trail"}).content.decode()
    assert chosen(page) == ["HA-46/Trail"]
    fields = fields_of(page, "bench-form")
    same = {**fields, "main-rebound-0-thickness": fields["main-rebound-0-thickness"].replace(".", ","), "do": "show"}
    assert chosen(bench.post(reverse("bench"), same).content.decode()) == ["HA-46/Trail"]
    for other in ({"main-rebound-0-count": "7"}, {"main-rebound-0-count": ""}, {"stack": "Gone"}):
        assert chosen(bench.post(reverse("bench"), {**same, **other}).content.decode()) == ["HA-46"]


def test_a_stack_put_on_the_bench_has_the_focus_at_its_answer(bench: Browser, shelf: str) -> None:
    saved.saved_stack("HA-46", "Trail", STACKS)
    text = bench.get("/bench", {"on": "HA-46/Trail"}).content.decode()
    assert re.search(r'<h2[^>]*tabindex="-1" autofocus>Can it be built', text)
    assert "autofocus" not in ask(bench, typed(STACKS)), "an answer that comes while typing takes no focus"


def test_without_script_a_button_shows_the_answer_and_is_the_first_of_the_form(bench: Browser, shelf: str) -> None:
    text = bench.get("/bench?damper=HA-46").content.decode()
    form = text[text.index('<form id="bench-form"') :]
    first = form[form.index("<button") : form.index("</button>")]
    assert 'value="show"' in first and first.endswith("Show the answer") and "unseen" not in first
    assert '<p class="unscripted"><button' in form


def test_one_shim_is_one_shim_and_the_face_is_told_where_the_rows_are(bench: Browser, shelf: str) -> None:
    text = ask(bench, typed({"rebound": [line(34, 0.2)]}), do="end:main-rebound:0")
    assert "<legend>Rebound <small>face first, <span data-pieces>1 shim</span></small></legend>" in text
    assert "<legend>Compression <small>face first, <span data-pieces>0 shims</span></small></legend>" in text
    assert "face first" not in text[text.index("shim-head") :][:200]
    assert "1 shims" not in text and "1 pieces" not in text and "1 positions" not in text


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"main-rebound-0-od": "3000"}, "is the unit right?"),
        ({"also": "foo"}, "There is no part foo."),
        (
            {"main-rebound-0-od": "34x0.2x12", "main-rebound-0-thickness": "", "main-rebound-0-count": ""},
            "12 may be the bore or the count: type 34x0.2 x12",
        ),
        ({"main-rebound-text": "34x0.2\n" * 61}, "Rebound, line 61: A side may have at most 60 lines."),
        ({"main-rebound-text": "rubbish"}, "Rebound, line 1: Type diameter, thickness and count"),
    ],
)
def test_what_is_refused_is_said_in_sentences(bench: Browser, shelf: str, wrong: Typed, said: str) -> None:
    text = ask(bench, typed(STACKS) | wrong)
    assert said in text
    assert not re.search(r"\?\.|\.\.<|It there|It no |main-rebound line", text)
