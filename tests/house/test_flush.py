"""Between two tests the tables are emptied although the ledger is append-only, and its guard stands again."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from django.test import TransactionTestCase

from inventory.catalogue.models import Part
from inventory.common import clock as the_clock
from inventory.common import guarding
from inventory.people.models import Person
from inventory.stock.models import Balance, Drawer, Lot, Movement, Site
from tests.conftest import HeldClock
from tests.house.project import ROOT

OTHER = "import django; django.setup(); from inventory.stock.models import Movement; print(Movement.objects.count())"


class Case(TransactionTestCase):
    """Django's own case, whose teardown empties the tables."""

    def runTest(self) -> None:
        """Nothing: only the teardown is of use."""


def put_five_on_hand() -> None:
    now = the_clock.now()
    part = Part.objects.create(number="P-1", kind="shim", name="Shim", created_at=now)
    lot = Lot.objects.create(number="L-1", part=part, received_on=date(2030, 3, 4))
    drawer = Drawer.objects.create(site=Site.objects.create(code="S", name="Shop"), code="D-1")
    balance = Balance.objects.create(lot=lot, drawer=drawer)
    person = Person.objects.create(username="clerk")
    result = {"on_hand": 5, "held": 0, "on_hand_delta": 5, "held_delta": 0, "version": 1}
    cause = {"reason": "first count", "cause_kind": "count", "cause_id": "1"}
    Movement.objects.create(balance=balance, person=person, at=now, **result, **cause)


@pytest.mark.django_db(transaction=True)
def test_emptying_between_tests_clears_the_ledger_and_puts_its_guard_back() -> None:
    put_five_on_hand()
    Case()._fixture_teardown()  # type: ignore[attr-defined]  # Django's private method
    assert not Movement.objects.exists()
    assert not Balance.objects.exists()
    assert guarding.wrong() == {}


@pytest.mark.django_db(transaction=True)
def test_a_flush_that_a_test_asks_for_meets_the_guard() -> None:
    put_five_on_hand()
    with pytest.raises((CommandError, DatabaseError)):
        call_command("flush", interactive=False, verbosity=0)
    assert Movement.objects.count() == 1


@pytest.mark.django_db
def test_the_guard_refuses_to_remove_a_movement() -> None:
    put_five_on_hand()
    with pytest.raises(DatabaseError, match="ledger"), transaction.atomic():
        Movement.objects.all().delete()


def test_another_process_sees_what_a_test_has_committed(database_url: str) -> None:
    put_five_on_hand()
    environment = {**os.environ, "DATABASE_URL": database_url, "DJANGO_SETTINGS_MODULE": "inventory.project.settings"}
    command = [sys.executable, "-c", OTHER]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "1"


@pytest.mark.django_db
def test_the_database_is_a_file_or_a_server_never_memory() -> None:
    if connection.vendor == "sqlite":
        assert Path(connection.settings_dict["NAME"]).is_file()
    else:
        assert connection.settings_dict["HOST"].startswith("/")


def test_the_clock_stands_until_told(clock: HeldClock) -> None:
    before = the_clock.now()
    assert the_clock.now() == before
    assert (clock.advance(minutes=15) - before).total_seconds() == 900
    assert the_clock.now() == clock.time
    assert the_clock.today() == date(2030, 3, 4)
