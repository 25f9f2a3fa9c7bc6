"""One drawer: what lies in it, counting it blind, what a count takes from holds, and taking it out of use."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from inventory.amendments.models import Amendment
from inventory.common import clock
from inventory.common.transactions import use_case
from inventory.holds.models import Hold, Purpose
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.jobs.services import hold_for, open_job
from inventory.receiving.models import Count
from inventory.receiving.services import count_drawer
from inventory.stock import replay
from inventory.stock.browsing import MOST_EMPTY
from inventory.stock.models import Balance, Condition, Drawer, Lot, Movement
from tests import factories, people
from tests.visiting import signed_in, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def true_shelf() -> Iterator[None]:
    yield
    assert replay.faults() == []
    assert held_faults() == []


@pytest.fixture
def clerk(client: Browser) -> Browser:
    return signed_in(client, people.clerk())


def count(
    client: Browser, counted: dict[Balance, Any], *, once: str = "k1", code: str = "A-01", sure: bool = True
) -> Any:
    """Sends a count; `sure` as somebody does who has been asked about it."""
    fields = {f"lot-{balance.pk}": pieces for balance, pieces in counted.items()}
    if sure:
        fields |= {f"sure-{balance.pk}": pieces for balance, pieces in counted.items() if str(pieces).isdigit()}
    return client.post(f"/drawers/{code}", {"deed": "count", "once": once, **fields})


def on_hand(balance: Balance) -> tuple[int, int]:
    balance.refresh_from_db()
    return balance.on_hand, balance.held


# --- looking


def test_a_drawer_says_what_lies_in_it(clerk: Browser) -> None:
    part = factories.shim(34, 0.15)
    factories.stocked(part, 40, lot="L-1")
    factories.stocked(part, 7, lot="L-2", condition=Condition.TAKE_OFF)
    factories.held(Wanted(quantity=4, lot="L-1"))
    said = text_of(clerk.get("/drawers/A-01"))
    assert f"34 x 0.15 mm, bore 12 mm {part.number} 36 40 4 L-1 new" in said
    assert f"34 x 0.15 mm, bore 12 mm {part.number} 7 7 0 L-2 take-off" in said


def test_what_lies_in_another_drawer_is_not_shown(clerk: Browser) -> None:
    factories.stocked(factories.shim(), 40, lot="L-1", drawer="B-01")
    factories.drawer("A-01")
    said = text_of(clerk.get("/drawers/A-01"))
    assert "The drawer is empty" in said
    assert "L-1" not in said


def test_a_drawer_that_is_none_is_not_found(clerk: Browser) -> None:
    assert clerk.get("/drawers/Z-99").status_code == 404


def test_a_code_may_hold_a_slash(clerk: Browser) -> None:
    factories.drawer("A/1")
    assert "Drawer A/1" in text_of(clerk.get("/drawers/A/1"))


def test_the_history_tells_what_happened_newest_first(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 40, lot="L-1")
    count(clerk, {balance: 38})
    said = text_of(clerk.get("/drawers/A-01"))
    history = said[said.index("History") :]
    assert history.index("counted: 2 fewer than the ledger had") < history.index("40 came in with a delivery")
    assert "\N{MINUS SIGN}2 38 on hand, 0 held Runa Feldmark" in history


def test_a_page_asks_no_more_queries_when_the_drawer_fills(clerk: Browser) -> None:
    def asked(address: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert clerk.get(address).status_code == 200
        return len(queries)

    factories.stocked(factories.shim(), 5)
    before = asked("/drawers/A-01"), asked("/drawers/A-01?count")
    for _ in range(12):
        factories.stocked(factories.shim(), 5)
    assert (asked("/drawers/A-01"), asked("/drawers/A-01?count")) == before


# --- the form


def test_the_count_is_blind(clerk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 4711, lot="L-1")
    assert "4711" not in text_of(clerk.get("/drawers/A-01?count"))
    assert "expected 4711" in text_of(clerk.get("/drawers/A-01?count&expected"))


def test_a_refused_count_stays_blind(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(34, 0.15), 4711, lot="L-1")
    again = count(clerk, {balance: "many"})
    assert again.status_code == 422
    assert "4711" not in text_of(again)


def test_a_lot_that_the_ledger_says_is_gone_can_still_be_counted(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 5, lot="L-1")
    count(clerk, {balance: 0})
    assert "Should be empty" in text_of(clerk.get("/drawers/A-01?count"))
    count(clerk, {balance: 3}, once="k2")
    assert on_hand(balance) == (3, 0)


def test_a_drawer_in_which_nothing_ever_lay_has_nothing_to_count(clerk: Browser) -> None:
    factories.drawer("A-01")
    assert "there is nothing to count" in text_of(clerk.get("/drawers/A-01?count"))


def test_the_tuner_sees_no_form_and_may_not_send_one(client: Browser) -> None:
    balance = factories.stocked(factories.shim(), 5)
    tuner = signed_in(client, people.tuner())
    html = tuner.get("/drawers/A-01?count").content.decode()
    assert "Count this drawer" not in html
    assert 'name="lot-' not in html
    assert count(tuner, {balance: 4}).status_code == 403
    assert on_hand(balance) == (5, 0)


# --- sending


def test_one_send_counts_every_lot_that_was_typed_and_no_other(clerk: Browser) -> None:
    first, second, third = (factories.stocked(factories.shim(), 10, lot=f"L-{n}") for n in (1, 2, 3))
    sent = count(clerk, {first: "8", second: "", third: "13"})
    assert sent.status_code == 303
    assert [on_hand(one)[0] for one in (first, second, third)] == [8, 10, 13]
    assert sorted(Count.objects.values_list("balance_id", "expected", "counted")) == sorted(
        [(first.pk, 10, 8), (third.pk, 10, 13)]
    )


def test_the_result_shows_expected_counted_and_difference(clerk: Browser) -> None:
    first, second, third = (factories.stocked(factories.shim(number=f"S-{n}"), 10, lot=f"L-{n}") for n in (1, 2, 3))
    said = text_of(clerk.get(count(clerk, {first: 8, second: 13, third: 10})["Location"]))
    assert "L-1 S-1 10 8 2 fewer" in said
    assert "L-2 S-2 10 13 3 more" in said
    assert "L-3 S-3 10 10 as expected" in said


def test_a_count_as_expected_is_kept_and_moves_nothing(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 10)
    before = Movement.objects.count()
    count(clerk, {balance: 10})
    assert (Movement.objects.count(), Count.objects.count()) == (before, 1)


def test_a_count_below_what_is_held_shortens_holds_and_names_them_with_links(clerk: Browser) -> None:
    first = factories.stocked(factories.shim(), 10, lot="L-1")
    second = factories.stocked(factories.shim(), 10, lot="L-2")
    use_case(lambda: open_job(number="J-7", title="Rear"))
    lines = [Wanted(quantity=6, lot="L-1"), Wanted(quantity=6, lot="L-2")]
    job = use_case(lambda: hold_for(lines=lines, job="J-7", minutes=None, actor=people.tuner())).hold
    web = factories.held(Wanted(quantity=3, lot="L-1")).hold
    page = clerk.get(count(clerk, {first: 5, second: 4})["Location"])
    said = text_of(page)
    assert "5 fewer short a web order of web shop lost 3 short job J-7 lost 1" in said
    assert "6 fewer short job J-7 lost 2" in said
    assert f'href="/holds/{job.pk}"' in page.content.decode()
    assert f'href="/holds/{web.pk}"' in page.content.decode()
    assert (on_hand(first), on_hand(second)) == ((5, 5), (4, 4))
    assert set(Hold.objects.values_list("state", flat=True)) == {"short"}


def test_a_later_count_shows_only_its_own_losses(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 10, lot="L-1")
    factories.held(Wanted(quantity=8, lot="L-1"), purpose=Purpose.JOB, actor=people.tuner())
    first = count(clerk, {balance: 6})["Location"]
    second = count(clerk, {balance: 5}, once="k2")["Location"]
    assert "lost 2" in text_of(clerk.get(first))
    said = text_of(clerk.get(second))
    assert "lost 1" in said
    assert "lost 2" not in said.split("History")[0]


def test_sent_twice_it_happens_once(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 10)
    sent = [count(clerk, {balance: 8}) for _ in range(2)]
    assert sent[0]["Location"] == sent[1]["Location"]
    assert (Count.objects.count(), on_hand(balance)) == (1, (8, 0))


def test_a_form_changed_after_it_was_sent_asks_to_be_sent_again(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 10)
    count(clerk, {balance: 8})
    again = count(clerk, {balance: 7})
    assert again.status_code == 422
    key = re.search(r'name="once" value="([^"]+)"', again.content.decode())
    assert key is not None
    assert key[1] != "k1"
    assert count(clerk, {balance: 7}, once=key[1]).status_code == 303
    assert on_hand(balance) == (7, 0)


@pytest.mark.parametrize("typed", ["-1", "3.5", "3,5", "four", "1000001", "\N{ARABIC-INDIC DIGIT ONE}"])
def test_what_is_no_count_is_marked_beside_its_lot_and_everything_typed_is_kept(clerk: Browser, typed: str) -> None:
    first = factories.stocked(factories.shim(), 10, lot="L-1")
    second = factories.stocked(factories.shim(), 10, lot="L-2")
    again = count(clerk, {first: "8", second: typed})
    html = again.content.decode()
    assert again.status_code == 422
    assert 'value="8"' in html
    assert f'value="{typed}"' in html
    assert html.count("It must be a whole number from 0 to 1000000.") == 1
    field = re.search(rf'<input[^>]*name="lot-{second.pk}"[^>]*>', html)
    assert field is not None
    assert "autofocus" in field[0]
    assert "aria-invalid" in field[0]
    assert (Count.objects.count(), on_hand(first)) == (0, (10, 0))


def test_a_count_without_any_number_says_what_to_type(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 10)
    again = count(clerk, {balance: ""})
    assert again.status_code == 422
    assert "No number is typed" in text_of(again)


@pytest.mark.parametrize("query", ["x", "1,x", "99999999999999999999", "-1", "²", ",,,"])
def test_a_result_that_is_none_shows_none(clerk: Browser, query: str) -> None:
    factories.stocked(factories.shim(), 10)
    page = clerk.get("/drawers/A-01", {"counted": query})
    assert page.status_code == 200
    assert "Expected" not in text_of(page)


def test_the_result_of_another_drawer_is_not_shown(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 10)
    factories.drawer("B-01")
    counted = count(clerk, {balance: 9})["Location"].partition("?")[2]
    assert "Expected" not in text_of(clerk.get(f"/drawers/B-01?{counted}"))


# --- what is asked about before it is kept


def opened(client: Browser, *, code: str = "A-01") -> dict[str, str]:
    """The form of a count as somebody opens it."""
    return fields_of(client.get(f"/drawers/{code}?count"))


def fields_of(page: Any) -> dict[str, str]:
    """The fields of the count on a page, in their order."""
    form = page.content.decode().split('name="deed" value="count"')[1].split("</form>")[0]
    found: dict[str, str] = {}
    for tag in re.findall(r"<input[^>]*>", form):
        name = re.search(r'name="([^"]+)"', tag)
        value = re.search(r'value="([^"]*)"', tag)
        assert name is not None
        found[name[1]] = value[1] if value else ""
    return found


def send(client: Browser, fields: dict[str, str], **typed: Any) -> Any:
    return client.post("/drawers/A-01", {"deed": "count", **fields, **typed})


def counts_meanwhile(balance: Balance, pieces: int) -> None:
    lot = balance.lot.number
    use_case(lambda: count_drawer(drawer="A-01", counted={lot: pieces}, actor=people.lead()))


def test_a_count_typed_before_a_movement_is_asked_about_once(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 42, lot="L-1")
    form = opened(clerk)
    counts_meanwhile(balance, 30)
    asked = send(clerk, form, **{f"lot-{balance.pk}": "42"})
    assert (asked.status_code, on_hand(balance)) == (422, (30, 0))
    said = text_of(asked)
    assert "It has changed in the ledger since you opened this: Maive Orlund, count." in said
    assert "30" not in said.split("Count drawer")[-1]
    again = fields_of(asked)
    assert again[f"lot-{balance.pk}"] == "42"
    assert send(clerk, again).status_code == 303
    assert on_hand(balance) == (42, 0)


def test_a_movement_while_somebody_looks_again_is_asked_about_again(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 42, lot="L-1")
    form = opened(clerk)
    counts_meanwhile(balance, 30)
    asked = fields_of(send(clerk, form, **{f"lot-{balance.pk}": "42"}))
    counts_meanwhile(balance, 31)
    assert send(clerk, asked).status_code == 422
    assert on_hand(balance) == (31, 0)


def test_a_lot_that_was_not_counted_may_have_moved(clerk: Browser) -> None:
    first, second = (factories.stocked(factories.shim(), 10, lot=f"L-{n}") for n in (1, 2))
    form = opened(clerk)
    counts_meanwhile(second, 8)
    assert send(clerk, form, **{f"lot-{first.pk}": "9"}).status_code == 303
    assert (on_hand(first), on_hand(second)) == ((9, 0), (8, 0))


def test_a_hold_made_meanwhile_moves_no_piece_and_is_not_asked_about(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 10, lot="L-1")
    form = opened(clerk)
    factories.held(Wanted(quantity=4, lot="L-1"))
    assert send(clerk, form, **{f"lot-{balance.pk}": "9"}).status_code == 303
    assert on_hand(balance) == (9, 4)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("0", "It is 0: nothing is left."),
        ("19", "It is far from what the ledger has."),
        ("61", "It is far from what the ledger has."),
        ("400", "It is far from what the ledger has."),
    ],
)
def test_a_count_far_from_the_ledger_is_asked_about_once_and_stays_blind(
    clerk: Browser, typed: str, words: str
) -> None:
    balance = factories.stocked(factories.shim(), 40, lot="L-1")
    asked = send(clerk, opened(clerk), **{f"lot-{balance.pk}": typed})
    assert (asked.status_code, on_hand(balance)) == (422, (40, 0))
    assert words in text_of(asked)
    assert "expected" not in text_of(asked).replace("Show what is expected", "")
    # Another number that is far off is asked about too; the same one is kept.
    assert send(clerk, fields_of(asked), once="k2", **{f"lot-{balance.pk}": "1000"}).status_code == 422
    assert send(clerk, fields_of(asked)).status_code == 303
    assert on_hand(balance) == (int(typed), 0)


@pytest.mark.parametrize("typed", ["20", "39", "40", "60"])
def test_a_count_near_the_ledger_is_kept_at_once(clerk: Browser, typed: str) -> None:
    balance = factories.stocked(factories.shim(), 40, lot="L-1")
    assert send(clerk, opened(clerk), **{f"lot-{balance.pk}": typed}).status_code == 303
    assert on_hand(balance) == (int(typed), 0)


def test_a_count_that_breaks_a_hold_is_asked_about_once(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 10, lot="L-1")
    factories.held(Wanted(quantity=8, lot="L-1"))
    asked = send(clerk, opened(clerk), **{f"lot-{balance.pk}": "7"})
    assert "It is less than is held. Were the held pieces counted too?" in text_of(asked)
    assert on_hand(balance) == (10, 8)
    assert send(clerk, fields_of(asked)).status_code == 303
    assert on_hand(balance) == (7, 7)


def test_the_form_says_that_held_pieces_are_counted_too(clerk: Browser) -> None:
    factories.stocked(factories.shim(), 10)
    assert "Count everything that lies there, the pieces that are held for somebody too." in text_of(
        clerk.get("/drawers/A-01?count")
    )


# --- a count of what has gone from the form meanwhile


def test_a_number_typed_for_a_lot_that_was_emptied_meanwhile_is_kept(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 10, lot="L-1")
    form = opened(clerk)
    # So many are emptied after it that the form alone would not show it any more.
    counts_meanwhile(balance, 0)
    for _ in range(MOST_EMPTY):
        counts_meanwhile(factories.stocked(factories.shim(), 1), 0)
    asked = send(clerk, form, **{f"lot-{balance.pk}": "9"})
    assert asked.status_code == 422
    assert fields_of(asked)[f"lot-{balance.pk}"] == "9"
    assert send(clerk, fields_of(asked)).status_code == 303
    assert on_hand(balance) == (9, 0)


def test_what_was_emptied_last_can_be_counted_however_old_its_lot_is(clerk: Browser) -> None:
    oldest = factories.stocked(factories.shim(), 1, lot="OLD")
    for _ in range(MOST_EMPTY + 3):
        counts_meanwhile(factories.stocked(factories.shim(), 1), 0)
    counts_meanwhile(oldest, 0)
    form = opened(clerk)
    assert next(name for name in form if name.startswith("lot-")) == f"lot-{oldest.pk}"
    assert len([name for name in form if name.startswith("lot-")]) == MOST_EMPTY


def test_a_lot_that_cannot_be_counted_here_is_refused_by_its_number(clerk: Browser) -> None:
    here = factories.stocked(factories.shim(), 10, lot="L-1")
    there = factories.stocked(factories.shim(), 10, lot="L-2", drawer="B-01")
    gone = factories.stocked(factories.shim(), 10, lot="L-3")
    form = opened(clerk)
    Lot.objects.filter(pk=gone.lot_id).update(retired_at=clock.now())
    typed = {f"lot-{here.pk}": "9", f"lot-{there.pk}": "8", f"lot-{gone.pk}": "7", "lot-99999": "6"}
    refused = send(clerk, form, **typed)
    said = text_of(refused)
    assert refused.status_code == 422
    assert "Lot L-2 lies in drawer B-01; count it there. You typed &#x27;8&#x27; for it" in said
    assert "Lot L-3 is retired: its line was undone." in said
    assert "One of the lots is not there. You typed &#x27;6&#x27; for it" in said
    assert not Count.objects.exists()
    assert fields_of(refused)[f"lot-{here.pk}"] == "9"


def test_lots_stay_where_they_were_when_a_count_is_looked_at_again(clerk: Browser) -> None:
    first, second, third = (factories.stocked(factories.shim(number=f"S-{n}"), 10, lot=f"L-{n}") for n in (1, 2, 3))
    form = opened(clerk)
    order = [name for name in form if name.startswith("lot-")]
    counts_meanwhile(first, 0)
    factories.stocked(factories.shim(number="S-0"), 5, lot="L-0")
    asked = fields_of(send(clerk, form, **{f"lot-{first.pk}": "10", f"lot-{third.pk}": "10", f"lot-{second.pk}": "10"}))
    assert [name for name in asked if name.startswith("lot-")][:3] == order


def test_pieces_counted_into_a_drawer_out_of_use_bring_it_back(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 5, lot="L-1")
    counts_meanwhile(balance, 0)
    set_state(clerk, "retire")
    count(clerk, {balance: 2})
    assert Drawer.objects.get(code="A-01").retired_at is None
    assert "state from retired to in use pieces were counted in it" in text_of(clerk.get("/drawers/A-01"))


# --- out of use


def set_state(client: Browser, deed: str, reason: str = "it broke", once: str = "k9") -> Any:
    return client.post("/drawers/A-01", {"deed": deed, "reason": reason, "once": once})


def test_an_empty_drawer_is_taken_out_of_use_and_used_again(clerk: Browser) -> None:
    factories.drawer("A-01")
    assert set_state(clerk, "retire").status_code == 303
    said = text_of(clerk.get("/drawers/A-01"))
    assert "out of use" in said
    assert "corrected: state from in use to retired it broke" in said
    assert set_state(clerk, "reopen", "mended", "k10").status_code == 303
    assert Drawer.objects.get(code="A-01").retired_at is None
    assert list(Amendment.objects.order_by("pk").values_list("after", "reason")) == [
        ("retired", "it broke"),
        ("in use", "mended"),
    ]


def test_a_drawer_with_pieces_stays_in_use(clerk: Browser) -> None:
    factories.stocked(factories.shim(), 1)
    assert "Take this drawer out of use" not in text_of(clerk.get("/drawers/A-01"))
    refused = set_state(clerk, "retire")
    assert refused.status_code == 422
    assert "only an empty drawer can be retired" in text_of(refused)
    assert Drawer.objects.get(code="A-01").retired_at is None


def test_taking_out_of_use_needs_a_reason(clerk: Browser) -> None:
    factories.drawer("A-01")
    refused = set_state(clerk, "retire", reason=" ")
    assert refused.status_code == 422
    assert "This field is required" in text_of(refused)
    assert Drawer.objects.get(code="A-01").retired_at is None


def test_only_clerk_and_lead_take_a_drawer_out_of_use(client: Browser) -> None:
    factories.drawer("A-01")
    assert set_state(signed_in(client, people.tuner()), "retire").status_code == 403
    assert set_state(signed_in(client, people.lead()), "retire").status_code == 303
