"""Damper models: the list, a model's page, the form of the whole document, and its revisions."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.http import HttpRequest, HttpResponse, QueryDict
from django.test import Client
from django.urls import reverse

from compat.pages.damper_models import dampers
from compat.pages.damper_models.damper_forms import DamperSheet, as_typed
from compat.questions.asks import checked
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.counter.commands import carry_out
from inventory.dampers.checked import DamperIn
from inventory.dampers.document import Told, told
from inventory.dampers.models import DamperModel, DamperRevision
from inventory.dampers.selectors import damper_called
from inventory.dampers.services import edit_damper
from inventory.documents.lengths import Length
from inventory.documents.outside import outside
from inventory.documents.typed import written
from tests import factories, people
from tests.api.conftest import STACKS, damper_document, limit, saved_damper, sealing, stored
from tests.compat.saved import saved_stack
from tests.visiting import signed_in

DEMO = Path(__file__).parents[2] / "fixtures" / "demo" / "dampers.json"
DEMO_DAMPERS = {document["code"]: document for document in json.loads(DEMO.read_text())}


def sent(fields: dict[str, str]) -> QueryDict:
    data = QueryDict(mutable=True)
    data.update(fields)
    return data


@pytest.fixture
def clerk(client: Client, db: None) -> Client:
    return signed_in(client, people.clerk())


@pytest.fixture
def tuner(client: Client, db: None) -> Client:
    return signed_in(client, people.tuner())


def read(response: Any) -> str:
    """The page as a person reads it."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def beside(response: Any, name: str) -> str:
    """The error beside a field."""
    found = re.search(rf'id="id_{name}_error">(.*?)</p>', response.content.decode(), re.DOTALL)
    return html.unescape(found[1]).strip() if found else ""


def value_of(response: Any, name: str) -> str:
    found = re.search(rf'<input[^>]* name="{name}"[^>]*>', response.content.decode())
    assert found, f"no field {name}"
    value = re.search(r' value="([^"]*)"', found[0])
    return html.unescape(value[1]) if value else ""


def model_of(document: dict[str, Any]) -> Told:
    """A model from its JSON with code and name, not checked."""
    return Told(document["code"], document["name"], stored(document))


def page_of(damper: str) -> str:
    return reverse("damper", kwargs={"code": damper})


def edit_of(damper: str) -> str:
    return reverse("edit-damper", kwargs={"code": damper})


def editing(tuner: Client, damper: str, **changes: str) -> dict[str, str]:
    """What the form of a damper model sends, with changes; its one-use key and revision as the page gave them."""
    page = tuner.get(edit_of(damper))
    model = damper_called(damper)
    fields = as_typed(Told(model.code, model.name, model.document))
    hidden = {name: value_of(page, name) for name in ("once", "revision")}
    return {name: text for name, text in {**fields, **hidden, **changes}.items() if text}


# The form and the document.


@pytest.mark.parametrize("document", DEMO_DAMPERS.values(), ids=list(DEMO_DAMPERS))
def test_a_demo_damper_comes_through_the_form_as_it_was(document: dict[str, Any]) -> None:
    form = DamperSheet(sent(as_typed(model_of(document))))
    assert form.is_valid(), form.errors
    assert form.request() == document
    assert form.model() == told(checked(DamperIn, document))


@pytest.mark.parametrize("document", DEMO_DAMPERS.values(), ids=list(DEMO_DAMPERS))
def test_a_saved_document_comes_through_the_form_as_it_was(document: dict[str, Any]) -> None:
    """As the shelf holds it every measured length is a range."""
    model = told(checked(DamperIn, document))
    form = DamperSheet(sent(as_typed(model)))
    assert form.is_valid(), form.errors
    assert form.model() == model


