"""Parts drawn by number for a plan: only what may be given out, the lot that ends first in front."""

from __future__ import annotations

from datetime import date

import pytest

from compat.plans import also
from inventory.catalogue.services import retire_part
from inventory.common.transactions import use_case
from tests import factories
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


def drawn(part: str, quantity: int) -> tuple[dict[str, int], list[str]]:
    """({lot: pieces}, codes of the findings)."""
    found = also.serve([(part, quantity)], shaft_thread=None, shaft_hand=None)
    return {lot.lot: lot.quantity for lot in found.lines[0].lots}, [one.code for one in found.findings]


def test_rings_are_drawn_by_the_end_of_their_life_and_never_over_age(clock: HeldClock) -> None:
    """NBR by ISO 2230: 7 years from the cure quarter, 3 more after an inspection (as tabulated openly)."""
    ring = factories.oring(number="OR-1", compound="NBR")
    factories.stocked(ring, 3, lot="OVER", cure_date="2015-Q2", received_on=date(2015, 8, 1))
    factories.stocked(ring, 3, lot="FRESH", cure_date="2029-Q1", received_on=date(2029, 8, 1))
    factories.stocked(ring, 3, lot="SOON", cure_date="2023-Q2")
    factories.stocked(ring, 3, lot="DUE", cure_date="2021-Q3")
    assert drawn("OR-1", 4) == ({"SOON": 3, "FRESH": 1}, [])
    assert drawn("OR-1", 8) == ({"SOON": 3, "FRESH": 3}, ["also_missing", "also_age_to_check"])


def test_nothing_is_drawn_of_a_retired_part() -> None:
    shim = factories.shim(number="S-1")
    factories.stocked(shim, 3)
    use_case(lambda: retire_part(part=shim))
    assert drawn("S-1", 1) == ({}, ["also_missing"])
