"""Shelf life over HTTP: what is past it changes nothing that is available, and is named."""

from __future__ import annotations

import pytest

from inventory.catalogue.services import retire_part
from inventory.common.transactions import use_case
from tests import factories
from tests.api.conftest import Caller, fed, ok, problem
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


@pytest.mark.django_db(transaction=True)  # PostgreSQL's feed shows what is committed
def test_what_is_past_its_life_is_named_and_never_counted(storefront: Caller, lead: Caller, clock: HeldClock) -> None:
    """NBR by ISO 2230: 7 years from the cure quarter, 3 more after an inspection (as tabulated openly)."""
    ring = factories.oring(number="OR-1", compound="NBR")
    factories.stocked(ring, 3, lot="OLD", cure_date="2015-Q2")
    factories.stocked(ring, 20, lot="NEW", cure_date="2029-Q1")
    part = ok(lead.get("/parts/OR-1"))
    assert (part["on_hand"], part["available"], part["over_age"], part["age_to_check"]) == (23, 20, 3, 0)
    assert [one["available_delta"] for one in fed(storefront)] == [0, 20]
    old, new = ok(lead.get("/lots"))["results"]
    assert (old["age"], old["shelf_life_until"], old["places"][0]["over_age"]) == ("over", "2022-06-30", 3)
    assert (new["age"], new["shelf_life_until"], new["places"][0]["available"]) == ("good", "2036-03-31", 20)


def test_a_storefront_is_shown_on_hand_what_may_be_given_out(
    storefront: Caller, lead: Caller, clock: HeldClock
) -> None:
    """3 past their life, 4 whose age nobody knows, 20 good ones of which 2 are held; and a retired part."""
    ring = factories.oring(number="OR-1", compound="NBR")
    for quantity, lot, cured in ((3, "OLD", "2015-Q2"), (4, "DUE", ""), (20, "NEW", "2029-Q1")):
        factories.stocked(ring, quantity, lot=lot, cure_date=cured)
    ok(storefront.post("/holds", {"lines": [{"part": "OR-1", "quantity": 2}]}), 201)
    names = ("on_hand", "held", "available", "over_age", "age_to_check")
    assert [ok(lead.get("/parts/OR-1"))[name] for name in names] == [27, 2, 18, 3, 4]
    shown = [ok(storefront.get("/parts/OR-1")), *ok(storefront.get("/parts"))["results"]]
    asked = {"sizes": {"id_mm": 37.69, "section_mm": 3.53}, "kind": "oring"}
    (found,) = ok(storefront.ask("/fit/parts-by-size", asked))["values"]["parts"]
    for one in (*shown, {**shown[0], **found}):
        assert [one[name] for name in names] == [20, 2, 18, 3, 4]
    use_case(lambda: retire_part(part=ring))
    retired = ok(storefront.get("/parts/OR-1"))
    assert (retired["on_hand"], retired["held"], retired["available"]) == (2, 2, 0)


def test_a_hold_that_is_refused_for_the_age_of_what_lies_there_says_so(storefront: Caller, clock: HeldClock) -> None:
    ring = factories.oring(number="OR-1", compound="NBR")
    for quantity, lot, cured in ((3, "OLD", "2015-Q2"), (4, "DUE", ""), (1, "NEW", "2029-Q1")):
        factories.stocked(ring, quantity, lot=lot, cure_date=cured)
    factories.stocked(factories.shim(number="S"), 1)
    lines = [{"part": "OR-1", "quantity": 2}, {"part": "S", "quantity": 2}]
    body = problem(storefront.post("/holds", {"lines": lines}), 409, "out_of_stock")
    ages, plain = body["errors"]
    assert ages["message"] == (
        "2 asked, 1 free; kept back: 3 past their shelf life, 4 whose age the workshop must check first"
    )
    assert plain["message"] == "2 asked, 1 free"
    assert body["data"]["lines"] == [
        {"line": 0, "asked": 2, "free": 1, "over_age": 3, "age_to_check": 4},
        {"line": 1, "asked": 2, "free": 1},
    ]


@pytest.mark.parametrize(
    ("cured", "said"),
    [
        ("2015-Q2", "1 asked, 0 free; kept back: 3 past their shelf life"),
        ("", "1 asked, 0 free; kept back: 3 whose age the workshop must check first"),
    ],
)
def test_one_reason_is_said_alone(storefront: Caller, clock: HeldClock, cured: str, said: str) -> None:
    ring = factories.oring(number="OR-1", compound="NBR")
    factories.stocked(ring, 3, cure_date=cured)
    body = problem(storefront.post("/holds", {"lines": [{"part": "OR-1", "quantity": 1}]}), 409, "out_of_stock")
    assert body["errors"][0]["message"] == said
