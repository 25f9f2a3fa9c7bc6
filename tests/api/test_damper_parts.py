"""Which parts fit a damper model, and why."""

from __future__ import annotations

from typing import Any

import pytest

from compat.dampers.engine_values import usual_bore_um
from compat.engineering.units import Range
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
    # The damper of the fixture brings a nut of its own.
    assert set(found) == {"right", "narrow", "wide", "nut", "near-miss", "left", "OWN-NUT"}
    assert found["right"]["verdict"] == "fits"
    assert found["narrow"]["verdict"] == found["wide"]["verdict"] == "does_not_fit"
    assert {"threads_differ"} <= codes(found["near-miss"], "stop")
    assert {"hands_differ"} <= codes(found["left"], "stop")


def one_valve(shaft_mm: Any, body_mm: Any, code: str = "ONE") -> str:
    valve = {"code": "main", "shaft_mm": shaft_mm, "body_bore_mm": body_mm}
    known = {name: value for name, value in valve.items() if value is not None}
    return saved_damper({"code": code, "name": "one", "valves": [known]})


@pytest.mark.parametrize(
    ("od_mm", "verdict"), [(45.9, "fits"), (45.95, "does_not_fit"), (46, "does_not_fit"), (80, "does_not_fit")]
)
def test_a_shim_that_reaches_the_body_at_its_narrowest_does_not_fit(
    storefront: Caller, db: None, od_mm: float, verdict: str
) -> None:
    """A bore alone does not make a shim fit: it has to lie within the body."""
    factories.shim(od_mm, 0.15, 12, number="shim")
    answer = answers(storefront, one_valve(12, {"min": 45.95, "max": 46.05, "nominal": 46}))["shim"]
    assert answer["verdict"] == verdict
    assert codes(answer) == {"shim_bore_right" if verdict == "fits" else "shim_reaches_body"}


def test_a_body_that_is_not_known_is_asked_for(storefront: Caller, db: None) -> None:
    factories.shim(34, 0.15, 12, number="shim")
    answer = answers(storefront, one_valve(12, None))["shim"]
    assert answer["verdict"] == "cannot_tell" and codes(answer, "measure") == {"shim_body_unknown"}


@pytest.mark.parametrize(
    ("bore_mm", "verdict", "code"),
    [
        (11.98, "does_not_fit", "shim_bore_other"),
        (11.99, "cannot_tell", "shim_bore_close"),
        (12, "cannot_tell", "shim_bore_close"),
        (12.01, "fits", "shim_bore_right"),
        (12.31, "fits", "shim_bore_right"),
        (12.32, "does_not_fit", "shim_bore_other"),
    ],
)
def test_a_nominal_bore_within_the_readings_of_the_shaft_asks_and_rules_nothing_out(
    storefront: Caller, db: None, bore_mm: float, verdict: str, code: str
) -> None:
    """A shaft of 12 +-0.01 and a shim that is called 12. Common practice, no published source."""
    factories.shim(34, 0.15, bore_mm, number="shim")
    answer = answers(storefront, one_valve({"min": 11.99, "max": 12.01, "nominal": 12}, 46))["shim"]
    assert (answer["verdict"], codes(answer)) == (verdict, {code})


@pytest.mark.parametrize(
    ("shaft_mm", "spread_mm"), [(12, 0.0), (12, 0.01), (11.97, 0.03), (11.95, 0.04), (10.02, 0.05), (8, 0.1)]
)
def test_the_usual_bore_of_a_shaft_is_never_ruled_out(
    storefront: Caller, db: None, shaft_mm: float, spread_mm: float
) -> None:
    """What a stack takes where no bore is told is also what the model's page lists."""
    shaft = Range.around(shaft_mm, spread_mm)
    usual = usual_bore_um(shaft)
    assert usual is not None
    factories.shim(34, 0.15, usual / 1000, number="shim")
    limits = {"min": round(shaft.low, 3), "max": round(shaft.high, 3), "nominal": shaft_mm}
    assert answers(storefront, one_valve(limits, 46))["shim"]["verdict"] != "does_not_fit"


def test_a_shim_serves_where_one_valve_takes_it_or_may_take_it(storefront: Caller, db: None) -> None:
    main = {"code": "main", "shaft_mm": 12, "body_bore_mm": 46}
    base = {"code": "base", "shaft_mm": 8, "body_bore_mm": 30}
    saved_damper({"code": "TWO", "name": "two", "valves": [main, base]})
    saved_damper({"code": "OPEN", "name": "open", "valves": [main, {"code": "base", "body_bore_mm": 30}]})
    for od_mm, bore_mm in ((34, 12), (28, 8), (34, 8), (28, 10), (46, 12)):
        factories.shim(od_mm, 0.15, bore_mm, number=f"{od_mm}-{bore_mm}")
    two, opened = answers(storefront, "TWO"), answers(storefront, "OPEN")
    assert {number: answer["verdict"] for number, answer in two.items()} == {
        "34-12": "fits",
        "28-8": "fits",
        "34-8": "does_not_fit",
        "28-10": "does_not_fit",
        "46-12": "does_not_fit",
    }
    assert codes(opened["28-10"], "measure") == {"damper_shaft_unknown"}
    assert opened["34-8"]["verdict"] == "does_not_fit", "it is larger than the body of the valve that is open"
    assert "whether it covers ports is a question of the stack" in two["28-8"]["findings"][0]["text"].lower()


def test_a_code_by_which_no_page_could_be_opened_is_refused(lead: Caller) -> None:
    for code in ("new", ".", ".."):
        body = problem(lead.post("/dampers", {"code": code, "name": "x", "valves": [{"code": "main"}]}), 400, "invalid")
        assert fields(body) == {"code"}
    for number in (".", "..", "A/../B", "./A", "A/."):
        sizes = {"od_mm": 30, "thickness_mm": 0.15, "bore_mm": 12, "form": "round"}
        sent = {"number": number, "kind": "shim", "name": "x", "sizes": sizes}
        assert fields(problem(lead.post("/parts", sent), 400, "invalid")) == {"number"}


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
