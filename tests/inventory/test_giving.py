"""What may be given out: never what is retired or past its shelf life, to a shop no take-off and no unknown age."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

import pytest
from django.conf import LazySettings
from django.utils import timezone

from inventory.catalogue.models import Part
from inventory.catalogue.services import retire_part
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds import amounts
from inventory.holds.models import HoldLine, Purpose
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.holds.services import Locked, confirm_hold, extend_hold, release_hold
from inventory.receiving.services import count_balance
from inventory.stock import replay
from inventory.stock.models import Balance, Condition, Lot
from tests import factories, people
from tests.conftest import HeldClock
from tests.factories import held

pytestmark = pytest.mark.django_db

# NBR by ISO 2230: 7 years from the end of the cure quarter, 3 more after an inspection (as tabulated openly). On
# 2030-03-04 a ring of 2015-Q2 is over (2025-06-30), one of 2021-Q3 is due for inspection (since 2028-09-30), one of
# 2023-Q2 ends on 2030-06-30, one of 2029-Q1 on 2036-03-31.
OVER, DUE, SOON, FRESH = "2015-Q2", "2021-Q3", "2023-Q2", "2029-Q1"


@pytest.fixture(autouse=True)
def true_shelf(clock: HeldClock) -> Iterator[None]:
    yield
    assert replay.faults() == []
    assert held_faults() == []


@pytest.fixture
def ring() -> Part:
    return factories.oring(number="OR-222", size="222", compound="NBR")


def put(part: Part, quantity: int, lot: str, cured: str = "", **more: Any) -> Balance:
    return factories.stocked(part, quantity, lot=lot, drawer=f"D-{lot}"[:20], cure_date=cured, **more)


def given(locked: Locked) -> list[tuple[str, int]]:
    lines = HoldLine.objects.filter(hold=locked.hold).select_related("balance__lot").order_by("pk")
    return sorted((line.balance.lot.number, line.quantity) for line in lines)


def why(*lines: Wanted, **more: Any) -> list[tuple[str, str]]:
    """(field, code) of each line that is refused."""
    with pytest.raises(DomainError) as raised:
        held(*lines, **more)
    assert raised.value.code == "not_given_out", str(raised.value)
    assert raised.value.status == 409
    return [(one.field, one.code) for one in raised.value.errors]


def hides(*lines: Wanted) -> None:
    """A storefront is told of no lot why it does not get it, nor whether it is there."""
    with pytest.raises(DomainError) as raised:
        held(*lines)
    assert raised.value.code == "out_of_stock", str(raised.value)
    assert [one["free"] for one in raised.value.data["lines"]] == [None] * len(lines)


def available(part: Part, condition: Condition = Condition.NEW) -> amounts.Amounts:
    return amounts.of_parts([part])[part.pk, condition]


def test_three_rings_cured_in_2015_stay_where_they_are(ring: Part) -> None:
    put(ring, 3, "OLD", OVER, received_on=date(2015, 8, 1))
    put(ring, 20, "NEW", FRESH)
    assert given(held(Wanted(3, part="OR-222"))) == [("NEW", 3)]
    assert available(ring) == amounts.Amounts(on_hand=23, held=3, available=17, over_age=3)


def test_the_lot_whose_life_ends_first_goes_first_then_the_oldest_then_by_id(ring: Part) -> None:
    put(ring, 2, "FRESH-B", FRESH, received_on=date(2029, 6, 1))
    put(ring, 2, "FRESH-A", FRESH, received_on=date(2029, 5, 1))
    put(ring, 2, "SOON", SOON, received_on=date(2030, 1, 1))
    assert given(held(Wanted(3, part="OR-222"))) == [("FRESH-A", 1), ("SOON", 2)]
    assert given(held(Wanted(2, part="OR-222"))) == [("FRESH-A", 1), ("FRESH-B", 1)]


def test_lots_without_an_end_go_after_those_that_end(settings: LazySettings) -> None:
    settings.SHELF_LIFE = "arp5316d"  # FKM has no end by SAE ARP5316D, NBR 15 years (as tabulated openly)
    fkm = factories.oring(number="OR-FKM", compound="FKM")
    put(fkm, 2, "F-OLD", "1990-Q1", received_on=date(1990, 8, 1))
    assert given(held(Wanted(2, part="OR-FKM"))) == [("F-OLD", 2)]
    shim = factories.shim(number="SH")
    put(shim, 2, "S-YOUNG", received_on=date(2030, 1, 2))
    put(shim, 2, "S-OLD", OVER, received_on=date(2015, 1, 2))
    assert given(held(Wanted(3, part="SH"))) == [("S-OLD", 2), ("S-YOUNG", 1)]


@pytest.mark.parametrize("actor", [people.storefront, people.clerk])
def test_nobody_holds_what_is_over_age(ring: Part, actor: Any) -> None:
    put(ring, 3, "OLD", OVER)
    if actor is people.clerk:
        assert why(Wanted(1, lot="OLD"), actor=actor()) == [("lines.0", "over_age")]
    else:
        hides(Wanted(1, lot="OLD"))
    with pytest.raises(DomainError) as raised:
        held(Wanted(1, part="OR-222"), actor=actor())
    assert raised.value.code == "out_of_stock"
    assert raised.value.data["lines"] == [{"line": 0, "asked": 1, "free": 0, "over_age": 3}]


@pytest.mark.parametrize(("cured", "compound"), [("", "NBR"), (FRESH, "unknown"), (DUE, "NBR"), ("2031-Q1", "NBR")])
def test_what_is_not_surely_in_its_life_goes_to_the_bench_alone_and_by_its_lot(cured: str, compound: str) -> None:
    part = factories.oring(number="OR-X", compound=compound)
    put(part, 5, "X", cured)
    hides(Wanted(1, lot="X"))
    for actor in (people.storefront(), people.tuner()):
        with pytest.raises(DomainError) as raised:
            held(Wanted(1, part="OR-X"), actor=actor)
        assert raised.value.code == "out_of_stock"
    assert available(part) == amounts.Amounts(on_hand=5, available=0, age_to_check=5)
    made = held(Wanted(2, lot="X"), actor=people.tuner(), purpose=Purpose.JOB)
    assert given(made) == [("X", 2)]
    assert available(part) == amounts.Amounts(on_hand=5, held=2, available=0, age_to_check=3)


def test_a_take_off_is_held_by_the_workshop_alone() -> None:
    shim = factories.shim(number="SH")
    put(shim, 5, "USED", condition=Condition.TAKE_OFF)
    hides(Wanted(1, lot="USED"))
    assert given(held(Wanted(1, lot="USED"), actor=people.clerk())) == [("USED", 1)]


@pytest.mark.parametrize("actor", [people.storefront, people.clerk])
def test_nobody_holds_what_is_retired(actor: Any) -> None:
    gone, kept = factories.shim(number="GONE"), factories.shim(number="KEPT", od_mm=32)
    put(gone, 5, "G")
    put(kept, 5, "K-GONE")
    Lot.objects.filter(number="K-GONE").update(retired_at=timezone.now())
    use_case(lambda: retire_part(part=gone))
    lines = [Wanted(1, part="GONE"), Wanted(1, lot="G"), Wanted(1, lot="K-GONE")]
    if actor is people.clerk:
        assert why(*lines, actor=actor()) == [("lines.0", "retired"), ("lines.1", "retired"), ("lines.2", "retired")]
    else:
        assert why(lines[0], actor=actor()) == [("lines.0", "retired")]
        hides(*lines[1:])
    assert available(gone).available == available(kept).available == 0


def test_what_may_not_go_is_said_before_what_is_short(ring: Part) -> None:
    put(ring, 3, "OLD", OVER)
    put(ring, 3, "NEW", FRESH)
    assert why(Wanted(9, part="OR-222"), Wanted(1, lot="OLD"), actor=people.clerk()) == [("lines.1", "over_age")]


def test_amounts_by_lot_say_the_same(ring: Part) -> None:
    old, due, new = put(ring, 3, "OLD", OVER), put(ring, 4, "DUE", DUE), put(ring, 5, "NEW", FRESH)
    held(Wanted(2, part="OR-222"))
    assert amounts.of_balances(Balance.objects.all()) == {
        old.pk: amounts.Amounts(on_hand=3, over_age=3),
        due.pk: amounts.Amounts(on_hand=4, age_to_check=4),
        new.pk: amounts.Amounts(on_hand=5, held=2, available=3),
    }


def test_any_number_of_lots_costs_the_same_queries(ring: Part, django_assert_num_queries: Any) -> None:
    for index in range(20):
        put(ring, 5, f"L{index}", (OVER, DUE, SOON, FRESH)[index % 4])
    balances = list(Balance.objects.all())
    with django_assert_num_queries(3):
        amounts.of_parts([ring])
    with django_assert_num_queries(2):
        amounts.of_balances(balances)


# --- a life that ends while pieces are held


@pytest.fixture
def last_day(clock: HeldClock, ring: Part) -> HeldClock:
    """The evening of the last day of a lot's life: NBR of 2022-Q4 has its first years until 2029-12-31, and none
    after an inspection from 2033-01-01 on."""
    put(ring, 5, "ENDS", "2022-Q4")
    clock.set(datetime.fromisoformat("2029-12-31T23:50:00+00:00"))
    return clock


def test_a_hold_is_neither_extended_nor_confirmed_once_its_lot_may_not_go(last_day: HeldClock) -> None:
    made = held(Wanted(2, part="OR-222"), minutes=30)
    last_day.advance(minutes=20)
    for work in (
        lambda: extend_hold(hold=made.hold.pk, minutes=20, actor=people.storefront()),
        lambda: confirm_hold(hold=made.hold.pk, actor=people.storefront()),
        lambda: confirm_hold(hold=made.hold.pk, actor=people.clerk()),
    ):
        with pytest.raises(DomainError) as raised:
            use_case(work)
        assert raised.value.code == "not_given_out"
        assert [(one.field, one.code) for one in raised.value.errors] == [("lines.0", "age_to_check")]
    use_case(lambda: release_hold(hold=made.hold.pk, actor=people.storefront()))
    assert Balance.objects.get().held == 0


def test_a_lapsed_hold_does_not_take_again_what_may_not_go(last_day: HeldClock) -> None:
    made = held(Wanted(2, part="OR-222"), minutes=5)
    last_day.advance(minutes=20)
    with pytest.raises(DomainError) as raised:
        use_case(lambda: confirm_hold(hold=made.hold.pk, actor=people.storefront()))
    assert raised.value.code == "not_given_out"


def test_the_workshops_own_hold_stands_until_its_lot_is_over(last_day: HeldClock) -> None:
    made = held(Wanted(2, lot="ENDS"), actor=people.tuner(), minutes=30)
    last_day.advance(minutes=20)
    use_case(lambda: extend_hold(hold=made.hold.pk, minutes=30, actor=people.tuner()))
    last_day.set(datetime.fromisoformat("2033-01-01T00:10:00+00:00"))
    with pytest.raises(DomainError) as raised:
        use_case(lambda: confirm_hold(hold=made.hold.pk, actor=people.tuner()))
    assert [one.code for one in raised.value.errors] == ["over_age"]


def test_what_was_confirmed_in_time_stays_confirmed(last_day: HeldClock) -> None:
    made = held(Wanted(2, part="OR-222"), minutes=30)
    for _ in range(2):
        use_case(lambda: confirm_hold(hold=made.hold.pk, actor=people.storefront()))
        last_day.advance(days=1)
    assert Balance.objects.get().held == 2


def test_over_age_stock_is_counted_and_scrapped_like_any(ring: Part) -> None:
    put(ring, 3, "OLD", OVER)
    for counted in (5, 0):
        use_case(partial(count_balance, lot="OLD", drawer="D-OLD", counted=counted, actor=people.clerk()))
        assert available(ring) == amounts.Amounts(on_hand=counted, over_age=counted)


def test_the_last_day_of_a_life_still_counts(ring: Part, clock: HeldClock) -> None:
    put(ring, 5, "SOON", SOON)
    clock.set(datetime.fromisoformat("2030-06-30T23:59:00+00:00"))
    assert available(ring).available == 5
    clock.advance(minutes=2)
    assert available(ring).available == 0
    clock.set(clock.time + timedelta(days=3 * 366))
    assert available(ring).over_age == 5
