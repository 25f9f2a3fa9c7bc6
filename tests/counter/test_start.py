"""The start page: each role finds its next things, and an empty workshop what to begin with."""

from __future__ import annotations

import pytest
from django.test import Client as Browser

from inventory.common.transactions import use_case
from inventory.people.actors import Actor
from inventory.receiving.services import count_balance, start_delivery
from tests import factories, people
from tests.api.conftest import damper, shelf, statements
from tests.compat.test_reserve import held, made
from tests.visiting import signed_in

pytestmark = pytest.mark.django_db
__all__ = ["damper", "shelf"]


def start_of(actor: Actor) -> str:
    return str(signed_in(Browser(), actor).get("/").content.decode())


def test_the_clerk_finds_deliveries_drawers_to_count_and_lots_to_measure() -> None:
    factories.stocked(factories.shim(), 5, lot="BARE", drawer="B-02")
    factories.stocked(factories.shim(), 5, lot="MEASURED", drawer="B-03", readings_um=[150, 151])
    use_case(lambda: start_delivery(number="D-1", supplier="Oxbeck", note="", received_on=None, actor=people.clerk()))
    text = start_of(people.clerk())
    assert "D-1</a> from Oxbeck" in text
    assert "B-02" in text and "never counted" in text
    assert "BARE" in text and "MEASURED" not in text
    assert "To the bench" not in text


def test_a_drawer_that_was_counted_goes_behind_those_that_were_not() -> None:
    factories.stocked(factories.shim(), 5, lot="L-1", drawer="A-01")
    factories.stocked(factories.shim(), 5, lot="L-2", drawer="A-02")
    use_case(lambda: count_balance(lot="L-1", drawer="A-01", counted=5, actor=people.clerk()))
    text = start_of(people.clerk())
    assert text.index("A-02</a>") < text.index("A-01</a>")


def test_the_tuner_finds_their_own_plans_and_what_is_held(shelf: str) -> None:
    plan = made()
    held(plan)
    other = made()
    text = start_of(people.tuner())
    assert f"Plan {plan.pk}</a>: HA-46" in text and f"Plan {other.pk}</a>: HA-46" in text
    assert text.count(", held") == 1
    assert "Take a delivery in" not in text
    assert f"Plan {plan.pk}<" not in start_of(people.lead()), "plans are one's own"


def test_everybody_sees_holds_that_a_count_made_short(shelf: str) -> None:
    plan = made()
    locked = held(plan)
    line = locked.lines[-1]
    balance = locked.by_id[line.balance_id]
    use_case(
        lambda: count_balance(
            lot=balance.lot.number, drawer=balance.drawer.code, counted=line.quantity - 1, actor=people.clerk()
        )
    )
    for actor in (people.clerk(), people.tuner(), people.lead()):
        assert f"Hold {locked.hold.pk}</a> of Ossian Tarn" in start_of(actor)
    assert f"{line.quantity - 1} counted, 10 expected" in start_of(people.lead())
    assert "10 expected" not in start_of(people.clerk())


@pytest.mark.parametrize("actor", [people.clerk, people.tuner, people.lead])
def test_an_empty_workshop_says_what_to_begin_with(actor: object) -> None:
    assert callable(actor)
    text = start_of(actor())
    assert 'class="nothing"' in text


def test_the_queries_do_not_grow_with_the_shelf() -> None:
    lead = signed_in(Browser(), people.lead())
    with statements() as few:
        lead.get("/")
    for number in range(20):
        factories.stocked(factories.shim(), 5, drawer=f"A-{number}")
    with statements() as many:
        lead.get("/")
    assert len(many) <= len(few) <= 11
