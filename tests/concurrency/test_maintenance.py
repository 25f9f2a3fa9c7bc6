"""Maintenance among writers: each order of the steps leaves a true shelf, and what was answered is in the ledger."""

from __future__ import annotations

from typing import Any

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import IntegrityError, connection
from django.db.models import CheckConstraint, Q

from inventory.common import guarding
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds.models import Hold, HoldLine, Purpose
from inventory.holds.repairing import mend
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.holds.services import make_hold
from inventory.receiving.opening.loading import load_shelf
from inventory.stock import repairing, replay, triggers
from inventory.stock.models import Balance, Lot
from tests import factories, people
from tests.concurrency import interleaving
from tests.concurrency.interleaving import Ended, pause

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def _ten_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("inventory.common.transactions.time.sleep", interleaving.wait_a_turn)
    factories.stocked(factories.shim(), 10, lot="L-1")
    people.storefront()


def holds_one() -> int:
    """An actor that holds a piece of L-1: it pauses before it begins, with its locks and before it commits."""

    def work() -> int:
        pause()
        made = make_hold(lines=[Wanted(1, lot="L-1")], purpose=Purpose.WEB, actor=people.storefront())
        pause()
        return int(made.hold.pk)

    return use_case(work)


def installs() -> None:
    """An actor that puts the guards in place: it pauses after each trigger that it takes away or puts back."""

    def pausing(execute: Any, sql: str, *rest: Any) -> Any:
        done = execute(sql, *rest)
        if "TRIGGER" in sql and "ledger_movement_apply" in sql:
            pause()
        return done

    with connection.execute_wrapper(pausing):
        triggers.install()


def bend() -> None:
    """A guard that still guards but reads otherwise, as that of another version does: there is something to replace."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DROP TRIGGER ledger_movement_apply")
            body = triggers.SQLITE["ledger_movement_apply"].replace("BEGIN", "WHEN NEW.version > 0 BEGIN")
            cursor.execute(f"CREATE TRIGGER ledger_movement_apply {body}")
        else:
            body = triggers.POSTGRESQL["ledger_movement_apply"].replace("EXECUTE", "WHEN (NEW.version > 0) EXECUTE")
            cursor.execute(f"CREATE OR REPLACE TRIGGER ledger_movement_apply {body}")
    assert guarding.wrong() == {"ledger_movement_apply": guarding.OTHER}


def assert_true(told: dict[str, Ended]) -> None:
    """Every hold that was answered is in the ledger and nothing else is."""
    assert {name: one.error for name, one in told.items() if one.error} == {}
    assert replay.faults() == []
    assert held_faults() == []
    assert guarding.wrong() == {}
    answered = {one.gave for name, one in told.items() if name.startswith("hold")}
    assert set(HoldLine.objects.filter(quantity=1).values_list("hold_id", flat=True)) == answered


@pytest.mark.parametrize("order", interleaving.orders(install=3, hold=3), ids="-".join)
def test_guards_put_in_place_while_somebody_holds(order: tuple[str, ...]) -> None:
    bend()
    told = interleaving.run(order, {"install": installs, "hold": holds_one})
    assert_true(told)


@pytest.mark.parametrize("table", ["inventory_balance", "inventory_movement", "inventory_shim"])
@pytest.mark.parametrize("order", interleaving.orders(migrate=3, hold=3), ids="-".join)
def test_a_table_made_anew_while_somebody_holds(order: tuple[str, ...], table: str) -> None:
    """What a migration does to a table on SQLite; on PostgreSQL it adds the constraint alone."""
    model = next(model for model in apps.get_models() if model._meta.db_table == table)
    limit = CheckConstraint(condition=Q(pk__gt=0), name="made_anew")

    def migrates() -> None:
        with connection.schema_editor(atomic=True) as editor:
            pause()
            editor.add_constraint(model, limit)
            pause()

    try:
        assert_true(interleaving.run(order, {"migrate": migrates, "hold": holds_one}))
    finally:
        with connection.schema_editor(atomic=True) as editor:
            editor.remove_constraint(model, limit)
        assert guarding.wrong() == {}


def unguarded() -> None:
    """The guard that applies movements stands aside, as after somebody's slip."""
    with connection.cursor() as cursor:
        on = "" if connection.vendor == "sqlite" else f" ON {triggers.MOVEMENT}"
        cursor.execute(f"DROP TRIGGER ledger_movement_apply{on}")


