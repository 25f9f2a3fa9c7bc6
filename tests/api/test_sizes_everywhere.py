"""Find, Take in, the bench, the search by size and its API read the same words the same way, and say so."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client as Browser
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from compat.pages.stack_text import read_line
from inventory.common.sizes.echo import A_NUMBER, heard
from inventory.common.sizes.reading import read
from inventory.common.sizes.refusals import TextError
from inventory.common.sizes.table import UNDERSTOOD, Example
from inventory.common.sizes.wanted import meanings
from inventory.common.transactions import use_case
from inventory.counter.taking_in.part_choosing import meant
from inventory.receiving.services import start_delivery
from tests import factories, people
from tests.api.conftest import Caller
from tests.visiting import signed_in, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client: Browser) -> Browser:
    return signed_in(client, people.clerk())


@pytest.fixture
def delivery(db: None) -> str:
    made = use_case(lambda: start_delivery(number="D-1", supplier="", note="", received_on=None, actor=people.clerk()))
    return f"/deliveries/{made.pk}"


def shims_of(text: str) -> list[Any]:
    """The ways in which a text is a shim with its diameter and its thickness, as the bench takes them."""
    try:
        found = meanings(read(text), "shim")
    except TextError:
        return []
    return [one for one in found if {"od_mm", "thickness_mm"} <= set(one.sizes)]


def as_bench_line(one: Any) -> dict[str, Any]:
    line = {"od_mm": one.sizes["od_mm"].mm, "thickness_mm": one.sizes["thickness_mm"].mm, "quantity": one.count or 1}
    line |= {"bore_mm": one.sizes["id_mm"].mm} if "id_mm" in one.sizes else {}
    return line | ({"form": one.said.form} if one.said.form not in ("", "round") else {})


@pytest.mark.parametrize("one", UNDERSTOOD, ids=lambda one: one.text)
def test_every_row_of_the_table_is_read_alike_at_every_place(
    desk: Browser, delivery: str, clerk: Caller, one: Example
) -> None:
    text, is_number = one.text, one.first == A_NUMBER
    echoed = f"Read as: {one.first}"
    assert echoed in text_of(desk.get("/find", {"q": text}))
    taken = meant(text)
    assert taken.read_as == ([] if is_number else heard(text))
    if not is_number:
        assert echoed in text_of(desk.get(f"{delivery}?{urlencode({'part': text})}"))
    page = desk.get("/parts/by-size", {"q": text})
    reply = clerk.ask("/fit/parts-by-size", {"text": text})
    if is_number:
        assert page.status_code == 422 and "look for it with Find" in text_of(page)
        assert reply.status_code == 400 and reply.json()["errors"][0]["code"] == "text_is_number"
    else:
        assert echoed in text_of(page)
        assert reply.status_code == 200, reply.content
        assert reply.json()["values"]["read_as"] == heard(text)
    ways = {str(as_bench_line(way)) for way in shims_of(text)}
    rough = any(number.is_rough for way in shims_of(text) for number in way.sizes.values())
    if len(ways) == 1 and not rough and "thou" not in text and "in" not in text.split():
        assert str(read_line(text)) in ways
    elif len(ways) != 1:
        with pytest.raises(ValueError, match="type "):
            read_line(text)


SIZES = st.sampled_from(["34x0.15", "34 x 0,15", "o-ring 44x3.5", "222", "222 NBR", "12x1.25", "M12x1.25", "24x12x2.5"])
ENDS = st.sampled_from(["", " x3", " 3 pcs", "x12", " NBR", " mm", " in", " ring", " notched", " ±0.1", " rubbish"])


@given(SIZES, ENDS)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_words_are_read_alike_end_to_end(desk: Browser, clerk: Caller, size: str, end: str) -> None:
    text = size + end
    found = heard(text)
    reply = clerk.ask("/fit/parts-by-size", {"text": text})
    page = text_of(desk.get("/parts/by-size", {"q": text}))
    find = text_of(desk.get("/find", {"q": text}))
    if reply.status_code == 200:
        assert reply.json()["values"]["read_as"] == found != []
        assert f"Read as: {found[0]}" in page and f"Read as: {found[0]}" in find
    else:
        assert found == [] and "Read as:" not in page and "Read as:" not in find
    assert meant(text).read_as == found


def test_find_lists_what_each_way_of_reading_finds(desk: Browser) -> None:
    factories.stocked(factories.oring(44.0, 3.5, number="R-IN"), 3)
    factories.stocked(factories.oring(37.0, 3.5, number="R-OUT"), 3)
    factories.stocked(factories.oring(37.69, 3.53, number="R222", size="222", compound="NBR"), 3)
    factories.stocked(factories.oring(37.69, 3.53, number="F222", size="222", compound="FKM"), 3)
    said = text_of(desk.get("/find", {"q": "o-ring 44x3.5"}))
    assert "R-IN" in said and "R-OUT" in said
    said = text_of(desk.get("/find", {"q": "222 NBR"}))
    assert "R222" in said and "F222" not in said
    assert "R222" in text_of(desk.get("/find", {"q": "-222"}))


def test_take_in_chooses_a_ring_by_its_words_and_asks_where_two_may_be_meant(db: None) -> None:
    one = factories.oring(44.0, 3.5, number="R-IN")
    assert meant("o-ring 44x3.5").part == one
    factories.oring(37.0, 3.5, number="R-OUT")
    found = meant("o-ring 44x3.5")
    assert found.part is None and {each.part.number for each in found.candidates} == {"R-IN", "R-OUT"}
    nut = factories.nut("M12x1.25", number="NU")
    assert meant("M12x1,25").part == nut
    # A diameter alone names no part.
    shim = factories.shim(34, 0.15, number="SH")
    assert meant("34").part is None and [each.part for each in meant("34").candidates] == [shim]


def test_a_rubber_that_was_said_leaves_the_other_rubber_out(clerk: Caller) -> None:
    factories.oring(37.69, 3.53, number="N", size="222", compound="NBR", hardness="70")
    factories.oring(37.69, 3.53, number="F", size="222", compound="FKM", hardness="75")

    def asked(text: str) -> tuple[str, dict[str, str]]:
        answer = clerk.ask("/fit/parts-by-size", {"text": text}).json()
        return answer["verdict"], {one["part"]: one["miss"] or one["match"] for one in answer["values"]["parts"]}

    assert asked("222 NBR") == ("fits", {"N": "is", "F": "compound"})
    assert asked("222 NBR 90") == ("does_not_fit", {"N": "compound", "F": "compound"})
    factories.oring(37.69, 3.53, number="U", size="222")
    assert asked("222 NBR")[0] == "cannot_tell"
