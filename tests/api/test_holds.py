"""Holds over HTTP: all lines or none, what is free for each line, and whose they are."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings
from django.db import connection

from inventory.holds.models import Hold
from inventory.stock.models import Balance, Condition, Lot
from tests import factories, people
from tests.api.conftest import Caller, Json, fields, job, ok, problem, statements
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


@pytest.fixture
def balance(db: None) -> Balance:
    """Ten of part A."""
    return factories.stocked(factories.shim(number="A"), 10, lot="LOT-A")


def of(quantity: int, part: str = "A", **more: Any) -> Json:
    return {"lines": [{"part": part, "quantity": quantity}], **more}


def free(program: Caller, part: str = "A") -> tuple[int, int, int]:
    """On hand, held and available."""
    shown = ok(program.get(f"/parts/{part}"))
    return shown["on_hand"], shown["held"], shown["available"]


def test_a_hold_sets_pieces_aside_and_says_which_and_until_when(
    storefront: Caller, balance: Balance, clock: HeldClock
) -> None:
    made = ok(storefront.post("/holds", of(3)), 201)
    assert made["expires_at"] == "2030-03-04T09:15:00.000Z"
    assert made == {
        "id": made["id"],
        "state": "open",
        "purpose": "web",
        "job": None,
        "created_at": "2030-03-04T09:00:00.000Z",
        "expires_at": "2030-03-04T09:15:00.000Z",
        "lines": [
            {"part": "A", "lot": "LOT-A", "drawer": "A-01", "condition": "new", "quantity": 3, "asked": 3},
        ],
    }
    assert isinstance(made["id"], str)
    assert ok(storefront.get(f"/holds/{made['id']}")) == made
    assert free(storefront) == (10, 3, 7)


def test_out_of_stock_says_what_is_free_for_each_line_and_holds_nothing(storefront: Caller, balance: Balance) -> None:
    factories.stocked(factories.shim(number="B"), 2)
    factories.shim(number="C")
    lines = [{"part": part, "quantity": 4} for part in ("A", "B", "C")]
    body = problem(storefront.post("/holds", {"lines": lines}), 409, "out_of_stock")
    assert body["data"]["lines"] == [{"line": 1, "asked": 4, "free": 2}, {"line": 2, "asked": 4, "free": 0}]
    assert fields(body) == {"lines.1", "lines.2"}
    assert free(storefront) == (10, 0, 10)


def test_two_lines_for_one_part_never_get_the_same_piece(storefront: Caller, balance: Balance) -> None:
    two = [{"part": "A", "quantity": 6}, {"lot": "LOT-A", "quantity": 6}]
    body = problem(storefront.post("/holds", {"lines": two}), 409, "out_of_stock")
    assert len(body["data"]["lines"]) == 1
    made = ok(storefront.post("/holds", {"lines": [{**line, "quantity": 5} for line in two]}), 201)
    assert sum(line["quantity"] for line in made["lines"]) == 10
    assert free(storefront) == (10, 10, 0)


@pytest.mark.parametrize(
    "line", [{"quantity": 1}, {"part": "A", "lot": "LOT-A", "quantity": 1}, {"part": "nothing", "quantity": 1}]
)
def test_a_line_names_one_known_part_or_lot(storefront: Caller, balance: Balance, line: Json) -> None:
    good = {"part": "A", "quantity": 1}
    assert fields(problem(storefront.post("/holds", {"lines": [good, line]}), 400, "invalid")) == {"lines.1"}


@pytest.mark.parametrize("count", [0, 201])
def test_a_hold_has_1_to_200_lines(storefront: Caller, balance: Balance, count: int) -> None:
    lines = [{"part": "A", "quantity": 1}] * count
    assert fields(problem(storefront.post("/holds", {"lines": lines}), 400, "invalid")) == {"lines"}


def test_part_lines_take_new_stock_oldest_first_and_lot_lines_of_the_workshop_take_what_they_name(
    storefront: Caller, clerk: Caller
) -> None:
    from datetime import date

    shim = factories.shim(number="A")
    factories.stocked(shim, 5, lot="young", received_on=date(2030, 3, 1))
    factories.stocked(shim, 5, lot="old", received_on=date(2029, 3, 1), drawer="B-02")
    factories.stocked(shim, 5, lot="used", received_on=date(2020, 1, 1), condition=Condition.TAKE_OFF)
    made = ok(storefront.post("/holds", of(7)), 201)
    assert sorted((line["lot"], line["quantity"]) for line in made["lines"]) == [("old", 5), ("young", 2)]
    body = problem(storefront.post("/holds", of(4)), 409, "out_of_stock")
    assert body["data"]["lines"] == [{"line": 0, "asked": 4, "free": 3}]
    lot = {"lines": [{"lot": "used", "quantity": 5}]}
    problem(storefront.post("/holds", lot), 409, "out_of_stock")
    used = ok(clerk.post("/holds", lot), 201)
    assert used["lines"][0]["condition"] == "take_off"


def test_what_is_said_to_be_available_can_be_held(storefront: Caller) -> None:
    """A storefront shows `available` and then holds that many of the part."""
    shim = factories.shim(number="A")
    factories.stocked(shim, 5)
    factories.stocked(shim, 3, condition=Condition.TAKE_OFF)
    available = free(storefront)[2]
    ok(storefront.post("/holds", of(available)), 201)


# --- minutes


def test_minutes_move_the_end_up_to_the_shops_cap(storefront: Caller, balance: Balance, clock: HeldClock) -> None:
    most = settings.HOLD_MINUTES_MOST
    assert ok(storefront.post("/holds", of(1, minutes=1)), 201)["expires_at"] == "2030-03-04T09:01:00.000Z"
    assert ok(storefront.post("/holds", of(1, minutes=most)), 201)["expires_at"] == "2030-03-05T09:00:00.000Z"
    for minutes in (0, -1, most + 1, 10**9, "15", 1.5, True):
        assert fields(problem(storefront.post("/holds", of(1, minutes=minutes)), 400, "invalid")) == {"minutes"}


# --- lapse


def test_a_lapsed_hold_counts_as_free_at_once_everywhere(
    storefront: Caller, lead: Caller, balance: Balance, clock: HeldClock
) -> None:
    made = ok(storefront.post("/holds", of(10)), 201)
    clock.advance(minutes=14, seconds=59)
    assert free(storefront) == (10, 10, 0)
    clock.advance(seconds=1)
    assert free(storefront) == (10, 0, 10)
    whole = {"on_hand": 10, "held": 0, "available": 10, "over_age": 0, "age_to_check": 0}
    assert ok(lead.get("/lots"))["results"][0]["places"] == [{"drawer": "A-01", **whole}]
    assert ok(lead.get("/drawers"))["results"][0]["lots"] == [{"lot": "LOT-A", "part": "A", **whole}]
    assert ok(lead.get("/parts"))["results"][0]["available"] == 10
    assert ok(storefront.get(f"/holds/{made['id']}"))["state"] == "lapsed"


def test_a_hold_that_lapsed_unswept_is_listed_as_lapsed_and_not_as_open(
    storefront: Caller, balance: Balance, clock: HeldClock
) -> None:
    made = ok(storefront.post("/holds", of(1)), 201)["id"]
    clock.advance(minutes=15)
    assert [hold["id"] for hold in storefront.walk("/holds?state=open")] == []
    assert [hold["id"] for hold in storefront.walk("/holds?state=lapsed")] == [made]


def test_another_buyer_gets_what_lapsed(
    storefront: Caller, outsider: Caller, balance: Balance, clock: HeldClock
) -> None:
    made = ok(storefront.post("/holds", of(10)), 201)["id"]
    problem(outsider.post("/holds", of(1)), 409, "out_of_stock")
    clock.advance(minutes=15)
    ok(outsider.post("/holds", of(10)), 201)
    problem(storefront.post(f"/holds/{made}/confirm", {}), 409, "hold_lapsed")
    problem(storefront.post(f"/holds/{made}/extend", {}), 409, "hold_lapsed")
    assert free(storefront) == (10, 10, 0)


# --- confirm, extend, release


def test_confirm_stops_the_lapse_and_leaves_on_hand_alone(
    storefront: Caller, balance: Balance, clock: HeldClock
) -> None:
    made = ok(storefront.post("/holds", of(3)), 201)
    done = ok(storefront.post(f"/holds/{made['id']}/confirm", {}))
    assert (done["state"], done["expires_at"]) == ("confirmed", None)
    clock.advance(days=400)
    assert free(storefront) == (10, 3, 7)
    assert ok(storefront.post(f"/holds/{made['id']}/confirm", {})) == done
    problem(storefront.post(f"/holds/{made['id']}/extend", {}), 409, "hold_state")


def test_confirming_a_lapsed_hold_takes_the_pieces_again_if_they_are_free(
    storefront: Caller, balance: Balance, clock: HeldClock
) -> None:
    made = ok(storefront.post("/holds", of(10)), 201)["id"]
    clock.advance(minutes=20)
    assert free(storefront) == (10, 0, 10)
    done = ok(storefront.post(f"/holds/{made}/confirm", {}))
    assert done["state"] == "confirmed"
    assert [line["quantity"] for line in done["lines"]] == [10]
    assert free(storefront) == (10, 10, 0)


def test_extend_moves_the_end_from_now(storefront: Caller, balance: Balance, clock: HeldClock) -> None:
    made = ok(storefront.post("/holds", of(3)), 201)["id"]
    clock.advance(minutes=10)
    assert ok(storefront.post(f"/holds/{made}/extend", {}))["expires_at"] == "2030-03-04T09:25:00.000Z"
    assert ok(storefront.post(f"/holds/{made}/extend", {"minutes": 60}))["expires_at"] == "2030-03-04T10:10:00.000Z"
    body = problem(
        storefront.post(f"/holds/{made}/extend", {"minutes": settings.HOLD_MINUTES_MOST + 1}), 400, "invalid"
    )
    assert fields(body) == {"minutes"}


def test_release_gives_everything_back_and_again_changes_nothing(storefront: Caller, balance: Balance) -> None:
    made = ok(storefront.post("/holds", of(3)), 201)["id"]
    done = ok(storefront.post(f"/holds/{made}/release", {}))
    assert done["state"] == "released"
    assert [(line["quantity"], line["asked"]) for line in done["lines"]] == [(0, 3)]
    assert free(storefront) == (10, 0, 10)
    assert ok(storefront.post(f"/holds/{made}/release", {})) == done
    for step in ("confirm", "extend"):
        assert "released" in problem(storefront.post(f"/holds/{made}/{step}", {}), 409, "hold_state")["detail"]


@pytest.mark.parametrize("step", ["confirm", "release"])
def test_a_step_takes_no_fields(storefront: Caller, balance: Balance, step: str) -> None:
    made = ok(storefront.post("/holds", of(3)), 201)["id"]
    problem(storefront.post(f"/holds/{made}/{step}", {"minutes": 5}), 400, "invalid")


# --- whose


def test_a_storefront_sees_and_moves_only_its_own_holds(
    storefront: Caller, outsider: Caller, lead: Caller, balance: Balance
) -> None:
    mine = ok(storefront.post("/holds", of(1)), 201)["id"]
    theirs = ok(lead.post("/holds", of(1, job=job())), 201)["id"]
    assert [hold["id"] for hold in outsider.walk("/holds")] == []
    assert [hold["id"] for hold in storefront.walk("/holds")] == [mine]
    assert [hold["id"] for hold in lead.walk("/holds")] == [mine, theirs]
    for hold in (mine, theirs):
        unknown = problem(outsider.get("/holds/999999"), 404, "not_found")
        hidden = problem(outsider.get(f"/holds/{hold}"), 404, "not_found")
        assert hidden["detail"] == unknown["detail"].replace("999999", hold)
        for step in ("confirm", "extend", "release"):
            problem(outsider.post(f"/holds/{hold}/{step}", {}), 404, "not_found")
    assert free(lead) == (10, 2, 8)


def test_staff_may_release_a_storefronts_hold(storefront: Caller, clerk: Caller, balance: Balance) -> None:
    made = ok(storefront.post("/holds", of(3)), 201)["id"]
    assert ok(clerk.post(f"/holds/{made}/release", {}))["state"] == "released"


def test_releasing_what_a_buyer_has_paid_is_said_on_purpose(
    storefront: Caller, clerk: Caller, balance: Balance, clock: HeldClock
) -> None:
    made = ok(storefront.post("/holds", of(3)), 201)["id"]
    ok(storefront.post(f"/holds/{made}/confirm", {}))
    for body in ({}, {"paid": False}):
        refused = problem(clerk.post(f"/holds/{made}/release", body), 409, "hold_paid")
        assert (refused["data"], "paid" in refused["detail"]) == ({"hold": made}, True)
    assert free(clerk) == (10, 3, 7)
    problem(clerk.post(f"/holds/{made}/release", {"paid": "yes"}), 400, "invalid")
    assert ok(clerk.post(f"/holds/{made}/release", {"paid": True}))["state"] == "released"
    assert ok(clerk.post(f"/holds/{made}/release", {}))["state"] == "released", "what holds nothing changes nothing"


def test_a_paid_hold_that_fell_short_is_still_paid(storefront: Caller, clerk: Caller, balance: Balance) -> None:
    made = ok(storefront.post("/holds", of(3)), 201)["id"]
    ok(storefront.post(f"/holds/{made}/confirm", {}))
    ok(clerk.post("/counts", {"lot": "LOT-A", "drawer": "A-01", "counted": 2}), 201)
    problem(clerk.post(f"/holds/{made}/release", {}), 409, "hold_paid")


def test_a_storefront_releases_its_own_paid_hold_and_staff_an_unpaid_one(
    storefront: Caller, clerk: Caller, tuner: Caller, balance: Balance
) -> None:
    paid, unpaid = (ok(storefront.post("/holds", of(1)), 201)["id"] for _ in range(2))
    ok(storefront.post(f"/holds/{paid}/confirm", {}))
    ok(storefront.post(f"/holds/{paid}/release", {}))
    ok(clerk.post(f"/holds/{unpaid}/release", {"paid": True}))
    ok(tuner.post(f"/holds/{ok(tuner.post('/holds', of(1, job=job())), 201)['id']}/release", {}))


# --- what a storefront cannot find out, and cannot keep


def test_a_storefront_learns_nothing_of_a_lot_that_it_does_not_get(storefront: Caller, clerk: Caller) -> None:
    shim = factories.shim(number="A")
    factories.stocked(shim, 5, lot="few")
    factories.stocked(shim, 90, lot="used", condition=Condition.TAKE_OFF)
    factories.stocked(shim, 90, lot="gone", drawer="B-02")
    Lot.objects.filter(number="gone").update(retired_at="2030-03-01T00:00:00Z")
    told = set()
    for lot in ("few", "used", "gone", "none"):
        body = problem(storefront.post("/holds", {"lines": [{"lot": lot, "quantity": 60}]}), 409, "out_of_stock")
        assert body["data"]["lines"] == [{"line": 0, "asked": 60, "free": None}]
        told.add(str(body).replace(lot, "LOT"))
        both = {"lines": [{"lot": lot, "quantity": 60}, {"part": "A", "quantity": 60}]}
        beside = problem(storefront.post("/holds", both), 409, "out_of_stock")["data"]["lines"]
        assert [one["free"] for one in beside] == [None, 5], "nor by what it takes from the part beside it"
    assert len(told) == 1, told
    # The workshop is told all of it.
    few = problem(clerk.post("/holds", {"lines": [{"lot": "few", "quantity": 60}]}), 409, "out_of_stock")
    assert few["data"]["lines"] == [{"line": 0, "asked": 60, "free": 5}]
    problem(clerk.post("/holds", {"lines": [{"lot": "none", "quantity": 60}]}), 400, "invalid")
    problem(clerk.post("/holds", {"lines": [{"lot": "gone", "quantity": 60}]}), 409, "not_given_out")


def test_a_storefront_extends_up_to_a_cap_from_the_first_minute_and_no_further(
    storefront: Caller, clerk: Caller, balance: Balance, clock: HeldClock
) -> None:
    made = ok(storefront.post("/holds", of(10)), 201)["id"]
    end = clock.time + timedelta(minutes=settings.HOLD_MINUTES_TOTAL)
    extended = 0
    while clock.time < end - timedelta(minutes=15):
        clock.advance(minutes=14)
        ok(storefront.post(f"/holds/{made}/extend", {}))
        extended += 1
    assert extended > 100
    last = "2030-03-06T09:00:00.000Z"
    assert ok(storefront.get(f"/holds/{made}"))["expires_at"] == last
    refused = problem(storefront.post(f"/holds/{made}/extend", {}), 409, "hold_too_long")
    assert refused["data"] == {"hold": made, "until": last}
    assert ok(clerk.post(f"/holds/{made}/extend", {"minutes": 60}))["expires_at"] > last, "the workshop may"
    clock.advance(hours=2)
    assert free(storefront) == (10, 0, 10)


@pytest.mark.parametrize(("percent", "allowed"), [(50, 5), (33, 3), (1, 1), (99, 9)])
def test_a_storefront_keeps_unpaid_no_more_than_its_share(
    storefront: Caller, outsider: Caller, clerk: Caller, balance: Balance, settings: Any, percent: int, allowed: int
) -> None:
    settings.STOREFRONT_SHARE_PERCENT = percent
    body = problem(storefront.post("/holds", of(allowed + 1)), 409, "out_of_stock")
    assert body["data"]["lines"] == [{"line": 0, "asked": allowed + 1, "free": allowed}]
    two = [{"part": "A", "quantity": allowed}, {"lot": "LOT-A", "quantity": 1}]
    problem(storefront.post("/holds", {"lines": two}), 409, "out_of_stock")
    made = ok(storefront.post("/holds", of(allowed)), 201)["id"]
    for more in ({"part": "A", "quantity": 1}, {"lot": "LOT-A", "quantity": 1}):
        problem(storefront.post("/holds", {"lines": [more]}), 409, "out_of_stock")
    # What is paid is sold; another shop has a share of its own, and the workshop takes what is free.
    ok(storefront.post(f"/holds/{made}/confirm", {}))
    if allowed < 9:
        ok(storefront.post("/holds", of(1)), 201)
        ok(outsider.post("/holds", of(1)), 201)
        ok(clerk.post("/holds", of(10 - allowed - 2)), 201) if allowed < 8 else None


def test_what_lapsed_and_what_was_given_back_is_no_share(
    storefront: Caller, balance: Balance, settings: Any, clock: HeldClock
) -> None:
    settings.STOREFRONT_SHARE_PERCENT = 50
    ok(storefront.post("/holds", of(5)), 201)
    clock.advance(minutes=15)
    again = ok(storefront.post("/holds", of(5)), 201)["id"]
    ok(storefront.post(f"/holds/{again}/release", {}))
    ok(storefront.post("/holds", of(5)), 201)


def test_the_share_of_a_lot_is_that_of_its_part(storefront: Caller, settings: Any) -> None:
    settings.STOREFRONT_SHARE_PERCENT = 50
    shim = factories.shim(number="A")
    for lot in ("one", "two"):
        factories.stocked(shim, 5, lot=lot)
    factories.stocked(shim, 40, lot="used", condition=Condition.TAKE_OFF)
    ok(storefront.post("/holds", {"lines": [{"lot": "one", "quantity": 5}]}), 201)
    problem(storefront.post("/holds", {"lines": [{"lot": "two", "quantity": 1}]}), 409, "out_of_stock")


# --- jobs


def test_a_hold_for_a_job_does_not_lapse(tuner: Caller, balance: Balance, clock: HeldClock) -> None:
    made = ok(tuner.post("/holds", of(3, job=job())), 201)
    assert (made["purpose"], made["job"], made["expires_at"]) == ("job", "J-1", None)
    clock.advance(days=400)
    assert free(tuner) == (10, 3, 7)
    assert [hold["id"] for hold in tuner.walk("/holds?job=J-1")] == [made["id"]]
    assert list(tuner.walk("/holds?job=J-2")) == []
    problem(tuner.post(f"/holds/{made['id']}/extend", {}), 409, "hold_state")
    done = ok(tuner.post(f"/holds/{made['id']}/release", {}))
    assert (done["state"], done["job"]) == ("released", "J-1")


def test_a_job_hold_has_no_minutes_and_needs_a_known_job(tuner: Caller, balance: Balance) -> None:
    assert fields(problem(tuner.post("/holds", of(1, job=job(), minutes=5)), 400, "invalid")) == {"minutes"}
    problem(tuner.post("/holds", of(1, job="J-99")), 404, "not_found")
    assert not Hold.objects.exists()


def test_a_storefront_cannot_hold_for_a_job(storefront: Caller, balance: Balance) -> None:
    assert fields(problem(storefront.post("/holds", of(1, job=job())), 400, "invalid")) == {"job"}


# --- a count below what is held


def test_a_short_hold_says_so_and_the_count_says_whose_it_is(
    storefront: Caller, tuner: Caller, clerk: Caller, balance: Balance
) -> None:
    web = ok(storefront.post("/holds", of(4)), 201)["id"]
    bench = ok(tuner.post("/holds", of(4, job=job())), 201)["id"]
    counted = ok(clerk.post("/counts", {"lot": "LOT-A", "drawer": "A-01", "counted": 5}), 201)
    assert (counted["expected"], counted["counted"], counted["difference"]) == (10, 5, -5)
    assert counted["shortened"] == [{"hold": web, "by": 3, "owner": "web shop"}]
    short = ok(storefront.get(f"/holds/{web}"))
    assert short["state"] == "short"
    assert [(line["quantity"], line["asked"]) for line in short["lines"]] == [(1, 4)]
    assert ok(tuner.get(f"/holds/{bench}"))["state"] == "open"
    problem(storefront.post(f"/holds/{web}/confirm", {}), 409, "hold_state")
    assert ok(storefront.post(f"/holds/{web}/release", {}))["state"] == "released"


# --- how much work it is


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("count", [1, 60])
@pytest.mark.parametrize("for_job", [False, True])
def test_a_hold_takes_ten_statements_and_one_more_for_a_job_however_many_lines(count: int, for_job: bool) -> None:
    from tests.api.conftest import caller

    for number in range(count):
        factories.stocked(factories.shim(number=f"P-{number}"), 5)
    program = caller(people.tuner() if for_job else people.storefront())
    body: Json = {"lines": [{"part": f"P-{number}", "quantity": 2} for number in range(count)]}
    body |= {"job": job()} if for_job else {}
    ok(program.get("/parts"))
    with statements() as sent:
        made = ok(program.post("/holds", body), 201)
    assert len(made["lines"]) == count
    if connection.vendor == "sqlite":
        # A statement there takes few values, so one that inserts many rows is sent in several pieces.
        sent = [sql for before, sql in zip(["", *sent], sent, strict=False) if sql[:60] != before[:60]]
    # One of them reads the balances back: that the movements were applied is not taken on trust. A job costs two more
    # (which job, and that the hold is its), and no shop's share is asked for.
    assert len(sent) <= 10 + for_job, "\n".join(sql[:160] for sql in sent)
