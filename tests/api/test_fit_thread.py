"""Which thread is this? Over HTTP."""

from __future__ import annotations

import pytest

from tests.api.conftest import Caller, Json, fields, problem
from tests.api.fit import asked, codes

pytestmark = pytest.mark.django_db


def test_a_shaft_by_caliper_and_gauge(storefront: Caller) -> None:
    answer = asked(storefront, "thread-reading", {"part": "shaft", "diameter_mm": 11.9, "pitch_mm": 1.25})
    assert answer["verdict"] == "fits"
    (found,) = answer["values"]["candidates"]
    # ISO 965-1: 8g of M12x1.25 goes down to 11.637, no shaft is larger than 12 mm
    assert (found["thread"], found["diameter_mm"]["min"], found["diameter_mm"]["max"]) == ("M12x1.25", 11.637, 12.0)
    assert found["inside"] is True
    assert answer["values"]["separate_by"] == []


def test_a_diameter_partly_outside_its_thread_is_asked_about(storefront: Caller) -> None:
    for wide in ({"min": 11.2, "max": 11.8}, {"min": 11.5, "max": 12.2}):
        answer = asked(storefront, "thread-reading", {"part": "shaft", "diameter_mm": wide, "pitch_mm": 1.25})
        assert answer["verdict"] == "cannot_tell"


def test_a_reading_with_its_limits_and_the_reading_that_tells(tuner: Caller) -> None:
    sent = {"part": "nut", "diameter_mm": {"min": 10.65, "max": 10.67}, "diameter_error_mm": 0.01}
    answer = asked(tuner, "thread-reading", sent)
    assert answer["verdict"] == "cannot_tell"
    assert {"reading_pitch_missing", "several_threads_match", "separate_by_pitch"} <= codes(answer, "measure")
    assert {one["reading"] for one in answer["values"]["separate_by"]} == {"pitch"}


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"diameter_mm": 12}, "part"),
        ({"part": "bolt", "diameter_mm": 12}, "part"),
        ({"part": "nut", "pitch_mm": 1.25, "threads_per_inch": 20}, "threads_per_inch"),
        ({"part": "nut", "pitch_mm": 0}, "pitch_mm"),
        ({"part": "nut", "diameter_mm": -1}, "diameter_mm"),
        ({"part": "nut", "diameter_mm": 10, "thread": "M12"}, "thread"),
    ],
)
def test_what_is_malformed_is_refused_by_field(storefront: Caller, sent: Json, field: str) -> None:
    assert field in fields(problem(storefront.ask("/fit/thread-reading", sent), 400, "invalid"))