@pytest.mark.parametrize(
    "valve",
    [
        {"code": "mid"},
        {"code": "base", "sides": {"compression": {}}},
        {"code": "main", "sides": {"rebound": {"open_fraction": 0.45, "seat_mm": 31.5, "seat_height_mm": 0.04}}},
        {"code": "mid", "base_plates": {"rebound": {}}, "sides": {"rebound": {"hub_mm": 12.0}}},
        {
            "code": "main",
            "washers": [{"name": f"Washer {n}", "height_mm": 1.0 + n, "place": "inner"} for n in range(7)],
        },
        {"code": "main", "washers": [{"name": "Not measured", "place": "outer"}]},
        {"code": "main", "shaft_mm": {"min": 11.975, "max": 12.0}, "overlap_mm": 0.0},
    ],
)
def test_a_valve_of_which_little_is_known_or_much_is_told_loses_nothing(valve: dict[str, Any]) -> None:
    document = {"code": "X", "name": "x", "valves": [valve]}
    form = DamperSheet(sent(as_typed(model_of(document))))
    assert form.is_valid(), form.errors
    assert form.request() == document


def full_document(code: str = "FULL") -> dict[str, Any]:
    """A document with every field that there is, in every form that it may have."""
    document = {**damper_document(code), **sealing()}
    for side in document["valves"][0]["sides"].values():
        side |= {"open_fraction": 0.45678912345678912, "seat_mm": 31.5, "seat_height_mm": 0.04}
    # No size alike, so that none can stand in another's place.
    document["valves"] += [
        {
            "code": "base",
            "shaft_mm": 8.001,
            "overlap_mm": 0.411,
            "washers": [{"name": f"Washer {n}", "height_mm": 1.0 + n / 1000, "place": "outer"} for n in range(6)],
            "sides": {"rebound": {"hub_mm": {"min": 15.001, "max": 15.004, "nominal": 15.003}}},
            "base_plates": {"rebound": {}},
        },
        {"code": "mid"},
    ]
    document["shaft_end"] |= {"hand": "left"}
    document["limits"][1] |= {"source": "Halvik sheet 10, page 2; \u201cwear\u201d", "on": "2026-03-31"}
    return document


def fields_of(serializer: Any, path: str = "") -> set[str]:
    """The paths of every field that a document may have; a list's items have no number."""
    found = set()
    for name, field in serializer.fields.items():
        inner = getattr(field, "child", field)
        here = f"{path}.{name}".strip(".")
        found |= fields_of(inner, here) if hasattr(inner, "fields") else {here}
    return found


def paths_of(document: Any, path: str = "") -> set[str]:
    """The paths of every value in a document; a measured length counts as one."""
    if isinstance(document, list):
        return {found for one in document for found in paths_of(one, path)}
    if not isinstance(document, dict) or "min" in document:
        return {path}
    return {found for name, one in document.items() for found in paths_of(one, f"{path}.{name}".strip("."))}


def test_a_full_document_has_every_field_of_the_contract() -> None:
    """So that a field that is added to the contract, and not to the form, fails the next test."""
    document = full_document()
    rings = [
        {"band": {"energiser": {"id_mm": 37.7, "section_mm": 3.53}}},
        {"rod_gland": {"ring": {"size": "112"}}},
    ]
    assert fields_of(DamperIn()) <= paths_of(document) | paths_of(rings)


@pytest.mark.parametrize("other_ring", [False, True])
def test_an_edit_on_the_page_drops_nothing_of_a_full_document(tuner: Client, other_ring: bool) -> None:
    document = full_document()
    if other_ring:
        document["band"]["energiser"] = {"id_mm": {"min": 37.3, "max": 38.1, "nominal": 37.69}, "section_mm": 3.53}
        document["rod_gland"]["ring"] = {"size": "112"}
    stored = outside(checked(DamperIn, document))
    code = saved_damper(stored)
    assert tuner.post(edit_of(code), editing(tuner, code, name="Another name")).status_code == 303
    first, second = DamperRevision.objects.order_by("number")
    assert second.document == first.document == {n: v for n, v in stored.items() if n not in ("code", "name")}


def test_limits_come_through_the_form_in_the_order_of_the_contract() -> None:
    some = [limit("runout_max_mm", 0.04), limit("nut_torque_n_m", 33.8954512)]
    document = {"code": "X", "name": "x", "valves": [{"code": "main"}], "limits": some}
    form = DamperSheet(sent(as_typed(model_of(document))))
    assert form.is_valid(), form.errors
    assert form.request() == document
    assert form.model() == model_of(document)


