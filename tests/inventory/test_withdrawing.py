"""A withdrawn reading stays readable, says who withdrew it and why, and counts nowhere."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from compat.shelf.shim_rows import thickness_of_lots
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.receiving.checking import lots_to_measure
from inventory.stock.browsing import samples_of
from inventory.stock.models import Lot, Reading, ReadingWithdrawal
from inventory.stock.selectors import readings_of
from inventory.stock.withdrawing import withdraw_readings
from tests import factories, people

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot() -> Lot:
    return factories.stocked(factories.shim(34, 0.15), 9, lot="L-1", readings_um=[149, 151, 180]).lot


def key_of(um: int) -> int:
    return Reading.every.get(thickness_um=um).pk


def withdraw(*um: int, reason: str = "another bag's", lot: str = "L-1") -> None:
    keys = [key_of(one) for one in um]
    use_case(lambda: withdraw_readings(lot=lot, readings=keys, reason=reason, actor=people.clerk()))


def refused(code: str, *um: int, **more: str) -> DomainError:
    with pytest.raises(DomainError) as raised:
        withdraw(*um, **more)
    assert raised.value.code == code
    return raised.value


def test_nothing_computed_counts_it(lot: Lot) -> None:
    before = thickness_of_lots(["L-1"])["L-1"][1]
    withdraw(180)
    measured = readings_of([lot.pk])[lot.pk]
    assert (measured.readings, measured.mean_um, measured.low_um, measured.high_um) == (2, 150.0, 149, 151)
    after = thickness_of_lots(["L-1"])["L-1"][1]
    assert after.nominal == pytest.approx(0.150) and after.high - after.low < before.high - before.low
    assert lot.readings.count() == 2


def test_it_stays_readable_with_who_and_why(lot: Lot) -> None:
    withdraw(180)
    (sample,) = samples_of(lot)
    assert sample.all_um == (149, 151, 180) and sample.readings_um == (149, 151)
    (gone,) = [one.withdrawn for one in sample.taken if one.withdrawn]
    assert (gone.who, gone.why) == ("Runa Feldmark", "another bag's")


def test_a_lot_whose_readings_are_all_withdrawn_is_to_be_measured_again(lot: Lot) -> None:
    assert lots_to_measure(9) == []
    withdraw(149, 151, 180)
    assert lots_to_measure(9) == [lot]
    assert readings_of([lot.pk]) == {}


def test_no_reading_is_withdrawn_twice_and_all_go_or_none(lot: Lot) -> None:
    withdraw(180)
    error = refused("reading_withdrawn", 149, 180)
    assert error.data["who"] == "Runa Feldmark"
    assert readings_of([lot.pk])[lot.pk].readings == 2
    row = ReadingWithdrawal.objects.get()
    second = ReadingWithdrawal(reading_id=row.reading_id, person=row.person, reason="again", at=row.at)
    with pytest.raises(IntegrityError), transaction.atomic():
        second.save(force_insert=True)


def test_it_needs_a_reason_a_reading_and_its_own_lot(lot: Lot) -> None:
    factories.stocked(factories.shim(32, 0.3), 9, lot="L-2", readings_um=[300])
    assert refused("invalid", 149, reason="  ").errors[0].field == "reason"
    assert refused("invalid", 149, reason="x" * 201).errors[0].field == "reason"
    assert refused("invalid").errors[0].field == "readings"
    refused("not_found", 300)
    refused("not_found", 149, lot="L-9")


def test_a_withdrawal_is_written_once(lot: Lot) -> None:
    withdraw(180)
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE inventory_readingwithdrawal SET reason = 'another'")
