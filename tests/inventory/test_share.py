"""A storefront's share of a part: all that it keeps of it unpaid counts together, in however many holds and lots."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import LazySettings
from django.db import connection
from django.db.models import Sum

from inventory.common import clock as the_clock
from inventory.common import locks
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds import requests
from inventory.holds.models import HoldLine, Purpose
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.holds.services import confirm_hold, extend_hold
from inventory.people import keys
from inventory.people.roles import Role
from inventory.stock import replay
from inventory.stock.models import Condition, Lot
from tests import factories, people
from tests.concurrency import interleaving
from tests.concurrency.interleaving import Ended, pause
from tests.conftest import HeldClock
from tests.factories import held

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def half(settings: LazySettings) -> Iterator[None]:
    """A storefront may keep half of a part."""
    settings.STOREFRONT_SHARE_PERCENT = 50
    yield
    assert replay.faults() == held_faults() == []


def kept() -> int:
    """Pieces that the storefront keeps."""
    client = people.storefront().client
    found: int = HoldLine.objects.filter(hold__client=client).aggregate(all=Sum("quantity", default=0))["all"]
    return found


def refused_with(*lines: Wanted) -> int | None:
    """What the storefront may still have of the first line, by the refusal that these get."""
    with pytest.raises(DomainError) as raised:
        held(*lines)
    assert raised.value.code == "out_of_stock", str(raised.value)
    free: int | None = raised.value.data["lines"][0]["free"]
    return free


def test_ten_holds_of_a_part_stay_together_under_the_share() -> None:
    shim = factories.shim(number="A")
    for lot in ("one", "two"):
        factories.stocked(shim, 10, lot=lot)
    for number in range(10):
        held(Wanted(1, part="A") if number % 2 else Wanted(1, lot="two"))
    assert kept() == 10
    assert refused_with(Wanted(1, part="A")) == 0
    for lot in ("one", "two"):
        assert refused_with(Wanted(1, lot=lot)) is None
    held(Wanted(10, part="A"), actor=people.outsider())


def test_all_lines_of_one_hold_count_together() -> None:
    shim = factories.shim(number="A")
    for lot in ("one", "two"):
        factories.stocked(shim, 10, lot=lot)
    assert refused_with(Wanted(4, part="A"), Wanted(4, lot="one"), Wanted(3, lot="two")) is not None
    held(Wanted(4, part="A"), Wanted(3, lot="one"), Wanted(3, lot="two"))
    assert refused_with(Wanted(1, part="A")) == 0


def test_two_keys_of_one_storefront_have_one_share() -> None:
    factories.stocked(factories.shim(number="A"), 10)
    held(Wanted(5, part="A"))
    _, key = use_case(lambda: keys.issue(name="web shop", role=Role.STOREFRONT))
    with pytest.raises(DomainError, match="out_of_stock"):
        held(Wanted(1, part="A"), actor=keys.holder(key))


@pytest.mark.parametrize("gone", ["lot retired", "over age"])
def test_what_it_keeps_of_a_lot_that_may_go_no_more_counts_too(gone: str, clock: HeldClock) -> None:
    ring = factories.oring(number="A", compound="NBR")
    for lot in ("one", "two"):
        factories.stocked(ring, 10, lot=lot, cure_date="2029-Q1")
    held(Wanted(10, lot="one"))
    if gone == "lot retired":
        Lot.objects.filter(number="one").update(retired_at=the_clock.now())
    else:
        Lot.objects.filter(number="one").update(cure_date="1990-Q1")
    # Half of what may go are five, and it keeps ten.
    assert refused_with(Wanted(1, part="A")) == 0
    assert refused_with(Wanted(1, lot="two")) is None


def test_what_is_sold_counts_on_neither_side() -> None:
    factories.stocked(factories.shim(number="A"), 10)
    sold = held(Wanted(4, part="A"))
    use_case(lambda: confirm_hold(hold=sold.hold.pk, actor=people.storefront()))
    # Six are left to be given out, whoever bought the others.
    assert refused_with(Wanted(4, part="A")) == 3
    held(Wanted(3, part="A"))
    assert refused_with(Wanted(1, part="A")) == 0


def test_the_workshop_s_holds_leave_the_share_as_it_is() -> None:
    factories.stocked(factories.shim(number="A"), 10)
    held(Wanted(4, part="A"), actor=people.clerk(), purpose=Purpose.JOB)
    held(Wanted(5, part="A"))
    assert refused_with(Wanted(1, part="A")) == 0


def test_take_offs_are_no_part_of_what_is_shared() -> None:
    shim = factories.shim(number="A")
    factories.stocked(shim, 10)
    factories.stocked(shim, 90, condition=Condition.TAKE_OFF)
    assert refused_with(Wanted(6, part="A")) == 5


def test_extending_and_confirming_add_nothing_that_is_unpaid(clock: HeldClock) -> None:
    factories.stocked(factories.shim(number="A"), 10)
    shop = people.storefront()
    first = held(Wanted(5, part="A"), minutes=5)
    clock.advance(minutes=4)
    use_case(lambda: extend_hold(hold=first.hold.pk, minutes=5, actor=shop))
    clock.advance(minutes=2)
    assert refused_with(Wanted(1, part="A")) == 0, "the end that was moved counts"
    clock.advance(minutes=3)
    second = held(Wanted(5, part="A"), minutes=5)
    with pytest.raises(DomainError, match="hold_lapsed"):
        use_case(lambda: extend_hold(hold=first.hold.pk, minutes=5, actor=shop))
    use_case(lambda: confirm_hold(hold=first.hold.pk, actor=shop))
    assert kept() == 10
    use_case(lambda: extend_hold(hold=second.hold.pk, minutes=5, actor=shop))
    clock.advance(minutes=5)
    assert refused_with(Wanted(3, part="A")) == 2, "five are sold, half of the others may be kept"


# --- at the same moment


def holding(lot: str, *, locked: bool = True) -> Callable[[], int]:
    """An actor that holds five of a lot: it looks, pauses, and takes."""

    def work() -> int:
        if not locked and connection.vendor == "sqlite":
            connection.transaction_mode = "DEFERRED"  # type: ignore[attr-defined]  # the SQLite backend's own attribute
        return int(held(Wanted(5, lot=lot)).hold.pk)

    return work


@pytest.fixture
def two_lots(monkeypatch: pytest.MonkeyPatch, db: None) -> None:
    """Five each, half of them five; and a pause after the look at the shelf."""
    real: Any = requests.serve

    def serve(lines: Any, balances: Any, **words: Any) -> Any:
        wanted = real(lines, balances, **words)
        pause()
        return wanted

    monkeypatch.setattr("inventory.common.transactions.time.sleep", interleaving.wait_a_turn)
    people.storefront()
    shim = factories.shim(number="A")
    for lot in ("one", "two"):
        factories.stocked(shim, 5, lot=lot)
    monkeypatch.setattr(requests, "serve", serve)


def refusals(told: dict[str, Ended]) -> list[str]:
    """Codes of what was refused; anything else that went wrong fails."""
    assert all(isinstance(one.error, DomainError) for one in told.values() if one.error), told
    return [one.error.code for one in told.values() if isinstance(one.error, DomainError)]


@pytest.mark.race
@pytest.mark.django_db(transaction=True)
def test_without_locks_two_holds_at_once_keep_twice_the_share(two_lots: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(locks, "for_update", lambda rows: rows)
    for name, module in list(sys.modules.items()):
        if name.startswith("inventory.") and hasattr(module, "require_transaction"):
            monkeypatch.setattr(module, "require_transaction", lambda: None)
    told = interleaving.run(
        ["a", "b", "a", "b"], {"a": holding("one", locked=False), "b": holding("two", locked=False)}
    )
    # SQLite's snapshot is too old to write on, so the second begins anew there.
    assert kept() == 10 or told["b"].busy


@pytest.mark.race
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("order", interleaving.orders(a=2, b=2), ids="-".join)
def test_two_holds_of_two_lots_at_once_stay_under_the_share(order: tuple[str, ...], two_lots: None) -> None:
    told = interleaving.run(order, {"a": holding("one"), "b": holding("two")})
    assert refusals(told) == ["out_of_stock"]
    assert kept() == 5