def test_empty_rows_of_washers_are_left_out_and_an_error_finds_its_row() -> None:
    fields = as_typed(model_of({"code": "X", "name": "x", "valves": [{"code": "mid"}]}))
    form = DamperSheet(sent({**fields, "mid_washers_0_place": "inner", "mid_washers_2_height_mm": "2"}))
    assert form.is_valid()
    assert form.request()["valves"] == [{"code": "mid", "washers": [{"height_mm": 2.0}]}]
    with pytest.raises(DomainError) as caught:
        form.model()
    form.refuse_at_paths(caught.value)
    assert list(form.errors) == ["mid_washers_2_name"]


# The list.


def test_the_list_names_each_model_with_its_thread_stacks_and_last_revision(clerk: Client) -> None:
    code = saved_damper(damper_document("LIST-1", hand="left"))
    saved_stack(code, "Trail", STACKS)
    saved_stack(code, "Road", STACKS)
    text = read(clerk.get(reverse("dampers")))
    assert "LIST-1 Halvik 46 rear main M12x1.25 left hand 2 1 Ossian Tarn" in text


def test_the_list_narrows_by_code_or_name(clerk: Client) -> None:
    saved_damper(damper_document("AA-1"))
    saved_damper({**damper_document("BB-2"), "name": "Vilmar fork"})
    assert "AA-1" not in read(clerk.get(reverse("dampers"), {"q": "vilmar"}))
    assert "BB-2" in read(clerk.get(reverse("dampers"), {"q": "bb-"}))
    assert "No damper model has “nothing”" in read(clerk.get(reverse("dampers"), {"q": "nothing"}))


def test_an_empty_list_says_so(clerk: Client) -> None:
    assert "No damper model is on file yet" in read(clerk.get(reverse("dampers")))


def test_the_list_takes_the_same_queries_for_any_number_of_models(
    clerk: Client, django_assert_max_num_queries: Any
) -> None:
    saved_damper(damper_document("D-0"))
    with django_assert_max_num_queries(20) as few:
        clerk.get(reverse("dampers"))
    for number in range(1, 12):
        saved_stack(saved_damper(damper_document(f"D-{number}")), "Trail", STACKS)
    with django_assert_max_num_queries(len(few)):
        clerk.get(reverse("dampers"))


# A model's page.


def test_sizes_stand_with_units_and_letters(clerk: Client, damper: str) -> None:
    page = clerk.get(page_of(damper))
    text = read(page)
    assert "G Shaft where the shims sit 11.97 to 12 mm" in text
    assert "F Ports, outer edges 34.2 mm 32.2 mm" in text
    assert "B Shoulder to lip 22 mm" in text
    assert "D On the straight part, at least 1.8 mm" in text
    assert "Shoulder washer at the shoulder 1.5 mm" in text
    assert "style=" not in page.content.decode()


def test_what_was_never_measured_is_said_to_be_not_known(clerk: Client) -> None:
    saved_damper(damper_document("GAP", on_straight_mm=None))
    assert "On the straight part, at least not known" in read(clerk.get(page_of("GAP")))


def test_a_model_of_which_nothing_is_known_has_a_page(clerk: Client) -> None:
    saved_damper({"code": "BARE", "name": "bare", "valves": [{"code": "mid"}]})
    text = read(clerk.get(page_of("BARE")))
    assert "Nothing is known of it, so no nut and no spacer can be judged" in text
    assert "floats on its sleeve and is not drawn" in text


def test_seals_stand_with_their_units_and_limits_with_source_and_date(clerk: Client) -> None:
    saved_damper(outside(checked(DamperIn, {**damper_document("SEAL"), **sealing()})))
    page = clerk.get(page_of("SEAL"))
    text = read(page)
    assert (
        "The band What Size Bottom of the groove 38.6 mm Thickness of the band 0.95 mm Energiser, size AS568-222"
        in text
    )
    assert "The shaft What Size Diameter 11.97 to 12 mm" in text
    assert "Ring, inner diameter 11.6 mm Ring, section 2.4 mm Oil" in text
    assert "Oil mineral oil Hottest that it becomes 92.5 \u00b0C" in text
    assert "Largest body bore 46.105 mm 2026-05-01 Halvik sheet 9 Least shaft diameter 11.95 mm" in text
    assert "Torque of the shaft's nut 33.8955 N.m 2026-05-01 Halvik sheet 9" in text


