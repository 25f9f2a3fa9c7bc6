"""The page of parts by size: typed without script, kept when it is refused, and a word on everything that is near."""

from __future__ import annotations

import re

import pytest
from django.test import Client as Browser

from tests import factories, people
from tests.visiting import signed_in, text_of

pytestmark = pytest.mark.django_db
PAGE = "/parts/by-size"


@pytest.fixture
def desk(client: Browser) -> Browser:
    return signed_in(client, people.clerk())


def test_the_page_waits_with_the_focus_in_its_one_box_and_examples_below(desk: Browser) -> None:
    page = desk.get(PAGE).content.decode()
    (box,) = re.findall(r"<input[^>]*name=\"q\"[^>]*id=\"by-size\"|<input id=\"by-size\"[^>]*>", page)
    assert "autofocus" in box
    assert page.count("/parts/by-size?q=") >= 6


def test_every_example_of_the_page_is_understood(desk: Browser) -> None:
    page = desk.get(PAGE).content.decode()
    for address in re.findall(r'href="(/parts/by-size\?q=[^"]+)"', page):
        reply = desk.get(address.replace("&amp;", "&"))
        # The number of a part is understood too, and belongs into Find.
        assert reply.status_code == 200 or "look for it with Find" in text_of(reply), address


def test_what_is_not_understood_is_422_with_the_typing_kept(desk: Browser) -> None:
    reply = desk.get(PAGE, {"q": 'ring "forty" <b>'})
    page = reply.content.decode()
    assert reply.status_code == 422
    assert 'value="ring &quot;forty&quot; &lt;b&gt;"' in page
    assert "is not understood" in text_of(reply) and "autofocus" in page and 'aria-invalid="true"' in page


def test_a_near_miss_has_a_word_and_a_shape_of_its_own(desk: Browser) -> None:
    factories.stocked(factories.oring(37.69, 3.53, number="R222", size="222"), 7, drawer="R-06")
    factories.stocked(factories.oring(37.77, 2.62, number="R128", size="128"), 9, drawer="R-02")
    reply = desk.get(PAGE, {"q": "ring id 37.7, section 3.5"})
    said = text_of(reply)
    assert "One size has it" in said and "Of this size: R222, and nothing else in the catalogue." in said
    assert "Not this one : section 2.62, read 3.50 mm" in said
    mine, near = reply.content.decode().split("Similar parts, not this size")
    of_this_size = mine.partition("Of this size")[2].partition("Points to check")[0]
    assert "R222" in of_this_size and "R-06" in of_this_size and "R128" not in of_this_size
    assert "R-02" in near and "near enough" not in near
    # The barred ring of a refusal stands beside the word, not beside what fits.
    barred = "M4 33L33 4M15 44L44 15"
    assert barred in near and barred not in mine


def test_several_sizes_are_open_and_the_page_says_what_to_measure(desk: Browser) -> None:
    for thick in (0.15, 0.2):
        factories.shim(34, thick)
    said = text_of(desk.get(PAGE, {"q": "shim 34 x 0,15"}))
    assert "Cannot tell yet" in said and said.count("May be this") == 2
    assert "Measure the thickness again, more closely (micrometer)" in said


def test_nothing_of_the_size_is_said_so(desk: Browser) -> None:
    said = text_of(desk.get(PAGE, {"q": "ring 44 x 3.5"}))
    assert "No such size" in said and "Nothing in the catalogue has this size." in said
    assert "224 of AS568 has these sizes" in said


def test_control_signs_and_long_texts_do_no_harm(desk: Browser) -> None:
    assert desk.get(PAGE, {"q": "ring\t44\r\nx 3.5"}).status_code == 200
    assert desk.get(PAGE, {"q": "4 " * 400}).status_code == 422


def test_the_page_is_reached_from_the_search_and_from_the_fit_desk(desk: Browser) -> None:
    factories.shim(34, 0.15)
    factories.shim(34, 0.15, 14)
    assert f'href="{PAGE}?q=34x0.15"' in desk.get("/find", {"q": "34x0.15"}).content.decode()
    assert f'href="{PAGE}"' in desk.get("/find").content.decode()
    assert f'href="{PAGE}"' in desk.get("/fit").content.decode()


def test_a_part_page_still_opens_beside_it(desk: Browser) -> None:
    factories.shim(number="by-sizes")
    assert desk.get("/parts/by-sizes").status_code == 200
