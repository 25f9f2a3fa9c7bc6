"""Names without what nobody sees: over the API, on pages, from a file and by the commands alike."""

from __future__ import annotations

import unicodedata
from io import StringIO

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client as Browser

from inventory.catalogue.models import Part
from inventory.common import writing
from inventory.counter.forms import Line
from inventory.people.models import Client, Person
from inventory.receiving.opening.loading import load_shelf
from inventory.stock.models import Drawer
from tests import people
from tests.api.conftest import Caller, caller, fields, ok, problem
from tests.visiting import signed_in

UNSEEN = {
    "zero-width space": "\u200b",
    "zero-width joiner": "\u200d",
    "byte order mark": "\ufeff",
    "soft hyphen": "\u00ad",
    "right to left": "\u202e",
    "isolate": "\u2066",
    "mark of direction": "\u200f",
    "line separator": "\u2028",
    "paragraph separator": "\u2029",
    "next line": "\u0085",
    "delete": "\x7f",
    "private": "\ue000",
    "unassigned": "\u0378",
    "filler": "\u3164",
    "empty Braille cell": "\u2800",
    "joiner of graphemes": "\u034f",
    "selector of variants": "\ufe0f",
    "tag": "\U000e0041",
}
unseen = pytest.mark.parametrize("sign", UNSEEN.values(), ids=UNSEEN)
SIZES = {"od_mm": 30, "thickness_mm": 0.2, "bore_mm": 12}


@pytest.fixture
def lead(db: None) -> Caller:
    return caller(people.lead())


def test_what_people_write_is_left_alone() -> None:
    for text in (
        "Scheibe 34 × 0,15",
        "Jørgen Åkesson",
        "Łódź",
        "平ワッシャ",
        "Ø 46",
        "шайба",
        "φίλτρο",
        "½-20",
        "a  b",
    ):
        assert writing.tidy(text) == text
        assert writing.refusal(text) is None


@unseen
def test_a_sign_that_nobody_sees_is_refused_on_a_page(sign: str) -> None:
    with pytest.raises(ValidationError, match="cannot be seen"):
        Line().clean(f"A{sign}B")


@unseen
def test_a_sign_that_nobody_sees_is_refused_over_the_api(lead: Caller, sign: str) -> None:
    part = {"number": f"A{sign}B", "kind": "shim", "name": f"Shim{sign}30", "sizes": SIZES}
    assert fields(problem(lead.post("/parts", part), 400, "invalid")) == {"number", "name"}
    delivery = {"number": f"D{sign}1", "supplier": f"Nord{sign}licht"}
    assert fields(problem(lead.post("/deliveries", delivery), 400, "invalid")) == {"number", "supplier"}
    assert fields(problem(lead.post("/jobs", {"number": f"J{sign}1", "title": f"F{sign}"}), 400, "invalid")) >= {
        "number"
    }
    assert not Part.objects.exists()


HEAD = "part,kind,name,od_mm,thickness_mm,bore_mm,lot,drawer,quantity\n"


@pytest.mark.django_db
@unseen
def test_a_sign_that_nobody_sees_is_a_fault_of_a_file(sign: str) -> None:
    row = f"S{sign}H,shim,Shim,34,0.15,12,L-1,A{sign}1,4\n"
    loaded = load_shelf(content=(HEAD + row).encode(), actor=people.clerk(), progress=lambda *_: None)
    assert {(one.line, one.column) for one in loaded.faults} == {(2, "part"), (2, "drawer")}
    assert not Part.objects.exists() and not Drawer.objects.exists()


@pytest.mark.django_db
@unseen
def test_a_sign_that_nobody_sees_is_refused_in_the_names_of_people_and_programs(client: Browser, sign: str) -> None:
    with pytest.raises(CommandError, match="cannot be seen"):
        call_command("person", f"ru{sign}na", role="clerk", no_password=True, stdout=StringIO())
    with pytest.raises(CommandError, match="cannot be seen"):
        call_command("api_key", f"web{sign} shop", role="storefront", stdout=StringIO(), stderr=StringIO())
    assert not Person.objects.exists() and not Client.objects.exists()
    lead = people.lead().person
    assert lead is not None
    Person.objects.filter(pk=lead.pk).update(is_staff=True, is_superuser=True)
    signed_in(client, people.lead())
    address = f"/admin/inventory/person/{lead.pk}/change/"
    sent = {"username": "maive", "first_name": f"Mai{sign}ve", "last_name": "Orlund", "role": "lead"}
    sent |= {"is_active": "on", "is_staff": "on", "date_joined_0": "2030-01-01", "date_joined_1": "00:00:00"}
    refused = client.post(address, sent)
    assert (refused.status_code, "cannot be seen" in refused.content.decode()) == (200, True)
    lead.refresh_from_db()
    assert lead.first_name == "Maive"


def test_one_name_written_in_two_ways_is_one(lead: Caller) -> None:
    two = "Böhm\u00a01", unicodedata.normalize("NFD", "Böhm 1")
    ok(lead.post("/deliveries", {"number": two[0], "supplier": two[1]}), 201)
    problem(lead.post("/deliveries", {"number": two[1]}), 409, "conflict")
    (kept,) = lead.walk("/deliveries")
    assert (kept["number"], kept["supplier"]) == ("Böhm 1", "Böhm 1")
    assert Line().clean(two[1]) == Line().clean(two[0]) == "Böhm 1"


@pytest.mark.django_db
def test_a_file_and_the_admin_pages_compose_names_too() -> None:
    row = unicodedata.normalize("NFD", "SHÄ,shim,Shim,34,0.15,12,L-1,A\u00a01,4\n")
    assert load_shelf(content=(HEAD + row).encode(), actor=people.clerk(), progress=lambda *_: None).faults == []
    assert (Part.objects.get().number, Drawer.objects.get().code) == ("SHÄ", "A 1")
    person = Person(username="x", first_name=unicodedata.normalize("NFD", "Zoë"))
    person.clean()
    assert person.first_name == "Zoë"
