"""Curves on pages: of a plan by its address, and of what is typed on the bench."""

from __future__ import annotations

import re

import pytest
from django.test import Client as Browser
from django.urls import reverse

from tests import people
from tests.api.conftest import COMPRESSION, REBOUND, STACKS, damper_document, lay_in, line, saved_damper, statements
from tests.compat.saved import saved_stack
from tests.compat.test_bench import SWAP, typed
from tests.compat.test_reserve import made
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db
SHORT = COMPRESSION[3]


@pytest.fixture
def tuner(client: Browser) -> Browser:
    return signed_in(client, people.tuner())


def curves(browser: Browser, **more: str) -> str:
    reply = browser.post(reverse("bench-curves"), typed(STACKS, **more), headers=SWAP)
    assert reply.status_code == 200
    return str(reply.content.decode())


def cells(text: str, side: str) -> list[list[str]]:
    """The numbers of the table behind a side's plot."""
    table = text[text.index(f"{side} side: pressure against lift") :]
    rows = re.findall(r"<tr>(.*?)</tr>", table[: table.index("</table>")])
    return [found for row in rows if (found := re.findall(r'<td class="number">([^<]*)</td>', row))]


def test_a_plan_has_its_curves_as_a_page_and_as_a_fragment(tuner: Browser, shelf: str) -> None:
    address = reverse("plan-curves", kwargs={"plan": made().pk})
    page = tuner.get(address).content.decode()
    assert "Back to the plan" in page
    fragment = tuner.get(address, headers=SWAP).content.decode()
    assert "<html" not in fragment
    for text in (page, fragment):
        assert text.count('<svg class="drawing"') == 2
        assert "Force against lift is not damping force" in text
        assert len(cells(text, "Compression")) >= 10


def test_the_plan_leads_to_its_curves(tuner: Browser, shelf: str) -> None:
    plan = made()
    assert reverse("plan-curves", kwargs={"plan": plan.pk}) in tuner.get(f"/plans/{plan.pk}").content.decode()


def test_a_stack_of_measured_lots_is_built_as_it_was_asked(tuner: Browser, shelf: str) -> None:
    """Lots at nominal thickness: no difference anywhere."""
    text = curves(tuner)
    assert {row[-1] for row in cells(text, "Compression") + cells(text, "Rebound")} == {"0.0"}


def test_stand_ins_show_as_a_difference(tuner: Browser, damper: str) -> None:
    lay_in(*{(one["od_mm"], one["thickness_mm"]): one for one in [*COMPRESSION, *REBOUND] if one != SHORT}.values())
    lay_in(line(28, 0.25))
    text = curves(tuner)
    assert any(row[-1] != "0.0" for row in cells(text, "Compression"))
    assert {row[-1] for row in cells(text, "Rebound")} == {"0.0"}


def test_a_saved_stack_is_what_the_rows_are_compared_with(tuner: Browser, shelf: str) -> None:
    other = {**STACKS, "compression": [{**COMPRESSION[0], "quantity": 1}, *COMPRESSION[1:]]}
    saved_stack("HA-46", "Soft", other)
    text = curves(tuner, stack="Soft")
    assert "<b>Soft</b>" in text
    assert all(float(row[-1]) > 0 for row in cells(text, "Compression")[:1])
    assert {row[-1] for row in cells(text, "Rebound")} == {"0.0"}


def test_the_curves_are_asked_for_once_they_are_opened(tuner: Browser, shelf: str) -> None:
    def section(text: str) -> str:
        found = text[text.index('<section id="curves"') :]
        return found[: found.index("</section>")]

    before = section(tuner.get("/bench?damper=HA-46").content.decode())
    assert "Show the curves" in before and " data-closed>" in before
    after = section(tuner.post(reverse("bench-curves"), typed(STACKS)).content.decode())
    assert "data-closed" not in after and "Show the curves" not in after
    assert 'class="bench-curves"' not in curves(tuner), "the place itself stays"


def test_without_script_the_bench_comes_back_with_its_curves_and_all_that_was_typed(tuner: Browser, shelf: str) -> None:
    text = tuner.post(reverse("bench-curves"), typed(STACKS)).content.decode()
    assert "<html" in text and text.count('class="curve"') == 2
    assert 'name="main-compression-0-od" value="36"' in text


def test_nothing_typed_has_no_curve(tuner: Browser, shelf: str) -> None:
    reply = tuner.post(reverse("bench-curves"), {"damper": "HA-46"}, headers=SWAP)
    assert "No curve yet" in reply.content.decode()


def test_a_side_without_its_sizes_says_what_to_measure(tuner: Browser) -> None:
    document = damper_document()
    del document["valves"][0]["sides"]["compression"]["hub_mm"]
    saved_damper(document)
    lay_in(*COMPRESSION, *REBOUND)
    text = curves(tuner)
    assert text.count("<svg") == 1
    assert "Measure the piston&#x27;s hub" in text


@pytest.mark.parametrize("form", ["ring", "polygon"])
def test_a_shim_that_is_no_disc_has_no_curve(tuner: Browser, shelf: str, form: str) -> None:
    sent = typed(STACKS)
    sent["main-compression-0-form"] = form
    reply = tuner.post(reverse("bench-curves"), sent, headers=SWAP)
    assert "how it bends cannot be computed" in reply.content.decode()


def test_the_curves_of_a_plan_take_a_fixed_number_of_queries(tuner: Browser, shelf: str) -> None:
    address = reverse("plan-curves", kwargs={"plan": made().pk})
    tuner.get(address, headers=SWAP)
    with statements() as sent:
        tuner.get(address, headers=SWAP)
    assert len(sent) <= 8


def test_a_stack_that_cannot_lift_says_so(tuner: Browser) -> None:
    document = damper_document()
    document["valves"][0]["base_plates"]["compression"]["contact_diameter_mm"] = 36
    saved_damper(document)
    one = [line(36, 0.2, 3)]
    lay_in(*one, *REBOUND)
    reply = tuner.post(reverse("bench-curves"), typed({"compression": one, "rebound": REBOUND}), headers=SWAP)
    assert "the stack cannot lift" in reply.content.decode()


def test_a_stack_that_was_never_saved_is_not_named(tuner: Browser, shelf: str) -> None:
    assert "Nobody saved this" not in curves(tuner, stack="Nobody saved this")


def test_what_cannot_be_read_asks_for_mending(tuner: Browser, shelf: str) -> None:
    text = curves(tuner, height_mm="rubbish")
    assert "correct what is marked above" in text
