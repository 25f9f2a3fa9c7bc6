"""The feed of changes: every change of availability once, in order, and nothing that a storefront may not read."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from django.db import connection, transaction

from inventory.common.transactions import use_case
from inventory.holds.expiry import sweep
from inventory.holds.models import Purpose
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.people.roles import Role
from inventory.stock import amending, replay
from inventory.stock.models import Balance
from inventory.stock.selectors import sizes_of
from tests import factories, people
from tests.api.conftest import Caller, Json, caller, ok, problem
from tests.conftest import HeldClock

# On PostgreSQL the feed shows what is committed, so nothing here may run inside one open transaction.
# Alone, because the feed waits for every transaction that runs in the cluster, and tests beside these have some open.
pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.race]


# Much longer than a slow machine needs: it costs only where the test fails.
PATIENCE_S = 120


class Reader:
    """A storefront that reads the feed on from where it was."""

    def __init__(self, size: int = 200) -> None:
        self.caller = caller(people.storefront())
        self.size = size
        self.after = ""

    def page(self) -> list[Json]:
        after = f"&after={self.after}" if self.after else ""
        body = ok(self.caller.get(f"/changes?page_size={self.size}{after}"))
        self.after = body["next"]
        assert self.after
        found: list[Json] = body["results"]
        return found

    def rest(self) -> list[Json]:
        """Pages until one is empty."""
        found: list[Json] = []
        while page := self.page():
            found += page
        return found


def deltas(rows: list[Json]) -> list[tuple[str, int]]:
    return [(row["part"], row["available_delta"]) for row in rows]


@pytest.mark.parametrize(("compound", "cured", "free"), [("NBR", "2029-Q1", 7), ("NBR", "1990-Q1", 0)])
def test_a_compound_that_is_told_is_a_change_of_what_is_free(
    clock: HeldClock, compound: str, cured: str, free: int
) -> None:
    ring = factories.oring(number="R")
    factories.stocked(ring, 10, lot="LOT-R", cure_date=cured)
    factories.held(Wanted(3, lot="LOT-R"), actor=people.clerk(), purpose=Purpose.JOB)
    other = factories.oring(number="OTHER", compound="NBR")
    factories.stocked(other, 4, cure_date="2029-Q1")
    reader, late = Reader(), Reader()
    assert sum(by for _, by in deltas(reader.rest())) == 4
    shown = reader.caller
    assert ok(shown.get("/parts/R"))["available"] == 0
    reads = amending.part_reads(ring, sizes_of([ring])[ring.pk])
    edit = amending.PartEdit(name=ring.name, retired=False, sizes={"compound": compound})

    def tell() -> Any:
        read = amending.seen(reads)
        return amending.edit_part(number="R", edit=edit, read=read, reason="its bag says so", actor=people.clerk())

    use_case(tell)
    assert ok(shown.get("/parts/R"))["available"] == free
    told = reader.rest()
    assert {row["part"] for row in told} == {"R"}
    assert sum(row["available_delta"] for row in told) == free
    # Who reads the feed from its beginning comes to the same.
    assert sum(by for part, by in deltas(late.rest()) if part == "R") == free
    assert Balance.objects.values_list("on_hand", "held").get(lot__number="LOT-R") == (10, 3)
    assert replay.faults() == held_faults() == []


@pytest.fixture
def lead_program(transactional_db: None) -> Caller:
    return caller(people.lead())


def test_the_feed_tells_what_happened_to_what_is_free(lead_program: Caller, clock: HeldClock) -> None:
    storefront = caller(people.storefront())
    reader = Reader()
    assert reader.page() == []
    factories.stocked(factories.shim(number="A"), 10, lot="LOT-A")
    made = ok(storefront.post("/holds", {"lines": [{"part": "A", "quantity": 4}]}), 201)["id"]
    ok(storefront.post(f"/holds/{made}/release", {}))
    ok(lead_program.post("/counts", {"lot": "LOT-A", "drawer": "A-01", "counted": 7}), 201)
    assert deltas(reader.rest()) == [("A", 10), ("A", -4), ("A", 4), ("A", -3)]
    assert reader.rest() == []


def test_confirming_changes_nothing_that_is_free(lead_program: Caller) -> None:
    factories.stocked(factories.shim(number="A"), 10)
    storefront, reader = caller(people.storefront()), Reader()
    made = ok(storefront.post("/holds", {"lines": [{"part": "A", "quantity": 4}]}), 201)["id"]
    reader.rest()
    ok(storefront.post(f"/holds/{made}/confirm", {}))
    assert reader.rest() == []


@pytest.mark.parametrize("size", [1, 3, 200])
def test_pages_of_any_size_give_every_change_once_and_add_up_to_what_is_free(
    lead_program: Caller, size: int, clock: HeldClock
) -> None:
    reader, storefront = Reader(size), caller(people.storefront())
    seen: list[Json] = []
    for number in range(4):
        factories.stocked(factories.shim(number=f"P-{number}"), 10)
        ok(storefront.post("/holds", {"lines": [{"part": f"P-{number}", "quantity": 3}]}), 201)
        seen += reader.page()
    seen += reader.rest()
    assert len(seen) == 8
    clock.advance(minutes=20)
    sweep(actor=people.lead())
    seen += reader.rest()
    for row in ok(storefront.get("/parts"))["results"]:
        total = sum(change["available_delta"] for change in seen if change["part"] == row["number"])
        assert total == row["available"]


def test_a_swept_hold_appears_in_the_feed(clock: HeldClock) -> None:
    factories.stocked(factories.shim(number="A"), 10)
    storefront, reader = caller(people.storefront()), Reader()
    ok(storefront.post("/holds", {"lines": [{"part": "A", "quantity": 4}]}), 201)
    reader.rest()
    clock.advance(minutes=15)
    assert reader.page() == []
    sweep(actor=people.lead())
    assert deltas(reader.rest()) == [("A", 4)]


def test_the_cursor_of_an_empty_feed_is_good_later(lead_program: Caller) -> None:
    body = ok(lead_program.get("/changes"))
    assert body["results"] == [] and body["next"]
    factories.stocked(factories.shim(number="A"), 10)
    assert deltas(ok(lead_program.get(f"/changes?after={body['next']}"))["results"]) == [("A", 10)]


@pytest.mark.parametrize("after", ["x", "W10", "WzFd", "WyJhIiwgMV0", "Wy0xLCAxXQ", "e30"])
def test_a_cursor_that_was_never_given_is_refused(lead_program: Caller, after: str) -> None:
    problem(lead_program.get(f"/changes?after={after}"), 400, "bad_cursor")


def test_a_storefront_reads_no_names_reasons_drawers_or_costs() -> None:
    secret = people.program("Maive's own terminal", Role.LEAD)
    balance = factories.stocked(factories.shim(number="A"), 10, lot="LOT-SECRET", drawer="Z-99", actor=secret)
    reply = caller(people.storefront()).get("/changes")
    rows = ok(reply)["results"]
    assert [set(row) for row in rows] == [{"part", "condition", "available_delta", "at"}]
    for word in (b"Maive", b"LOT-SECRET", b"Z-99", b"delivery", b"reason"):
        assert word not in reply.content
    assert Balance.objects.get(pk=balance.pk).on_hand == 10


def test_a_transaction_that_draws_its_ids_early_and_commits_late_is_not_skipped() -> None:
    """The reader passes by while the first writer's rows have their ids and are not committed yet."""
    slow, quick = factories.shim(number="slow"), factories.shim(number="quick")
    # The same actor, made before, so that the writers lock nothing of each other.
    clerk, drawers = people.clerk(), [factories.drawer("D-1"), factories.drawer("D-2")]
    reader = Reader()
    drawn, go_on = threading.Event(), threading.Event()
    errors: list[BaseException] = []

    def write_slowly() -> None:
        try:
            with transaction.atomic():
                factories.stocked(slow, 1, drawer=drawers[0].code, actor=clerk)
                drawn.set()
                assert go_on.wait(PATIENCE_S)
        except BaseException as error:
            errors.append(error)
        finally:
            drawn.set()
            connection.close()

    thread = threading.Thread(target=write_slowly)
    thread.start()
    try:
        assert drawn.wait(PATIENCE_S)
        if connection.vendor == "sqlite":
            # Writers come one by one: the second waits for the first, which must not wait for the second.
            go_on.set()
        factories.stocked(quick, 2, drawer=drawers[1].code, actor=clerk)
        # The quick one is committed and has the higher id. To show it now would put the cursor past the slow one.
        meanwhile = deltas(reader.rest())
    finally:
        go_on.set()
        thread.join(PATIENCE_S)
    assert not errors
    later = deltas(reader.rest())
    assert sorted(meanwhile + later) == [("quick", 2), ("slow", 1)]
    if connection.vendor == "postgresql":
        assert ("slow", 1) in later