def test_the_limits_stack_on_a_phone_with_a_label_each(clerk: Client) -> None:
    saved_damper({**damper_document("SEAL"), **sealing()})
    page = clerk.get(page_of("SEAL")).content.decode()
    table = re.search(r'<table class="list stacked" id="limits">.*?</table>', page, re.DOTALL)
    assert table
    rows = re.findall(r"<tr>.*?</tr>", table[0].partition("<tbody>")[2], re.DOTALL)
    labels = [re.findall(r'data-label="([^"]+)"', row) for row in rows]
    assert labels == [["Value", "Dated", "Source"]] * 5


def test_of_seals_and_limits_that_are_not_known_the_page_says_so(clerk: Client, damper: str) -> None:
    text = read(clerk.get(page_of(damper)))
    assert "Nothing is known of its band, its shaft, its seal head and its oil." in text
    assert "No limit from the maker's instructions is on file" in text
    saved_damper({**damper_document("FEW"), "band": {"groove_mm": 38.6}, "limits": [limit("shaft_min_mm", 11.9)]})
    text = read(clerk.get(page_of("FEW")))
    assert "Bottom of the groove 38.6 mm Thickness of the band not known Energiser, size not known" in text
    assert "Seal head" not in text and "Least shaft diameter 11.9 mm" in text and "Largest body bore" not in text


def test_an_older_revision_shows_the_limits_that_it_had(tuner: Client) -> None:
    code = saved_damper({**damper_document("SEAL"), **sealing()})
    changes = {"limits_bore_max_mm_value": "46.08", "limits_bore_max_mm_on": "2026-06-30"}
    assert tuner.post(edit_of(code), editing(tuner, code, **changes)).status_code == 303
    assert "Largest body bore 46.08 mm 2026-06-30" in read(tuner.get(page_of(code)))
    assert "Largest body bore 46.105 mm 2026-05-01" in read(tuner.get(page_of(code), {"revision": "1"}))


def test_saved_stacks_are_written_as_they_are_typed_and_lead_to_the_bench(clerk: Client, damper: str) -> None:
    saved_stack(damper, "Long trail & back", STACKS, note="Needs measured lots.")
    page = clerk.get(page_of(damper))
    assert "34x0.20 x2 22x0.10 x1 30x0.15 x1" in read(page)
    assert "Needs measured lots." in read(page)
    to_bench = f"{reverse('bench')}?damper={damper}&amp;stack=Long%20trail%20%26%20back"
    assert f'href="{to_bench}"' in page.content.decode()


def test_the_valve_is_drawn_without_shims_or_with_the_chosen_stack(clerk: Client, damper: str) -> None:
    saved_stack(damper, "Trail", STACKS)
    plain, drawn = clerk.get(page_of(damper)), clerk.get(page_of(damper), {"stack": "Trail"})
    assert "Without shims" in read(plain)
    assert "With the saved stack “Trail”" in read(drawn)
    sections = [page.context["valves"][0].section for page in (plain, drawn)]
    assert len(sections[1].rows) - len(sections[0].rows) == sum(len(lines) for lines in STACKS.values())


def test_sizes_that_contradict_each_other_leave_the_page_without_a_drawing(clerk: Client) -> None:
    document = damper_document("ODD")
    document["valves"][0]["body_bore_mm"] = 0
    saved_damper(document)
    page = clerk.get(page_of("ODD"))
    assert page.status_code == 200
    assert "so it is not drawn" in read(page)


def test_an_end_that_cannot_be_leaves_the_page_without_nuts_but_with_everything_else(clerk: Client) -> None:
    factories.nut("M12x1.25", number="SAME")
    saved_damper(damper_document("ODD", shaft_end_mm=0))
    page = clerk.get(page_of("ODD"))
    assert page.status_code == 200
    assert "Cannot be asked: a size of the model is none." in read(page)
    assert "E Ports, inner edges 22 mm 22 mm" in read(page)


