"""One part: sizes and drawing, pieces and places, whom it is held for, which dampers take it, and correcting it."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from compat.dampers import fitting
from compat.engineering.answers import Verdict
from inventory.amendments.models import Amendment
from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.common.transactions import use_case
from inventory.dampers.selectors import damper_called
from inventory.dampers.services import create_damper
from inventory.holds.requests import Wanted
from inventory.jobs.services import hold_for, open_job
from inventory.stock.models import Condition
from tests import factories, people
from tests.api.conftest import stored
from tests.visiting import signed_in, text_of

pytestmark = pytest.mark.django_db

SIZES = {"od_mm": "34", "thickness_mm": "0.15", "bore_mm": "12", "form": "round"}


@pytest.fixture
def desk(client: Browser) -> Browser:
    """The clerk's."""
    return signed_in(client, people.clerk())


def hidden(html: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]+)"', html)
    assert found is not None
    return found[1]


def edit(client: Browser, part: Part, *, read: str = "", once: str = "k1", **fields: Any) -> Any:
    read = read or hidden(client.get(f"/parts/{part.number}").content.decode(), "read")
    sent = {"name": part.name, "reason": "misread", "read": read, "once": once, **fields}
    return client.post(f"/parts/{part.number}", sent)


def damper(code: str, shaft_mm: float | None = 12, thread: str = "M12x1.25") -> None:
    shaft = None if shaft_mm is None else {"min": shaft_mm - 0.02, "max": shaft_mm, "nominal": shaft_mm}
    valve = {"code": "main", "body_bore_mm": 46, **({} if shaft is None else {"shaft_mm": shaft})}
    document = {"valves": [valve], "shaft_end": {"thread": thread}}
    use_case(lambda: create_damper(code=code, name=f"Damper {code}", document=stored(document), actor=people.tuner()))


# --- looking


def test_a_part_says_its_sizes_its_pieces_and_where_they_lie(desk: Browser) -> None:
    part = factories.shim(34, 0.15, number="S-1")
    factories.stocked(part, 40, lot="L-1", drawer="A-07", readings_um=[150, 152])
    factories.stocked(part, 7, lot="L-2", drawer="B-01", condition=Condition.TAKE_OFF)
    factories.held(Wanted(quantity=4, lot="L-1"))
    said = text_of(desk.get("/parts/S-1"))
    assert "34 x 0.15 mm, bore 12 mm" in said
    assert "outer diameter 34 mm thickness 0.15 mm bore 12 mm form round" in said
    assert "Available, new 36 pieces 40 on hand, 4 held" in said
    assert "Available, take-off 7 pieces 7 on hand, 0 held" in said
    assert "A-07 36 40 L-1 2030-03-04 0.1510 mm (of 2, spread 0.002 mm)" in said
    assert "B-01 7 7 L-2 take-off" in said


def test_of_a_retired_part_nothing_is_available_and_the_page_says_so(desk: Browser) -> None:
    part = factories.shim(number="S-1")
    factories.stocked(part, 40, lot="L-1")
    edit(desk, part, retired="on")
    said = text_of(desk.get("/parts/S-1"))
    assert "retired" in said
    assert "Available, new 0 pieces 40 on hand, 0 held" in said
    assert "A-01 0 40 L-1" in said


@pytest.mark.parametrize("kind", ["shim", "nut", "washer", "piston"])
def test_every_kind_is_drawn_from_its_sizes(desk: Browser, kind: str) -> None:
    makers: dict[str, Any] = {
        "shim": factories.shim,
        "nut": factories.nut,
        "washer": factories.washer,
        "piston": factories.piston,
    }
    html = desk.get(f"/parts/{makers[kind]().number}").content.decode()
    assert 'aria-labelledby="part-title part-desc"' in html
    assert " style=" not in html


def test_whom_it_is_held_for_stands_with_a_link(desk: Browser) -> None:
    factories.stocked(factories.shim(number="S-1"), 40, lot="L-1", drawer="A-07")
    use_case(lambda: open_job(number="J-7", title="Rear"))
    lines = [Wanted(quantity=4, part="S-1")]
    hold = use_case(lambda: hold_for(lines=lines, job="J-7", minutes=None, actor=people.tuner())).hold
    page = desk.get("/parts/S-1")
    assert "4 for job J-7 Rear of lot L-1 in A-07" in text_of(page)
    assert f'href="/holds/{hold.pk}"' in page.content.decode()


def test_the_history_is_that_of_all_its_lots_and_of_no_other_part(desk: Browser) -> None:
    part = factories.shim(number="S-1")
    for pieces, lot in ((41, "L-1"), (42, "L-2")):
        factories.stocked(part, pieces, lot=lot)
    factories.stocked(factories.shim(), 43, lot="L-3")
    said = text_of(desk.get("/parts/S-1")).split(" History ")[1]
    assert "41 came in with a delivery L-1" in said
    assert "42 came in with a delivery L-2" in said
    assert "43 came in" not in said


