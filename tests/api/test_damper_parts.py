"""Which parts fit a damper model, and why."""

from __future__ import annotations

import pytest

from tests import factories
from tests.api.conftest import Caller, Json, damper_document, fields, ok, problem, saved_damper, statements
from tests.api.fit import codes, well_formed

pytestmark = pytest.mark.django_db


def answers(program: Caller, code: str = "HA-46", query: str = "") -> dict[str, Json]:
    """{part number: answer}, each answer of the whole form."""
    found = {}
    for row in program.walk(f"/dampers/{code}/parts?page_size=2{query}"):
        assert set(row) == {"part", "answer"}
        well_formed(row["answer"])
        found[row["part"]["number"]] = row["answer"]
    return found


def test_each_nut_and_shim_gets_an_answer(storefront: Caller, damper: str) -> None:
    factories.shim(34, 0.15, 12, number="right")
    factories.shim(34, 0.15, 10, number="narrow")
    factories.shim(34, 0.15, 14, number="wide")
    factories.nut("M12x1.25", number="nut")
    factories.nut("M12x1.5", number="near-miss")
    factories.nut("M12x1.25", number="left", hand="left")
    factories.washer(number="washer")
    found = answers(storefront)
    assert set(found) == {"right", "narrow", "wide", "nut", "near-miss", "left"}
    assert found["right"]["verdict"] == "fits"
    assert found["narrow"]["verdict"] == found["wide"]["verdict"] == "does_not_fit"
    assert {"threads_differ"} <= codes(found["near-miss"], "stop")
    assert {"hands_differ"} <= codes(found["left"], "stop")


def test_a_nut_never_fits_by_its_label_alone(storefront: Caller, damper: str) -> None:
    """Gauge the pitch of both parts. Common practice, no published source."""
    factories.nut("M12x1.25", number="nut", tolerance_class="6H", property_class="10", locking="compound")
    answer = answers(storefront)["nut"]
    assert answer["verdict"] == "cannot_tell"
    assert {"shaft_pitch_not_gauged", "nut_pitch_not_gauged"} <= codes(answer, "measure")


def test_the_kind_narrows_the_list(storefront: Caller, damper: str) -> None:
    factories.shim(number="shim")
    factories.nut(number="nut")
    assert set(answers(storefront, query="&kind=shim")) == {"shim"}
    assert fields(problem(storefront.get("/dampers/HA-46/parts?kind=piston"), 400, "invalid")) == {"kind"}


@pytest.mark.parametrize("thread", [None, "nonsense", "M12 fine"])
def test_a_shaft_whose_thread_is_not_known_is_a_question_and_not_an_error(
    storefront: Caller, db: None, thread: str | None
) -> None:
    saved_damper(damper_document(thread=thread))
    factories.nut(number="nut")
    assert answers(storefront)["nut"]["verdict"] == "cannot_tell"


def test_a_damper_of_which_nothing_is_known_is_a_question(storefront: Caller, db: None) -> None:
    saved_damper({"code": "BARE", "name": "bare", "valves": [{"code": "main"}]})
    factories.nut(number="nut")
    factories.shim(number="shim")
    assert {answer["verdict"] for answer in answers(storefront, "BARE").values()} == {"cannot_tell"}


def test_an_unknown_damper_is_a_404(storefront: Caller) -> None:
    problem(storefront.get("/dampers/NONE/parts"), 404, "not_found")


def test_the_number_of_statements_does_not_grow(storefront: Caller, damper: str) -> None:
    counts = []
    for count in (2, 60):
        for number in range(count):
            factories.stocked(factories.shim(number=f"S-{count}-{number}"), 1)
            factories.nut(number=f"N-{count}-{number}")
        with statements() as sent:
            ok(storefront.get("/dampers/HA-46/parts?page_size=200"))
        counts.append(len(sent))
    assert counts[0] == counts[1] <= 10, counts
