"""A ledger that was put back from a copy: a storefront that has read more than it, or other things, is told so."""

from __future__ import annotations

import base64
import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from inventory.holds.models import Hold, HoldLine
from inventory.holds.requests import Wanted
from inventory.stock import replay, triggers
from inventory.stock.models import Balance, Movement
from tests import factories, people
from tests.api.conftest import Caller, Json, caller, ok, problem

# On PostgreSQL the feed shows what is committed, so nothing here may run inside one open transaction.
# Alone, because the feed waits for every transaction that runs in the cluster.
pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.race]


@pytest.fixture
def shop(transactional_db: None) -> Caller:
    factories.stocked(factories.shim(number="A"), 10, lot="L-A")
    return caller(people.storefront())


def feed(shop: Caller, after: str = "") -> Json:
    found: Json = ok(shop.get(f"/changes?after={after}" if after else "/changes"))
    return found


def put_back(movements: int) -> None:
    """The ledger as a copy of its first movements has it, its numbers too: what comes now has the ids of the lost."""
    triggers.remove()
    lost = Movement.objects.order_by("pk")[movements:].values_list("pk", flat=True)
    Movement.objects.filter(pk__in=list(lost)).delete()
    HoldLine.objects.update(quantity=0)
    for balance in Balance.objects.all():
        last = Movement.objects.filter(balance=balance).order_by("version").last()
        assert last is not None
        Balance.objects.filter(pk=balance.pk).update(on_hand=last.on_hand, held=last.held, version=last.version)
    triggers.install()
    table, last_id = Movement._meta.db_table, Movement.objects.order_by("pk")[movements - 1].pk
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("UPDATE sqlite_sequence SET seq = %s WHERE name = %s", [last_id, table])
        else:
            cursor.execute("SELECT setval(pg_get_serial_sequence(%s, 'id'), %s)", [table, last_id])
    assert replay.faults() == []


def lose_holds() -> None:
    """As in a copy from before the first hold, whose number is drawn again."""
    triggers.remove()
    HoldLine.objects.all().delete()
    Hold.objects.all().delete()
    triggers.install()
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [Hold._meta.db_table])
        else:
            cursor.execute("SELECT setval(pg_get_serial_sequence(%s, 'id'), 1, false)", [Hold._meta.db_table])


def moves(times: int = 1) -> None:
    for _ in range(times):
        factories.held(Wanted(1, lot="L-A"))


def restored() -> None:
    people.clerk()
    out = StringIO()
    call_command("after_restore", person="runa", reason="copy of Monday night", stdout=out)
    assert "Storefronts are told" in out.getvalue()


def numbers(cursor: str) -> list[int]:
    found: list[int] = json.loads(base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4)))
    return found


def as_before(cursor: str) -> str:
    """The cursor as earlier versions gave it, with two numbers."""
    return base64.urlsafe_b64encode(json.dumps(numbers(cursor)[:2]).encode()).decode().rstrip("=")


@pytest.mark.parametrize("grown", [0, 1, 2, 5], ids="{} since".format)
def test_a_cursor_ahead_of_the_restored_ledger_is_refused_however_far_that_has_grown(shop: Caller, grown: int) -> None:
    moves(2)
    ahead = feed(shop)["next"]
    put_back(1)
    moves(grown)
    assert Movement.objects.count() == 1 + grown
    told = problem(shop.get(f"/changes?after={ahead}"), 410, "shelf_restored")
    # It goes on from here once it has read all parts.
    assert feed(shop, told["data"]["next"])["results"] == []
    moves()
    assert [row["available_delta"] for row in feed(shop, told["data"]["next"])["results"]] == [-1]


def test_a_cursor_behind_the_copy_is_refused_once_the_restore_is_told(shop: Caller) -> None:
    """Its reader may have read parts that moved after the copy, without a change of them."""
    same = feed(shop)["next"]
    moves()
    put_back(1)
    assert feed(shop, same)["results"] == []
    restored()
    told = problem(shop.get(f"/changes?after={same}"), 410, "shelf_restored")
    assert feed(shop, told["data"]["next"])["results"] == []
    assert replay.faults() == []


def test_the_same_copy_put_back_twice_refuses_what_was_given_out_in_between(shop: Caller) -> None:
    cursors = []
    for _ in range(2):
        moves()
        put_back(1)
        restored()
        cursors.append(feed(shop)["next"])
    assert numbers(cursors[0])[1] == numbers(cursors[1])[1]
    problem(shop.get(f"/changes?after={cursors[0]}"), 410, "shelf_restored")
    assert feed(shop, cursors[1])["results"] == []


def test_who_begins_anew_reads_through_the_whole_history_page_by_page(shop: Caller) -> None:
    moves(3)
    restored()
    after, seen = "", 0
    while page := ok(shop.get(f"/changes?page_size=1{after}"))["results"]:
        seen += len(page)
        after = f"&after={ok(shop.get(f'/changes?page_size=1{after}'))['next']}"
    assert seen == Movement.objects.count() == 6


def test_a_cursor_of_an_earlier_version_counts_where_its_movement_is_there(shop: Caller) -> None:
    old = as_before(feed(shop)["next"])
    moves()
    assert [row["available_delta"] for row in feed(shop, old)["results"]] == [-1]
    ahead = as_before(feed(shop)["next"])
    put_back(1)
    problem(shop.get(f"/changes?after={ahead}"), 410, "shelf_restored")
    assert feed(shop, old)["results"] == []
    restored()
    problem(shop.get(f"/changes?after={old}"), 410, "shelf_restored")


def test_the_oldest_cursor_of_all_begins_at_the_beginning_until_a_restore_is_told(shop: Caller) -> None:
    beginning = base64.urlsafe_b64encode(b"[0, 0]").decode()
    assert len(feed(shop, beginning)["results"]) == 1
    restored()
    problem(shop.get(f"/changes?after={beginning}"), 410, "shelf_restored")


def test_a_shelf_that_is_not_true_is_mended_first(shop: Caller) -> None:
    people.clerk()
    triggers.remove()
    Balance.objects.update(on_hand=12)
    triggers.install()
    with pytest.raises(CommandError, match=r"is not true.*repair_ledger"):
        call_command("after_restore", person="runa", reason="copy", stdout=StringIO())


def test_no_number_of_a_lost_hold_is_given_to_another(shop: Caller) -> None:
    """A storefront that remembers one must not confirm or release somebody else's."""
    wanted = {"lines": [{"part": "A", "quantity": 1}]}
    lost = ok(shop.post("/holds", wanted), 201)["id"]
    put_back(1)
    lose_holds()
    restored()
    made = ok(shop.post("/holds", wanted), 201)["id"]
    assert made != lost
    problem(shop.post(f"/holds/{lost}/confirm", {}), 404, "not_found")
    assert replay.faults() == []


@pytest.mark.parametrize(("person", "reason"), [("nobody", "copy"), ("runa", " "), ("runa", "x" * 191)])
def test_somebody_says_why(shop: Caller, person: str, reason: str) -> None:
    people.clerk()
    with pytest.raises(CommandError, match=r"--(person|reason)"):
        call_command("after_restore", person=person, reason=reason, stdout=StringIO())
    assert Movement.objects.count() == 1


def test_on_a_shelf_where_nothing_ever_lay_there_is_nothing_to_tell(transactional_db: None) -> None:
    people.clerk()
    out = StringIO()
    call_command("after_restore", person="runa", reason="copy", stdout=out)
    assert "Nothing ever lay" in out.getvalue()