def test_a_part_that_is_none_is_not_found(desk: Browser) -> None:
    assert desk.get("/parts/none").status_code == 404


def test_a_number_may_hold_a_slash(desk: Browser) -> None:
    factories.nut("1/2-20 UNF", number="NU-1/2")
    assert "1/2-20 UNF" in text_of(desk.get("/parts/NU-1/2"))


# --- damper models


def test_a_shim_lists_the_models_that_take_its_bore_and_counts_the_others(desk: Browser) -> None:
    factories.shim(34, 0.15, 12, number="S-1")
    damper("D-12", 12)
    damper("D-14", 14)
    damper("D-UNKNOWN", None)
    said = text_of(desk.get("/parts/S-1"))
    assert "Damper D-12 It fits" in said
    assert "Damper D-UNKNOWN Cannot tell yet" in said
    assert "measure the shaft" in said
    assert "Damper D-14" not in said
    assert "It does not fit 1 other model." in said
    assert "It fits where it passes the shaft and clears the body; whether it covers ports is a question" in said
    assert said.index("Damper D-12") < said.index("Damper D-UNKNOWN")


def test_a_nut_of_another_pitch_is_never_listed(desk: Browser) -> None:
    factories.nut("M12x1.25", number="NU-1")
    damper("D-125", thread="M12x1.25")
    damper("D-150", thread="M12x1.5")
    said = text_of(desk.get("/parts/NU-1"))
    assert "Damper D-125 Cannot tell yet" in said
    assert "D-150" not in said


def test_other_kinds_say_nothing_of_models(desk: Browser) -> None:
    damper("D-12")
    assert "Damper models" not in text_of(desk.get(f"/parts/{factories.washer().number}"))


def test_both_ways_of_asking_give_the_same_verdict() -> None:
    parts = [
        factories.shim(34, 0.15, 12),
        factories.shim(34, 0.15, 14),
        factories.nut("M12x1.25"),
        factories.nut("M10x1"),
    ]
    for code, shaft, thread in (("D-1", 12.0, "M12x1.25"), ("D-2", 14.0, "M12x1.5"), ("D-3", None, "M10x1")):
        damper(code, shaft, thread)
    dampers = [damper_called(code) for code in ("D-1", "D-2", "D-3")]
    for model in dampers:
        forward = {part.pk: answer for part, answer in fitting.answers_for(model, parts)}
        for part in parts:
            backward = {one.code: answer for one, answer in fitting.dampers_for(part, dampers)}
            assert backward[model.code] == forward[part.pk]


def test_asking_all_models_takes_one_query_however_many_they_are(django_assert_num_queries: Any) -> None:
    part = factories.nut()
    for number in range(7):
        damper(f"D-{number}")
    models = [damper_called(f"D-{number}") for number in range(7)]
    with django_assert_num_queries(1):
        found = fitting.dampers_for(part, models)
    assert [answer.verdict for _, answer in found] == [Verdict.CANNOT_TELL] * 7


def test_the_page_asks_no_more_queries_when_there_is_more_of_everything(desk: Browser) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert desk.get("/parts/S-1").status_code == 200
        return len(queries)

    def fill(times: int) -> None:
        for _ in range(times):
            lot = factories.stocked(part, 5, readings_um=[150]).lot.number
            factories.held(Wanted(quantity=1, lot=lot))
            damper(f"D-{len(Amendment.objects.all())}-{lot}")
            edit(desk, part, name=f"named by {lot}", once=f"k-{lot}")

    part = factories.shim(34, 0.15, number="S-1")
    fill(1)
    before = asked()
    fill(6)
    assert asked() == before


# --- correcting


def test_a_name_is_corrected_with_its_reason_in_the_history(desk: Browser) -> None:
    part = factories.shim(number="S-1")
    assert edit(desk, part, name="Thin shim").status_code == 303
    said = text_of(desk.get("/parts/S-1"))
    assert "S-1 Thin shim" in said
    assert "corrected: name from shim S-1 to Thin shim misread" in said


def test_sizes_are_fields_only_while_no_lot_exists(desk: Browser) -> None:
    part = factories.shim(30, 0.15, number="S-1")
    assert 'name="od_mm"' in desk.get("/parts/S-1").content.decode()
    assert edit(desk, part, **{**SIZES, "od_mm": "34,5"}).status_code == 303
    assert Shim.objects.get().od_um == 34_500
    factories.stocked(part, 1)
    html = desk.get("/parts/S-1").content.decode()
    assert 'name="od_mm"' not in html
    assert "its sizes stay as they are" in html


def test_an_unknown_compound_is_the_one_field_that_stays_open(desk: Browser) -> None:
    ring = factories.oring(number="OR-1")
    factories.stocked(ring, 3)
    text = desk.get("/parts/OR-1").content.decode()
    assert 'name="compound"' in text and 'name="section_mm"' not in text
    assert "What it is made of is not known and may be told." in text
    assert edit(desk, ring, compound="FKM", reason="its bag says so").status_code == 303
    text = desk.get("/parts/OR-1").content.decode()
    assert 'name="compound"' not in text and "may be told" not in text
    assert "its bag says so" in text