@pytest.mark.parametrize("order", interleaving.orders(slip=2, hold=3), ids="-".join)
def test_what_no_guard_applies_is_refused_and_never_answered(order: tuple[str, ...]) -> None:
    def slips() -> None:
        unguarded()
        pause()
        triggers.install()

    told = interleaving.run(order, {"slip": slips, "hold": holds_one})
    refused = told["hold"].error
    if refused is not None:
        assert isinstance(refused, DomainError)
        assert (refused.code, refused.status) == ("not_applied", 503)
        told["hold"] = Ended()
        assert HoldLine.objects.count() == 0
    assert {one.error for one in told.values()} == {None}
    assert replay.faults() == []
    assert held_faults() == []


def test_a_hold_without_the_guard_is_refused() -> None:
    unguarded()
    with pytest.raises(DomainError, match="not_applied"):
        factories.held(Wanted(1, lot="L-1"))
    assert Hold.objects.count() == 0
    triggers.install()
    factories.held(Wanted(1, lot="L-1"))
    assert replay.faults() == []


def test_an_opening_shelf_without_the_guard_is_refused() -> None:
    unguarded()
    content = b"part,kind,name,od_mm,thickness_mm,bore_mm,lot,drawer,quantity\nS-9,shim,S,34,0.15,12,L-9,A-01,5\n"
    with pytest.raises(DomainError, match="not_applied"):
        load_shelf(content=content, actor=people.clerk(), progress=lambda step, done, total: None)
    assert not Lot.objects.filter(number="L-9").exists()
    triggers.install()


@pytest.mark.parametrize("order", interleaving.orders(migrate=3, hold=3), ids="-".join)
def test_the_command_that_upgrades_the_tables_while_somebody_holds(order: tuple[str, ...]) -> None:
    """From the version before the last to the last, by the command itself; it pauses where it changes a table."""
    call_command("migrate", "inventory", "0006", verbosity=0)

    def pausing(execute: Any, sql: str, *rest: Any) -> Any:
        done = execute(sql, *rest)
        if sql.startswith(("ALTER TABLE", "CREATE TABLE")) and "inventory_nut" in sql:
            pause()
        return done

    def migrates() -> None:
        with connection.execute_wrapper(pausing):
            call_command("migrate", verbosity=0)

    try:
        assert_true(interleaving.run(order, {"migrate": migrates, "hold": holds_one}))
    finally:
        call_command("migrate", verbosity=0)
    call_command("check", databases=["default"], fail_level="WARNING")


@pytest.mark.parametrize("order", interleaving.orders(repair=3, hold=3), ids="-".join)
def test_a_balance_mended_while_somebody_holds(order: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """A balance that says two pieces more than its movements, and a hold of the lot."""
    triggers.remove()
    Balance.objects.update(on_hand=12)
    triggers.install()
    monkeypatch.setattr(repairing, "should_say", pausing_after(repairing.should_say))

    def repairs() -> None:
        left = mend(reason="repair: somebody wrote past the guards", actor=people.clerk(), tell=lambda fault: None)
        assert left == []

    told = interleaving.run(order, {"repair": repairs, "hold": holds_one})
    # A hold that comes before the mending meets a balance that is not true; the guard refuses it.
    refused = told["hold"].error
    assert told["repair"].error is None
    assert refused is None or (isinstance(refused, IntegrityError) and "repair_ledger" in str(refused))
    assert Balance.objects.get().on_hand == 10
    assert replay.faults() == held_faults() == []


def pausing_after(function: Any) -> Any:
    """The function, and a pause before its caller goes on."""

    def does(*args: Any, **words: Any) -> Any:
        gave = function(*args, **words)
        pause()
        return gave

    return does