def test_parts_that_fit_stand_with_what_is_available_of_them(clerk: Client, damper: str) -> None:
    right = factories.shim(34, 0.15, 12, number="RIGHT")
    factories.stocked(right, 7)
    factories.shim(34, 0.15, 14, number="WIDE")
    factories.nut("M12x1.25", number="SAME")
    factories.nut("M12x1.5", number="OTHER-PITCH")
    text = read(clerk.get(page_of(damper)))
    assert "RIGHT 34 x 0.15 mm, bore 12 mm It fits 7 0" in text
    assert re.search(r"SAME M12x1.25, 10 mm high Cannot tell yet gauge it 0 0", text)
    assert "WIDE" not in text and "OTHER-PITCH" not in text
    assert "1 other shim does not fit" in text and "1 other nut does not fit" in text
    assert "whether it covers ports is a question of the stack" in text


def test_a_shim_as_large_as_the_body_is_not_said_to_fit(clerk: Client, damper: str) -> None:
    factories.shim(46, 0.15, 12, number="AS-LARGE")
    text = read(clerk.get(page_of(damper)))
    assert "AS-LARGE" not in text and "1 other shim does not fit" in text


def test_the_letters_of_each_table_are_those_of_a_picture_with_its_own_name(clerk: Client, damper: str) -> None:
    """B is the base plate's height in one picture and the shoulder to the lip in another."""
    page = clerk.get(page_of(damper)).content.decode()
    heads = re.findall(r'<th scope="col" class="lettered">([^<]+)</th>', page)
    assert sorted(heads) == ["End picture", "Face picture", "Lip picture", "Valve picture"]
    pictures = re.findall(r'<details class="means"><summary>([^:<]+): what its letters mean', page)
    assert pictures == heads


def test_a_drawing_without_a_stack_says_where_to_choose_one_and_places_no_lip(clerk: Client, damper: str) -> None:
    saved_stack(damper, "Trail", STACKS)
    plain, drawn = clerk.get(page_of(damper)), clerk.get(page_of(damper), {"stack": "Trail"})
    assert "choose a saved stack above to see it drawn" in read(plain)
    assert read(plain).index("Saved stacks") < read(plain).index("choose a saved stack above")
    sections = [page.context["valves"][0].section for page in (plain, drawn)]
    assert [any(shape.css == "dr-lip" for shape in one.drawing.shapes) for one in sections] == [False, True]
    assert "times as thick" not in sections[0].drawing.desc
    assert "where they fall depends on the stacks" in read(plain) and "depends on the stacks" not in read(drawn)


def test_many_shims_are_shown_page_by_page(clerk: Client, damper: str) -> None:
    for number in range(30):
        # All smaller than the body's bore of 46 mm: a larger one does not fit.
        factories.shim(15 + number, 0.15, 12, number=f"S-{number:02}")
    first, second = clerk.get(page_of(damper)), clerk.get(page_of(damper), {"shims": "2"})
    assert "S-00" in read(first) and "S-29" not in read(first)
    assert "S-29" in read(second) and "S-00" not in read(second)


def test_a_page_of_a_model_takes_the_same_queries_for_any_shelf(
    clerk: Client, damper: str, django_assert_max_num_queries: Any
) -> None:
    def fill(count: int) -> None:
        for number in range(count):
            factories.stocked(factories.shim(34, 0.15, 12, number=f"S-{count}-{number}"), 3)
            factories.nut("M12x1.25", number=f"N-{count}-{number}")
            saved_stack(damper, f"Stack {count} {number}", STACKS)

    fill(1)
    with django_assert_max_num_queries(40) as few:
        clerk.get(page_of(damper))
    fill(12)
    with django_assert_max_num_queries(len(few)):
        clerk.get(page_of(damper))


def test_each_revision_stands_with_who_saved_it_and_can_be_read(tuner: Client, damper: str) -> None:
    tuner.post(edit_of(damper), editing(tuner, damper, main_piston_height_mm="13"))
    page = tuner.get(page_of(damper))
    assert re.search(r"Revisions .* 2 Ossian Tarn .* 1 Ossian Tarn", read(page))
    older = tuner.get(page_of(damper), {"revision": "1"})
    assert "An older revision, as it was saved. The model is at revision 2" in read(older)
    assert "Height of the piston 12 mm" in read(older) and "Height of the piston 13 mm" in read(page)
    assert tuner.get(page_of(damper), {"revision": "9"}).status_code == 404
    assert tuner.get(page_of(damper), {"revision": "x"}).status_code == 404


