"""A lapsed hold over two drawers whose halves two others give back at the same moment, neither seeing the other."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from django.db import connection
from django.db.models import Q

from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds.claims import lock_balances
from inventory.holds.expiry import sweep
from inventory.holds.models import Hold, HoldLine, State
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults, lapsed_by_balance
from inventory.holds.services import Locked, confirm_hold, extend_hold, release_hold
from inventory.stock import replay
from inventory.stock.models import Balance
from tests import factories, people
from tests.conftest import HeldClock

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def halves_given_back(clock: HeldClock) -> Iterator[Locked]:
    """The hold, after both halves are back on the shelf."""
    first, second = (factories.stocked(factories.shim(), 5, lot=f"L-{index}") for index in (1, 2))
    locked = factories.held(Wanted(4, lot="L-1"), Wanted(3, lot="L-2"), minutes=5)
    clock.advance(minutes=5)
    actor = people.outsider()
    done = threading.Event()

    def other() -> None:
        try:
            use_case(lambda: lock_balances(rows=Q(pk=second.pk), actor=actor))
        finally:
            connection.close()
            done.set()

    thread = threading.Thread(target=other)

    def work() -> None:
        lock_balances(rows=Q(pk=first.pk), actor=actor)
        thread.start()
        # On PostgreSQL the other ends now; on SQLite it waits for this transaction to end.
        done.wait(0.5)

    use_case(work)
    thread.join(10)
    assert done.is_set()
    assert set(Balance.objects.values_list("held", flat=True)) == {0}
    assert lapsed_by_balance() == {}
    yield locked
    assert replay.faults() == []
    assert held_faults() == []


def kept(locked: Locked) -> list[int]:
    return list(HoldLine.objects.filter(hold=locked.hold).order_by("pk").values_list("quantity", flat=True))


def test_confirming_it_takes_every_piece_again(halves_given_back: Locked) -> None:
    # A paid order that is confirmed and holds nothing would be the worst of answers.
    use_case(lambda: confirm_hold(hold=halves_given_back.hold.pk, actor=people.storefront()))
    assert kept(halves_given_back) == [4, 3]


def test_confirming_it_is_refused_when_somebody_has_taken_the_pieces(halves_given_back: Locked) -> None:
    factories.held(Wanted(5, lot="L-2"), actor=people.outsider())
    with pytest.raises(DomainError, match="hold_lapsed"):
        use_case(lambda: confirm_hold(hold=halves_given_back.hold.pk, actor=people.storefront()))


def test_extending_it_is_refused(halves_given_back: Locked) -> None:
    with pytest.raises(DomainError, match="hold_lapsed"):
        use_case(lambda: extend_hold(hold=halves_given_back.hold.pk, minutes=5, actor=people.storefront()))


def test_releasing_it_and_sweeping_it_leave_nothing_behind(halves_given_back: Locked) -> None:
    use_case(lambda: release_hold(hold=halves_given_back.hold.pk, actor=people.storefront()))
    sweep(actor=people.clerk())
    assert Hold.objects.get().state in {State.RELEASED, State.LAPSED}
    assert kept(halves_given_back) == [0, 0]
