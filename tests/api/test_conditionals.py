"""ETags: a read that changed nothing costs nothing, and an edit never overwrites what its editor has not seen."""

from __future__ import annotations

import pytest

from inventory.dampers.models import DamperRevision
from tests import factories
from tests.api.conftest import Caller, damper_document, fields, job, ok, problem, saved_damper

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "path",
    [
        "/parts",
        "/parts/A",
        "/lots",
        "/drawers",
        "/movements",
        "/deliveries",
        "/dampers",
        "/dampers/HA-46",
        "/dampers/HA-46/stacks",
        "/dampers/HA-46/parts",
        "/holds",
        "/jobs",
        "/jobs/J-1",
        "/schema",
    ],
)
def test_a_read_carries_an_etag_and_is_a_304_while_nothing_changes(lead: Caller, path: str) -> None:
    factories.stocked(factories.shim(number="A"), 5)
    saved_damper()
    job("J-1")
    first = lead.get(path)
    assert first.status_code == 200 and first["ETag"]
    again = lead.get(path, If_None_Match=first["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    assert again["ETag"] == first["ETag"]
    assert lead.get(path, If_None_Match='"another"').status_code == 200


def test_the_etag_of_a_part_changes_with_what_is_free(lead: Caller) -> None:
    factories.stocked(factories.shim(number="A"), 5)
    before = lead.get("/parts/A")["ETag"]
    ok(lead.post("/holds", {"lines": [{"part": "A", "quantity": 1}]}), 201)
    after = lead.get("/parts/A", If_None_Match=before)
    assert ok(after)["available"] == 4
    assert after["ETag"] != before


def test_a_304_still_needs_a_key(lead: Caller, nobody: Caller) -> None:
    tag = lead.get("/parts")["ETag"]
    problem(nobody.get("/parts", If_None_Match=tag), 401, "key_missing")


def test_an_edit_without_if_match_is_a_428(lead: Caller, damper: str) -> None:
    problem(lead.put(f"/dampers/{damper}", damper_document()), 428, "if_match_missing")


@pytest.mark.parametrize("tag", ['"0"', '"2"', '"99"', '"x"', "*x", '"-1"', '"' + "9" * 40 + '"'])
def test_an_edit_on_top_of_another_revision_is_a_412(lead: Caller, damper: str, tag: str) -> None:
    reply = lead.put(f"/dampers/{damper}", damper_document(), If_Match=tag)
    problem(reply, 412, "edited_meanwhile")
    assert ok(lead.get(f"/dampers/{damper}"))["revision"] == 1


def test_an_edit_with_the_etag_that_was_read_is_taken_and_gives_the_next(lead: Caller, damper: str) -> None:
    tag = lead.get(f"/dampers/{damper}")["ETag"]
    document = {**damper_document(), "name": "Halvik 46 rear, long"}
    reply = lead.put(f"/dampers/{damper}", document, If_Match=tag)
    assert ok(reply)["revision"] == 2
    read = lead.get(f"/dampers/{damper}")
    assert read["ETag"] == reply["ETag"] != tag
    assert ok(read)["name"] == "Halvik 46 rear, long"
    problem(lead.put(f"/dampers/{damper}", document, If_Match=tag), 412, "edited_meanwhile")
    ok(lead.put(f"/dampers/{damper}", document, If_Match=read["ETag"]))


def test_every_revision_stays_as_it_was_saved(lead: Caller, tuner: Caller, damper: str) -> None:
    for number, program in ((1, tuner), (2, lead)):
        document = damper_document(shoulder_to_lip_mm=22 + number)
        ok(program.put(f"/dampers/{damper}", document, If_Match=f'"{number}"'))
    kept = list(DamperRevision.objects.order_by("number"))
    lips = [one.document["shaft_end"]["shoulder_to_lip_mm"]["nominal"] for one in kept]
    assert lips == [22, 23, 24]
    assert all((one.person is None) != (one.client is None) for one in kept)


def test_an_edit_sent_twice_happens_once(lead: Caller, damper: str) -> None:
    sent = [lead.put(f"/dampers/{damper}", damper_document(), once="edit-1", If_Match='"1"') for _ in range(2)]
    assert [ok(reply)["revision"] for reply in sent] == [2, 2]
    assert sent[1]["ETag"] == sent[0]["ETag"]


def test_a_damper_keeps_its_code(lead: Caller, damper: str) -> None:
    body = problem(lead.put(f"/dampers/{damper}", damper_document("OTHER"), If_Match='"1"'), 400, "invalid")
    assert fields(body) == {"code"}


def test_an_edit_of_an_unknown_damper_is_a_404(lead: Caller) -> None:
    problem(lead.put("/dampers/NONE", damper_document("NONE"), If_Match='"1"'), 404, "not_found")


def test_a_damper_comes_back_as_it_was_sent(lead: Caller) -> None:
    """Numbers become ranges, since every size of a damper is a reading; nothing else changes."""
    sent = damper_document("BACK")
    made = ok(lead.post("/dampers", sent), 201)
    assert made == ok(lead.get("/dampers/BACK"))
    valve = made["valves"][0]
    assert valve["overlap_mm"] == 0.5
    assert valve["piston_height_mm"] == {"min": 12.0, "max": 12.0, "nominal": 12.0}
    assert valve["shaft_mm"] == {"min": 11.97, "max": 12.0, "nominal": 12.0}
    assert made["shaft_end"]["thread"] == "M12x1.25"
    assert made["shaft_end"]["on_straight_mm"] == 1.8
    problem(lead.post("/dampers", sent), 409, "conflict")


def test_what_a_get_gave_can_be_sent_back_as_an_edit(lead: Caller) -> None:
    ok(lead.post("/dampers", damper_document()), 201)
    read = lead.get("/dampers/HA-46")
    body = {name: value for name, value in ok(read).items() if name != "revision"}
    edited = ok(lead.put("/dampers/HA-46", body, If_Match=read["ETag"]))
    assert {**edited, "revision": 1} == ok(read)


@pytest.mark.parametrize("valves", [[], [{"code": "main"}, {"code": "main"}], [{"code": "top"}], [{}], "main"])
def test_a_damper_has_valves_each_once(lead: Caller, valves: object) -> None:
    problem(lead.post("/dampers", {**damper_document(), "valves": valves}), 400, "invalid")