def test_readers_among_many_writers_see_every_change_once_and_versions_in_order() -> None:
    """Writers on the same and on other balances; the reader never stops reading meanwhile."""
    writers, rounds = 4, 6
    shims = [factories.stocked(factories.shim(number=f"P-{number}"), 100).lot.part.number for number in range(2)]
    keys = [people.key_of(people.program(f"shop {number}", Role.STOREFRONT)) for number in range(writers)]
    reader = Reader(5)
    seen = reader.rest()
    errors: list[Any] = []

    def write(key: str) -> None:
        try:
            program = Caller(key)
            for number in range(rounds):
                body = {"lines": [{"part": shims[number % 2], "quantity": 1}]}
                made = ok(program.post("/holds", body), 201)["id"]
                ok(program.post(f"/holds/{made}/release", {}))
        except BaseException as error:
            errors.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=write, args=(key,)) for key in keys]
    for thread in threads:
        thread.start()
    while any(thread.is_alive() for thread in threads):
        seen += reader.page()
    for thread in threads:
        thread.join()
    seen += reader.rest()
    assert not errors
    assert len(seen) == len(shims) + 2 * writers * rounds
    for part in shims:
        # In order: what is free never exceeds the shelf nor falls below what all writers can take at once.
        level = 0
        for change in seen:
            if change["part"] == part:
                level += change["available_delta"]
                assert 100 - writers <= level <= 100
        assert level == 100
