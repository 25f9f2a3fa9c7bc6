"""Deliveries and counts: what may come onto the shelf, and that what was counted is always believed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest

from inventory.catalogue.models import Supplier
from inventory.catalogue.services import retire_part
from inventory.common import clock
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds.models import Hold
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.receiving.models import Count, Delivery, DeliveryLine
from inventory.receiving.services import Counted, add_delivery_line, count_balance, start_delivery
from inventory.stock import replay
from inventory.stock.ledger import Cause
from inventory.stock.models import Balance, Drawer, Lot, Movement, Reading
from inventory.stock.selectors import readings_of
from inventory.stock.services import NewLot, take_in
from tests import factories, people
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def true_shelf() -> Iterator[None]:
    yield
    assert replay.faults() == []
    assert held_faults() == []


def refused(code: str, **words: Any) -> DomainError:
    """The error of a delivery that must not come in; nothing of it may stay."""
    before = Movement.objects.count(), Lot.objects.count(), Reading.objects.count(), Balance.objects.count()
    part = words.pop("part", None) or factories.shim()
    with pytest.raises(DomainError) as raised:
        factories.stocked(part, words.pop("quantity", 5), **words)
    assert raised.value.code == code
    assert before == (Movement.objects.count(), Lot.objects.count(), Reading.objects.count(), Balance.objects.count())
    return raised.value


def count(lot: str, counted: int, drawer: str = "A-01") -> Counted:
    return use_case(lambda: count_balance(lot=lot, drawer=drawer, counted=counted, actor=people.clerk()))


# --- taking in


def test_a_lot_comes_in_with_its_first_movement_and_its_readings(clock: HeldClock) -> None:
    balance = factories.stocked(factories.shim(thickness_mm=0.15), 40, lot="L-1", readings_um=[149, 151, 152])
    balance.refresh_from_db()
    assert (balance.on_hand, balance.held, balance.version) == (40, 0, 1)
    movement = Movement.objects.get()
    assert (movement.on_hand_delta, movement.on_hand, movement.person) == (40, 40, people.clerk().person)
    assert (movement.reason, movement.cause_kind, movement.cause_id) == ("delivery", "delivery", "1")
    assert movement.at == clock.time
    measured = readings_of([balance.lot_id])[balance.lot_id]
    assert (measured.readings, measured.low_um, measured.high_um) == (3, 149, 152)
    assert measured.mean_um == pytest.approx(150 + 2 / 3)


@pytest.mark.parametrize("quantity", [0, -1, 1_000_001])
def test_a_quantity_outside_one_to_a_million_is_refused(quantity: int) -> None:
    assert refused("invalid", quantity=quantity).errors[0].field == "quantity"


def test_a_lot_number_is_used_once() -> None:
    factories.stocked(factories.shim(), 5, lot="L-1")
    assert refused("conflict", lot="L-1", drawer="B-01").data == {"what": "Lot", "which": "L-1"}


def test_a_retired_part_is_refused() -> None:
    part = factories.shim(number="S-1")
    use_case(lambda: retire_part(part=part))
    assert refused("part_retired", part=part).data == {"what": "Part", "which": "S-1"}


def test_a_retired_drawer_is_refused() -> None:
    Drawer.objects.filter(pk=factories.drawer("B-01").pk).update(retired_at=clock.now())
    assert refused("part_retired", drawer="B-01").data == {"what": "Drawer", "which": "B-01"}


@pytest.mark.parametrize(
    ("readings", "mean", "nearest"),
    [
        ([199, 201, 200], "0.20", "0.20"),
        ([176, 176, 177], "0.176", "0.20"),
        ([120], "0.12", "0.12"),
        ([134, 134], "0.134", "0.12"),
        ([1500, 1500], "1.50", "0.40"),
    ],
)
def test_readings_nearer_to_another_thickness_stop_the_bag(readings: list[int], mean: str, nearest: str) -> None:
    error = refused("other_nominal_size", part=factories.shim(thickness_mm=0.15), readings_um=readings)
    assert error.data == {"mean_mm": mean, "nearest_mm": nearest, "nominal_mm": "0.15"}


@pytest.mark.parametrize("readings", [[150], [137, 138], [135, 135], [174, 173], [175, 175], [141, 158]])
def test_readings_about_the_own_thickness_are_taken(readings: list[int]) -> None:
    # 0.12 and 0.20 are the neighbours of 0.15; half way, the own size has it.
    factories.stocked(factories.shim(thickness_mm=0.15), 5, readings_um=readings)
    assert Reading.objects.count() == len(readings)


@pytest.mark.parametrize(
    ("readings", "named"),
    [
        ([100, 200], ("0.10, 0.20", "0.10, 0.20")),
        ([150, 150, 150, 200], ("0.15, 0.20", "0.15, 0.20")),
        ([150, 300], ("0.15, 0.30", "0.15, 0.30")),
        ([120, 150, 151, 152], ("0.12, 0.15, 0.151, 0.152", "0.12, 0.15")),
        ([200, 200, 201, 150], ("0.15, 0.20, 0.201", "0.15, 0.20")),
    ],
)
def test_a_bag_of_two_sizes_is_sorted_before_it_comes_in(readings: list[int], named: tuple[str, str]) -> None:
    error = refused("mixed_sizes", part=factories.shim(thickness_mm=0.15), readings_um=readings)
    assert (error.data["readings_mm"], error.data["sizes_mm"]) == named


@pytest.mark.parametrize(
    ("thickness_mm", "readings"),
    [
        # 0.10, 0.11 and 0.12 lie close together; strip of one size is read 0.01 apart.
        (0.10, [99, 100, 101, 103, 106]),
        (0.10, [90, 100, 110, 100]),
        (0.11, [100, 110, 120]),
        (0.12, [110, 120, 130, 120]),
        (0.08, [72, 80, 90, 80]),
        # Less than three quarters of the way to 0.20, and to 0.12.
        (0.15, [187, 150, 150, 150]),
        (0.15, [128, 150, 150, 150]),
        # Nothing is thicker than 0.40: a thick reading belongs to no other size.
        (0.40, [400, 400, 400, 460]),
    ],
)
def test_readings_of_one_size_may_scatter(thickness_mm: float, readings: list[int]) -> None:
    factories.stocked(factories.shim(thickness_mm=thickness_mm), 5, readings_um=readings)
    assert Reading.objects.count() == len(readings)


@pytest.mark.parametrize(("thickness_mm", "stray"), [(0.10, 111), (0.10, 84), (0.15, 188), (0.15, 127), (0.11, 121)])
def test_one_reading_beyond_the_scatter_stops_the_bag(thickness_mm: float, stray: int) -> None:
    nominal = round(thickness_mm * 1000)
    readings = [nominal] * 30 + [stray]
    refused("mixed_sizes", part=factories.shim(thickness_mm=thickness_mm), readings_um=readings)


@pytest.mark.parametrize("cure_date", ["2026-Q5", "\u0662\u0660\u0662\u0666-Q1", "soon"])
def test_a_cure_date_that_is_no_quarter_comes_in_nowhere(cure_date: str) -> None:
    part, drawer = factories.shim(), factories.drawer()

    def work() -> None:
        new = NewLot(part, drawer, 5, factories.MONDAY, "L-1", cure_date=cure_date)
        take_in(new=new, actor=people.clerk(), reason="delivery", cause=Cause("delivery", "1"))

    with pytest.raises(DomainError) as raised:
        use_case(work)
    assert raised.value.errors[0].field == "cure_date"
    assert not Lot.objects.exists()


def test_a_cure_date_comes_in_as_it_is_kept_everywhere() -> None:
    part, drawer = factories.shim(), factories.drawer()
    new = NewLot(part, drawer, 5, factories.MONDAY, "L-1", cure_date="2026-q3")
    use_case(lambda: take_in(new=new, actor=people.clerk(), reason="delivery", cause=Cause("delivery", "1")))
    assert Lot.objects.get().cure_date == "2026-Q3"


def test_a_thickness_of_the_catalogue_counts_as_a_neighbour_too() -> None:
    factories.shim(thickness_mm=0.16)
    error = refused("other_nominal_size", part=factories.shim(thickness_mm=0.15), readings_um=[157])
    assert error.data["nearest_mm"] == "0.16"


def test_a_size_far_from_all_others_needs_readings_of_its_own_scale() -> None:
    # Twice as thick as the part says: nothing else is nearer, but something is wrong.
    error = refused("other_nominal_size", part=factories.shim(thickness_mm=2), readings_um=[3100])
    assert error.data["nominal_mm"] == "2.00"


def test_other_kinds_have_no_nominal_thickness() -> None:
    factories.stocked(factories.nut(), 5, readings_um=[10_000])
    factories.stocked(factories.washer(role="base_plate", contact_diameter_mm=20), 5)
    factories.stocked(factories.piston(), 5)
    assert Lot.objects.count() == 3


def test_a_delivery_keeps_its_lines() -> None:
    lead = people.lead()

    def work() -> Delivery:
        delivery = start_delivery(number="D-7", supplier="Stamping works", note="", received_on=None, actor=lead)
        for number in ("L-1", "L-2"):
            new = NewLot(factories.shim(), factories.drawer(), 12, date(2030, 3, 4), number)
            add_delivery_line(delivery=delivery, new=new, actor=lead)
        return delivery

    delivery = use_case(work)
    assert Supplier.objects.get().name == "Stamping works"
    assert list(DeliveryLine.objects.values_list("lot__number", "quantity", "balance__on_hand").order_by("pk")) == [
        ("L-1", 12, 12),
        ("L-2", 12, 12),
    ]
    assert set(Movement.objects.values_list("cause_kind", "cause_id")) == {("delivery", str(delivery.pk))}
    with pytest.raises(DomainError) as raised:
        use_case(lambda: start_delivery(number="D-7", supplier="", note="", received_on=None, actor=lead))
    assert raised.value.code == "conflict"


# --- counting


@pytest.mark.parametrize(("counted", "delta"), [(31, -9), (44, 4), (0, -40)])
def test_a_count_makes_the_ledger_say_what_is_there(counted: int, delta: int, clock: HeldClock) -> None:
    factories.stocked(factories.shim(), 40, lot="L-1")
    done = count("L-1", counted)
    assert (done.count.expected, done.count.counted, done.count.at, done.shortened) == (40, counted, clock.time, [])
    assert Balance.objects.get().on_hand == counted
    movement = Movement.objects.latest("pk")
    assert (movement.on_hand_delta, movement.held_delta) == (delta, 0)
    assert (movement.cause_kind, movement.cause_id) == ("count", str(done.count.pk))


def test_a_count_that_agrees_is_kept_without_a_movement() -> None:
    factories.stocked(factories.shim(), 40, lot="L-1")
    count("L-1", 40)
    assert (Count.objects.count(), Movement.objects.count()) == (1, 1)


def test_a_count_below_what_is_held_is_accepted_and_says_who_loses() -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    locked = factories.held(Wanted(8, lot="L-1"))
    done = count("L-1", 3)
    assert [(lost.hold.pk, lost.by, lost.owner) for lost in done.shortened] == [(locked.hold.pk, 5, "web shop")]
    assert Balance.objects.values_list("on_hand", "held").get() == (3, 3)
    assert Hold.objects.get().state == "short"


def test_a_count_to_what_is_held_shortens_nobody() -> None:
    factories.stocked(factories.shim(), 10, lot="L-1")
    factories.held(Wanted(8, lot="L-1"))
    assert count("L-1", 8).shortened == []
    assert Hold.objects.get().state == "open"


def test_only_the_counted_drawer_changes() -> None:
    factories.stocked(factories.shim(), 10, lot="L-1", drawer="A-01")
    other = factories.stocked(factories.shim(), 10, lot="L-2", drawer="A-02")
    count("L-1", 2)
    other.refresh_from_db()
    assert (other.on_hand, other.version) == (10, 1)


@pytest.mark.parametrize(
    ("lot", "drawer", "counted", "code"),
    [
        ("L-1", "A-01", -1, "invalid"),
        ("L-1", "A-01", 1_000_001, "invalid"),
        ("L-1", "B-01", 5, "not_found"),
        ("L-9", "A-01", 5, "not_found"),
    ],
)
def test_a_count_that_makes_no_sense_changes_nothing(lot: str, drawer: str, counted: int, code: str) -> None:
    factories.stocked(factories.shim(), 10, lot="L-1", received_on=factories.MONDAY - timedelta(days=1))
    with pytest.raises(DomainError) as raised:
        count(lot, counted, drawer)
    assert raised.value.code == code
    assert (Count.objects.count(), Balance.objects.get().on_hand) == (0, 10)