def test_sizes_sent_after_the_first_lot_came_in_are_refused_and_the_typing_kept(desk: Browser) -> None:
    part = factories.shim(30, 0.15, number="S-1")
    read = hidden(desk.get("/parts/S-1").content.decode(), "read")
    factories.stocked(part, 1)
    again = edit(desk, part, read=read, **{**SIZES, "od_mm": "34"})
    assert again.status_code == 422
    assert "make another part for another size" in text_of(again)
    assert re.search(r'name="od_mm" value="34"', again.content.decode())
    assert Shim.objects.get().od_um == 30_000
    assert not Amendment.objects.exists()


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("name", "", "This field is required."),
        ("name", "=1", "which a spreadsheet would run"),
        ("reason", "", "This field is required."),
        ("od_mm", "34mm", "It must be a plain number in millimetres"),
        ("od_mm", "", "It is required, in millimetres."),
        ("bore_mm", "40", "It must be smaller than the outer diameter."),
        ("form", "star", "Select a valid choice."),
    ],
)
def test_what_is_wrong_is_said_beside_the_field_and_the_typing_kept(
    desk: Browser, field: str, typed: str, said: str
) -> None:
    part = factories.shim(30, 0.15, number="S-1")
    again = edit(desk, part, **{**SIZES, "name": "Typed", field: typed})
    html = again.content.decode()
    assert again.status_code == 422
    wrong = re.search(rf'name="{field}"(?:(?!name=").)*?<p class="error"[^>]*>([^<]*)', html, re.DOTALL)
    assert wrong is not None
    assert said in wrong[1]
    assert field == "name" or 'value="Typed"' in html
    assert Part.objects.get().name == "shim S-1"
    assert not Amendment.objects.exists()


def test_two_people_at_once_see_both_values_and_the_second_may_insist(desk: Browser) -> None:
    part = factories.shim(number="S-1")
    read = hidden(desk.get("/parts/S-1").content.decode(), "read")
    edit(desk, part, read=read, name="Hers")
    again = edit(desk, part, read=read, name="His", once="k2")
    html = again.content.decode()
    assert again.status_code == 422
    assert "reads &#x27;Hers&#x27; now; you typed &#x27;His&#x27;" in html
    assert "Somebody else corrected this meanwhile" in html
    assert 'value="His"' in html
    assert Part.objects.get().name == "Hers"
    insisted = edit(desk, part, read=hidden(html, "read"), name="His", once=hidden(html, "once"))
    assert insisted.status_code == 303
    assert Part.objects.get().name == "His"


def test_a_retirement_that_crosses_another_edit_is_shown_beside_its_field(desk: Browser) -> None:
    part = factories.shim(number="S-1")
    read = hidden(desk.get("/parts/S-1").content.decode(), "read")
    edit(desk, part, read=read, retired="on")
    again = edit(desk, part, read=read, name="His", once="k2")
    assert again.status_code == 422
    assert "reads &#x27;retired&#x27; now; you typed &#x27;in use&#x27;" in again.content.decode()


def test_sent_twice_it_is_corrected_once(desk: Browser) -> None:
    part = factories.shim(number="S-1")
    read = hidden(desk.get("/parts/S-1").content.decode(), "read")
    assert [edit(desk, part, read=read, name="Thin").status_code for _ in range(2)] == [303, 303]
    assert Amendment.objects.count() == 1


def test_the_tuner_looks_and_changes_nothing(client: Browser) -> None:
    part = factories.shim(number="S-1")
    tuner = signed_in(client, people.tuner())
    assert "Correct this" not in text_of(tuner.get("/parts/S-1"))
    assert edit(tuner, part, read="x", name="Other").status_code == 403
    assert Part.objects.get().name == "shim S-1"


def test_a_lot_of_seals_shows_when_it_was_cured(desk: Browser) -> None:
    factories.stocked(factories.oring(number="OR-1"), 5, lot="L-OR", cure_date="2026-Q3")
    assert "cured 2026-Q3" in desk.get("/parts/OR-1").content.decode()


def test_a_lot_past_its_shelf_life_is_named_on_its_parts_page(desk: Browser) -> None:
    """NBR of 2010-Q1 is past 7 + 3 years of ISO 2230 in any year from 2021 on."""
    ring = factories.oring(number="OR-1", compound="NBR")
    factories.stocked(ring, 5, lot="L-OLD", cure_date="2010-Q1")
    factories.stocked(ring, 5, lot="L-NEW", cure_date="2026-Q3")
    html = desk.get("/parts/OR-1").content.decode()
    assert html.count("over-age: do not fit") == 1
    assert "5 over-age" in html