def test_an_unknown_model_is_not_found(tuner: Client) -> None:
    assert tuner.get(page_of("NONE")).status_code == 404
    assert tuner.get(edit_of("NONE")).status_code == 404


# Editing.


def test_the_clerk_reads_and_does_not_edit(clerk: Client, damper: str) -> None:
    page = clerk.get(page_of(damper))
    assert page.status_code == 200
    assert edit_of(damper) not in page.content.decode()
    for address in (edit_of(damper), reverse("new-damper")):
        assert clerk.get(address).status_code == 403
        assert clerk.post(address, {}).status_code == 403
    assert DamperRevision.objects.count() == 1


@pytest.mark.parametrize("actor", [people.tuner, people.lead])
def test_tuner_and_lead_save_a_new_revision(client: Client, damper: str, actor: Any) -> None:
    editor = signed_in(client, actor())
    assert edit_of(damper) in editor.get(page_of(damper)).content.decode()
    fields = editing(editor, damper, name="Halvik 46, measured", main_piston_height_mm="12,01 ±0.01")
    done = editor.post(edit_of(damper), fields)
    assert (done.status_code, done["Location"]) == (303, page_of(damper))
    model = damper_called(damper)
    assert (model.revision, model.name) == (2, "Halvik 46, measured")
    assert model.document.valves[0].piston_height_mm == Length(12.0, 12.02, 12.01)
    assert DamperRevision.objects.get(number=2).person == actor().person


def test_saving_without_a_change_keeps_the_document(tuner: Client) -> None:
    stored = outside(checked(DamperIn, DEMO_DAMPERS["ZE-43-F"]))
    code = saved_damper(stored)
    tuner.post(edit_of(code), editing(tuner, code))
    first, second = DamperRevision.objects.order_by("number")
    assert second.document == first.document


def test_the_form_shows_the_document(tuner: Client) -> None:
    code = saved_damper(outside(checked(DamperIn, DEMO_DAMPERS["QU-46-A"])))
    page = tuner.get(edit_of(code))
    assert value_of(page, "main_shaft_mm") == "11.97..12 (12)"
    assert value_of(page, "main_base_plates_rebound_height_mm") == "3.05 ±0.03"
    assert value_of(page, "main_washers_0_name") == "Shoulder washer"
    assert value_of(page, "code") == code and "disabled" in page.content.decode()


def test_sent_twice_it_is_saved_once(tuner: Client, damper: str) -> None:
    fields = editing(tuner, damper, main_piston_height_mm="13")
    first, again = tuner.post(edit_of(damper), fields), tuner.post(edit_of(damper), fields)
    assert (first.status_code, again.status_code) == (303, 303)
    assert first["Location"] == again["Location"]
    assert damper_called(damper).revision == 2


def test_a_form_changed_after_it_was_sent_gets_a_new_key_and_is_saved_on_purpose(tuner: Client, damper: str) -> None:
    fields = editing(tuner, damper, main_piston_height_mm="13")
    tuner.post(edit_of(damper), fields)
    changed = {**fields, "main_piston_height_mm": "14"}
    refused = tuner.post(edit_of(damper), changed)
    assert refused.status_code == 422
    assert value_of(refused, "once") != fields["once"]
    assert value_of(refused, "main_piston_height_mm") == "14"


