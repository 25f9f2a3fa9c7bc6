"""Shelf life over HTTP: what is past it changes nothing that is available, and is named."""

from __future__ import annotations

import pytest

from tests import factories
from tests.api.conftest import Caller, ok
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


@pytest.mark.django_db(transaction=True)  # PostgreSQL's feed shows what is committed
def test_what_is_past_its_life_is_named_and_never_counted(storefront: Caller, lead: Caller, clock: HeldClock) -> None:
    """NBR by ISO 2230: 7 years from the cure quarter, 3 more after an inspection (as tabulated openly)."""
    ring = factories.oring(number="OR-1", compound="NBR")
    factories.stocked(ring, 3, lot="OLD", cure_date="2015-Q2")
    factories.stocked(ring, 20, lot="NEW", cure_date="2029-Q1")
    part = ok(storefront.get("/parts/OR-1"))
    assert (part["on_hand"], part["available"], part["over_age"], part["age_to_check"]) == (23, 20, 3, 0)
    assert [one["available_delta"] for one in ok(storefront.get("/changes"))["results"]] == [0, 20]
    old, new = ok(lead.get("/lots"))["results"]
    assert (old["age"], old["shelf_life_until"], old["places"][0]["over_age"]) == ("over", "2022-06-30", 3)
    assert (new["age"], new["shelf_life_until"], new["places"][0]["available"]) == ("good", "2036-03-31", 20)