def test_a_save_that_had_to_be_tried_again_is_said_once(
    tuner: Client, damper: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As when the database was too busy to keep the first try."""

    def tried_twice(request: HttpRequest, work: Callable[[], str]) -> HttpResponse:
        with transaction.atomic():
            work()
            transaction.set_rollback(True)
        return carry_out(request, work)

    monkeypatch.setattr(dampers, "carry_out", tried_twice)
    assert tuner.post(edit_of(damper), editing(tuner, damper, main_piston_height_mm="13")).status_code == 303
    assert read(tuner.get(page_of(damper))).count("Saved as revision 2.") == 1
    assert damper_called(damper).revision == 2


def test_a_save_that_was_refused_says_nothing_of_a_save(tuner: Client, damper: str) -> None:
    fields = editing(tuner, damper, main_piston_height_mm="13", revision="7")
    assert tuner.post(edit_of(damper), fields).status_code == 422
    assert "Saved as revision" not in read(tuner.get(page_of(damper)))


@pytest.mark.django_db(transaction=True)
def test_what_somebody_else_saved_meanwhile_is_not_lost_and_neither_is_the_typing(tuner: Client, damper: str) -> None:
    fields = editing(tuner, damper, main_piston_height_mm="13")
    model = damper_called(damper)
    use_case(lambda: edit_damper(code=damper, name="Theirs", document=model.document, revision=1, actor=people.lead()))
    refused = tuner.post(edit_of(damper), fields)
    assert refused.status_code == 422
    assert "Somebody saved a newer revision meanwhile" in read(refused)
    assert value_of(refused, "main_piston_height_mm") == "13"
    assert f'<a href="{page_of(damper)}"' in refused.content.decode()
    assert damper_called(damper).name == "Theirs"
    again = tuner.post(edit_of(damper), {**fields, "once": value_of(refused, "once"), "on_top_of": "2"})
    assert again.status_code == 303, read(again)
    assert damper_called(damper).revision == 3
    assert DamperRevision.objects.get(number=2).damper.code == damper


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"main_piston_height_mm": "about 12"}, "main_piston_height_mm", "Type a length"),
        ({"main_shaft_mm": "0.5"}, "main_shaft_mm", "is the unit right?"),
        ({"main_overlap_mm": "0.4..0.5"}, "main_overlap_mm", "Type a number"),
        ({"name": "=cmd()"}, "name", "It"),
        ({"shaft_end_thread": "x" * 31}, "shaft_end_thread", "at most 30"),
        ({"main_code": ""}, "main_code", "It has sizes below"),
        ({"main_sides_rebound": ""}, "main_sides_rebound", "It has sizes below"),
        ({"mid_shaft_mm": "8"}, "mid_code", "It has sizes below"),
        ({"main_washers_3_height_mm": "2"}, "main_washers_3_name", "required"),
        ({"band_energiser_size": "22"}, "band_energiser_size", "three digits"),
        (
            {"rod_gland_ring_size": "112", "rod_gland_ring_id_mm": "12"},
            "rod_gland_ring_size",
            "or the inner diameter and the section",
        ),
        (
            {"band_energiser_size": "222", "band_energiser_id_mm": "38"},
            "band_energiser_size",
            "or the inner diameter and the section",
        ),
        ({"band_groove_mm": "0"}, "band_groove_mm", "is the unit right?"),
        ({"oil_hottest_c": "500"}, "oil_hottest_c", "0 and 400"),
        ({"limits_runout_max_mm_value": "0.04"}, "limits_runout_max_mm_source", "required"),
        (
            {"limits_runout_max_mm_value": "0.04", "limits_runout_max_mm_source": "x"},
            "limits_runout_max_mm_on",
            "required",
        ),
        ({"limits_runout_max_mm_source": "Sheet 9"}, "limits_runout_max_mm_value", "required"),
        ({"limits_shaft_min_mm_on": "31.3.2026"}, "limits_shaft_min_mm_on", "a day as in 2026-03-31"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_nothing_is_saved(
    tuner: Client, damper: str, changes: dict[str, str], field: str, said: str
) -> None:
    refused = tuner.post(edit_of(damper), editing(tuner, damper, **changes))
    assert refused.status_code == 422
    assert said in beside(refused, field)
    assert re.search(rf'name="{field}"[^>]*autofocus', refused.content.decode())
    for name, text in changes.items():
        if text:
            assert value_of(refused, name) == text
    assert damper_called(damper).revision == 1


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"on": "2999-01-01"}, "on", "between 1950 and today"),
        ({"value": "46.0001"}, "value", "3 decimals"),
        ({"value": "0"}, "value", "is the unit right?"),
        ({"source": "x" * 201}, "source", "at most 200"),
        ({"source": "=cmd()"}, "source", "It"),
    ],
)
def test_a_wrong_limit_is_said_in_its_own_row(
    tuner: Client, damper: str, changes: dict[str, str], field: str, said: str
) -> None:
    """The second that is told, though it is the last of the form: the places of the rows between are empty."""
    names = {"bore_max_mm": "46.1", "shim_play_max_mm": "0.12"}
    rows = {name: {"value": value, "source": "Sheet 9", "on": "2026-05-01"} for name, value in names.items()}
    rows["shim_play_max_mm"] |= changes
    typed = {f"limits_{name}_{part}": text for name, row in rows.items() for part, text in row.items()}
    refused = tuner.post(edit_of(damper), editing(tuner, damper, **typed))
    assert refused.status_code == 422
    assert said in beside(refused, f"limits_shim_play_max_mm_{field}")
    assert len(re.findall(r'class="error"', refused.content.decode())) == 1
    assert damper_called(damper).revision == 1


def test_a_limit_goes_when_its_row_is_empty(tuner: Client) -> None:
    code = saved_damper({**damper_document("SEAL"), **sealing()})
    fields = {name: text for name, text in editing(tuner, code).items() if not name.startswith("limits_runout")}
    assert tuner.post(edit_of(code), fields).status_code == 303
    kept = [one.limit for one in damper_called(code).document.limits or ()]
    assert kept == ["bore_max_mm", "shaft_min_mm", "nut_torque_n_m", "shim_play_max_mm"]


def test_a_valve_goes_when_its_box_and_its_sizes_are_empty(tuner: Client) -> None:
    code = saved_damper(outside(checked(DamperIn, DEMO_DAMPERS["ZE-43-F"])))
    fields = {name: text for name, text in editing(tuner, code).items() if not name.startswith("mid_")}
    assert tuner.post(edit_of(code), fields).status_code == 303
    assert damper_called(code).document.codes == ["main", "base"]


def test_the_last_valve_cannot_go(tuner: Client, damper: str) -> None:
    fields = {name: text for name, text in editing(tuner, damper).items() if not name.startswith("main_")}
    refused = tuner.post(edit_of(damper), fields)
    assert refused.status_code == 422
    assert "needs at least one valve" in beside(refused, "main_code")


# New models.


def new_fields(tuner: Client, **more: str) -> dict[str, str]:
    page = tuner.get(reverse("new-damper"))
    return {"once": value_of(page, "once"), "code": "NEW-1", "name": "New one", "main_code": "on", **more}


def test_a_new_model_needs_no_sizes(tuner: Client) -> None:
    done = tuner.post(reverse("new-damper"), new_fields(tuner))
    assert (done.status_code, done["Location"]) == (303, page_of("NEW-1"))
    assert written(damper_called("NEW-1").document) == {"valves": [{"code": "main"}]}
    assert tuner.get(page_of("NEW-1")).status_code == 200


def test_a_new_model_sent_twice_is_made_once(tuner: Client) -> None:
    fields = new_fields(tuner, shaft_end_thread="M12x1.25")
    assert [tuner.post(reverse("new-damper"), fields).status_code for _ in range(2)] == [303, 303]
    assert DamperModel.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"code": ""}, "code", "required"),
        ({"code": "A/B"}, "code", "not allowed here"),
        ({"code": "new"}, "code", "cannot be this word"),
        ({"code": "."}, "code", "cannot be this word"),
        ({"code": ".."}, "code", "cannot be this word"),
        ({"code": "HA-46"}, "code", "already there"),
        ({"name": ""}, "name", "required"),
    ],
)
def test_a_new_model_that_cannot_be_made_says_why_beside_the_field(
    tuner: Client, damper: str, changes: dict[str, str], field: str, said: str
) -> None:
    refused = tuner.post(reverse("new-damper"), {**new_fields(tuner, main_shaft_mm="12,0"), **changes})
    assert refused.status_code == 422
    assert said in beside(refused, field)
    assert value_of(refused, "main_shaft_mm") == "12,0"
    assert DamperModel.objects.count() == 1
