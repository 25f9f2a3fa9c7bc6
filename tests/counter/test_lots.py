"""One lot: what it is, where it lies, its history in words, correcting it, and measuring it."""

from __future__ import annotations

import re
from datetime import date, timedelta
from functools import partial
from typing import Any

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from compat.engineering.shims import MEASURED_FROM
from inventory.amendments.models import Amendment
from inventory.catalogue.models import Supplier
from inventory.common.clock import today
from inventory.common.transactions import use_case
from inventory.counter.browsing import dot_strip, ledger_rows
from inventory.counter.browsing.lots import SEVERAL
from inventory.holds.requests import Wanted
from inventory.holds.services import release_hold
from inventory.jobs.services import hold_for, open_job
from inventory.receiving.models import DeliveryLine
from inventory.receiving.services import add_delivery_line, count_balance, start_delivery
from inventory.receiving.undoing import undo_line
from inventory.stock.models import Condition, Lot, Reading
from inventory.stock.services import NewLot, drawer_called
from tests import factories, people
from tests.conftest import HeldClock
from tests.visiting import signed_in, text_of

pytestmark = pytest.mark.django_db

EDIT = {"supplier": "", "source": "bag 3", "received_on": "2026-01-02", "cure_date": "", "reason": "misread"}


@pytest.fixture
def clerk(client: Browser) -> Browser:
    return signed_in(client, people.clerk())


def read_of(client: Browser, number: str = "L-1") -> str:
    """What a form that is opened now says that its author has read."""
    found = re.search(r'name="read" value="([^"]+)"', client.get(f"/lots/{number}").content.decode())
    assert found is not None
    return found[1]


def edit(client: Browser, *, read: str = "", once: str = "k1", number: str = "L-1", **fields: str) -> Any:
    sent = {**EDIT, **fields, "deed": "edit", "read": read or read_of(client, number), "once": once}
    return client.post(f"/lots/{number}", sent)


def measure(client: Browser, readings: str, *, once: str = "k1") -> Any:
    return client.post("/lots/L-1", {"deed": "measure", "readings": readings, "once": once})


# --- looking


def test_a_lot_says_what_it_is_and_where_it_lies(clerk: Browser) -> None:
    part = factories.shim(34, 0.15)
    factories.stocked(part, 40, lot="L-1", drawer="B-02", condition=Condition.TAKE_OFF, received_on=date(2026, 1, 5))
    said = text_of(clerk.get("/lots/L-1"))
    assert "Lot L-1 : 34 x 0.15 mm, bore 12 mm" in said
    assert "Condition take-off" in said
    assert "Received on 2026-01-05" in said
    assert "B-02 40 40 0" in said


def test_readings_are_shown_with_who_took_them_mean_and_spread(clerk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 40, lot="L-1", readings_um=[149, 151, 153])
    page = clerk.get("/lots/L-1")
    assert "Runa Feldmark 0.149 0.151 0.153 0.1510 0.004" in text_of(page)
    assert "Measured 0.1510 mm (of 3, spread 0.004 mm)" in text_of(page)
    assert page.content.decode().count("<circle") == 3


def test_what_too_few_readings_leave_open_is_said(clerk: Browser) -> None:
    """One reading shows no scatter, so none is shown; below three the strip's tolerance counts, as answers do it."""
    assert SEVERAL == MEASURED_FROM == 3
    few = "Fewer than three readings count: until there are three, answers use at least the tolerance of the strip."
    factories.stocked(factories.shim(34, 0.15), 40, lot="L-1", readings_um=[149, 151, 153])
    assert few not in text_of(clerk.get("/lots/L-1"))
    withdraw(clerk, 149)
    said = text_of(clerk.get("/lots/L-1"))
    assert few in said and "(of 2, spread 0.002 mm)" in said
    withdraw(clerk, 151)
    said = text_of(clerk.get("/lots/L-1"))
    assert few in said and "Measured 0.1530 mm (one reading)" in said and "spread 0.00" not in said
    withdraw(clerk, 153)
    said = text_of(clerk.get("/lots/L-1"))
    assert few in said and "Measured not measured" in said


def test_the_page_holds_no_style_and_no_script_of_its_own(clerk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 40, lot="L-1", readings_um=[149, 151, 153])
    html = clerk.get("/lots/L-1").content.decode()
    assert " style=" not in html
    assert not re.search(r"<script(?![^>]*\bsrc=)", html)


def test_holds_are_shown_with_whom_they_are_for(clerk: Browser) -> None:
    factories.stocked(factories.shim(), 40, lot="L-1")
    use_case(lambda: open_job(number="J-7", title="Rear"))
    lines = [Wanted(quantity=4, lot="L-1")]
    use_case(lambda: hold_for(lines=lines, job="J-7", minutes=None, actor=people.tuner()))
    factories.held(Wanted(quantity=2, lot="L-1"))
    said = text_of(clerk.get("/lots/L-1"))
    assert "4 for job J-7 Rear" in said
    assert "2 for a web order of web shop until" in said


def test_a_lapsed_hold_is_not_shown_as_held(clerk: Browser, clock: HeldClock) -> None:
    factories.stocked(factories.shim(), 40, lot="L-1")
    factories.held(Wanted(quantity=2, lot="L-1"), minutes=5)
    clock.advance(minutes=6)
    signed_in(clerk, people.clerk())
    assert "Nothing is held" in text_of(clerk.get("/lots/L-1"))


def test_a_lot_that_is_none_is_not_found(clerk: Browser) -> None:
    assert clerk.get("/lots/L-99").status_code == 404


def test_other_kinds_have_no_readings(clerk: Browser) -> None:
    factories.stocked(factories.nut(), 4, lot="L-1")
    assert "Add readings" not in text_of(clerk.get("/lots/L-1"))


# --- history


def test_the_history_tells_every_kind_of_change_in_words_newest_first(clerk: Browser, clock: HeldClock) -> None:
    part, actor = factories.shim(), people.clerk()
    began = use_case(
        lambda: start_delivery(number="D-014", supplier="", note="", received_on=None, actor=actor),
    )

    def line() -> None:
        new = NewLot(part=part, drawer=drawer_called("A-01"), quantity=12, received_on=today(), number="L-1")
        add_delivery_line(delivery=began, new=new, actor=actor)

    use_case(line)
    use_case(lambda: open_job(number="J-7", title="Rear"))
    clock.advance(minutes=1)
    lines = [Wanted(quantity=4, lot="L-1")]
    job = use_case(lambda: hold_for(lines=lines, job="J-7", minutes=None, actor=people.tuner())).hold
    clock.advance(minutes=1)
    use_case(lambda: count_balance(lot="L-1", drawer="A-01", counted=3, actor=actor))
    clock.advance(minutes=1)
    use_case(lambda: release_hold(hold=job.pk, actor=people.tuner()))
    web = factories.held(Wanted(quantity=2, lot="L-1"), minutes=5).hold
    clock.advance(minutes=6)
    use_case(lambda: count_balance(lot="L-1", drawer="A-01", counted=4, actor=actor))
    signed_in(clerk, actor)
    page = clerk.get("/lots/L-1")
    history = text_of(page).split(" History ")[1]
    told = [
        "counted: 1 more than the ledger had A-01 +1 4 on hand, 0 held Runa Feldmark",
        f"2 free again, lapsed: hold {web.pk} A-01 \N{MINUS SIGN}2 held 3 on hand, 0 held Runa Feldmark",
        f"2 held for a web order of web shop, hold {web.pk} A-01 +2 held 3 on hand, 2 held web shop",
        f"3 free again, released: hold {job.pk} A-01 \N{MINUS SIGN}3 held 3 on hand, 0 held Ossian Tarn",
        "counted: 9 fewer than the ledger had A-01 \N{MINUS SIGN}9 3 on hand, 3 held Runa Feldmark",
        f"1 lost to a count: hold {job.pk} A-01 \N{MINUS SIGN}1 held 12 on hand, 3 held Runa Feldmark",
        f"4 held for job J-7, hold {job.pk} A-01 +4 held 12 on hand, 4 held Ossian Tarn",
        "12 came in with delivery D-014 A-01 +12 12 on hand, 0 held Runa Feldmark",
    ]
    places = [history.index(words) for words in told]
    assert places == sorted(places)
    assert f'href="/deliveries/{began.pk}"' in page.content.decode()
    assert f'href="/holds/{job.pk}"' in page.content.decode()


def test_a_line_that_was_undone_is_told_with_its_reason_and_what_holds_lost(clerk: Browser) -> None:
    part, actor = factories.shim(), people.clerk()
    began = use_case(lambda: start_delivery(number="D-1", supplier="", note="", received_on=None, actor=actor))

    def come_in() -> DeliveryLine:
        new = NewLot(part=part, drawer=drawer_called("A-01"), quantity=12, received_on=today(), number="L-1")
        return add_delivery_line(delivery=began, new=new, actor=actor)

    line = use_case(come_in)
    hold = factories.held(Wanted(quantity=2, lot="L-1")).hold
    use_case(lambda: undo_line(delivery=began.pk, line=line.pk, reason="wrong bag", actor=actor))
    history = text_of(clerk.get("/lots/L-1")).split(" History ")[1]
    assert "undone, wrong bag: delivery D-1 A-01 \N{MINUS SIGN}12 0 on hand, 0 held" in history
    assert f"2 lost, since their delivery was undone: hold {hold.pk}" in history


def test_a_long_history_is_turned_over_and_every_line_stands_on_one_page(clerk: Browser, clock: HeldClock) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1", readings_um=[150])
    for counted in range(100, 100 + 2 * ledger_rows.PAGE_SIZE):
        clock.advance(minutes=1)
        use_case(partial(count_balance, lot="L-1", drawer="A-01", counted=counted, actor=people.clerk()))
        if counted in {110, 140}:
            signed_in(clerk, people.clerk())
            edit(clerk, source=f"bag {counted}", once=f"k{counted}")
    signed_in(clerk, people.clerk())
    pages = [text_of(clerk.get(f"/lots/L-1?page={page}")).split(" History ")[1] for page in (1, 2, 3)]
    counts = [page.count("counted:") for page in pages]
    assert counts == [ledger_rows.PAGE_SIZE, ledger_rows.PAGE_SIZE, 0]
    together = " ".join(pages)
    for words in ("from bag 110 to bag 140", "to bag 110", "1 reading, mean", "5 came in with"):
        assert together.count(words) == 1, words
    assert "page 2 of 3" in pages[1]


@pytest.mark.parametrize("page", ["0", "-1", "99999999999", "x", "²", "", "7"])
def test_a_page_that_is_none_is_the_first_or_the_last(clerk: Browser, page: str) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1")
    assert "5 came in" in text_of(clerk.get("/lots/L-1", {"page": page}))


def test_the_page_asks_no_more_queries_when_more_has_happened(clerk: Browser) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert clerk.get("/lots/L-1").status_code == 200
        return len(queries)

    factories.stocked(factories.shim(), 50, lot="L-1", readings_um=[150])
    factories.held(Wanted(quantity=1, lot="L-1"))
    before = asked()
    for _ in range(6):
        factories.held(Wanted(quantity=1, lot="L-1"))
        measure(clerk, "0.150 0.151", once=f"m{_}")
    assert asked() == before


# --- correcting


def test_a_correction_is_kept_with_reason_who_before_and_after(clerk: Browser) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1", received_on=date(2026, 1, 1))
    assert edit(clerk, supplier="Dunmarrow", cure_date="2025-Q4").status_code == 303
    lot = Lot.objects.select_related("supplier").get()
    assert lot.supplier is not None
    assert (lot.supplier.name, lot.source, lot.received_on, lot.cure_date) == (
        "Dunmarrow",
        "bag 3",
        date(2026, 1, 2),
        "2025-Q4",
    )
    kept = {one.field: (one.before, one.after, one.reason, str(one.person)) for one in Amendment.objects.all()}
    assert kept["received_on"] == ("2026-01-01", "2026-01-02", "misread", "Runa Feldmark")
    assert set(kept) == {"supplier", "source", "received_on", "cure_date"}
    said = text_of(clerk.get("/lots/L-1"))
    assert "corrected: received on from 2026-01-01 to 2026-01-02 misread" in said
    assert "corrected: supplier from nothing to Dunmarrow" in said


def test_a_supplier_is_taken_away_again(clerk: Browser) -> None:
    balance = factories.stocked(factories.shim(), 5, lot="L-1")
    Lot.objects.filter(pk=balance.lot_id).update(supplier=Supplier.objects.create(name="Dunmarrow"))
    edit(clerk, supplier="")
    assert Lot.objects.get().supplier is None


def test_sent_twice_it_is_corrected_once(clerk: Browser) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1")
    read = read_of(clerk)
    assert [edit(clerk, read=read, source="bag 9").status_code for _ in range(2)] == [303, 303]
    assert Amendment.objects.filter(field="source").count() == 1


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("received_on", (today() + timedelta(days=1)).isoformat(), "It must lie between 1950 and today."),
        ("received_on", "1949-12-31", "It must lie between 1950 and today."),
        ("received_on", "yesterday", "It must be a day as in 2026-03-31"),
        ("received_on", "", "This field is required."),
        ("cure_date", "2026-Q5", "It must be a quarter, as in 2026-Q3."),
        ("cure_date", "٢٠٢٦-Q1", "It must be a quarter, as in 2026-Q3."),
        ("source", "=1+1", "which a spreadsheet would run"),
        ("supplier", "x" * 81, "at most 80 characters"),
        ("reason", "", "This field is required."),
    ],
)
def test_what_is_wrong_is_said_beside_the_field_and_the_typing_kept(
    clerk: Browser, field: str, typed: str, said: str
) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1")
    again = edit(clerk, **{"source": "bag 77", field: typed})
    html = again.content.decode()
    assert again.status_code == 422
    wrong = re.search(rf'<input[^>]*name="{field}"[^>]*>.*?<p class="error"[^>]*>([^<]*)', html, re.DOTALL)
    assert wrong is not None
    assert said in wrong[1]
    assert "autofocus" in wrong[0].partition(">")[0]
    assert field == "source" or 'value="bag 77"' in html
    assert Lot.objects.get().source == ""
    assert not Amendment.objects.exists()


def test_two_people_at_once_both_see_what_the_other_wrote_and_the_second_may_insist(clerk: Browser) -> None:
    factories.stocked(factories.shim(), 5, lot="L-1", received_on=date(2026, 1, 2))
    read = read_of(clerk)
    edit(clerk, read=read, source="bag 1")
    again = edit(clerk, read=read, source="bag 2", once="k2")
    html = again.content.decode()
    assert again.status_code == 422
    assert "reads &#x27;bag 1&#x27; now; you typed &#x27;bag 2&#x27;" in html
    assert 'value="bag 2"' in html
    assert Lot.objects.get().source == "bag 1"
    anew = {name: re.search(rf'name="{name}" value="([^"]+)"', html) for name in ("read", "once")}
    assert anew["read"] is not None and anew["once"] is not None
    assert edit(clerk, read=anew["read"][1], source="bag 2", once=anew["once"][1]).status_code == 303
    assert Lot.objects.get().source == "bag 2"


# --- measuring


def test_readings_are_added_as_a_sample_of_their_own(clerk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 5, lot="L-1", readings_um=[150])
    assert measure(clerk, "0,151 .149; 0.150").status_code == 303
    assert sorted(Reading.objects.values_list("thickness_um", flat=True)) == [149, 150, 150, 151]
    assert "3 readings, mean 0.1500 mm" in text_of(clerk.get("/lots/L-1"))


def test_a_sample_of_another_size_is_stopped_with_both_sizes_and_the_typing_kept(clerk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 5, lot="L-1", readings_um=[150] * 50)
    again = measure(clerk, "0.201 0.199 0.200")
    assert again.status_code == 422
    assert "mean of 0.20 mm lies nearer to 0.20 mm than to this part's 0.15 mm" in text_of(again).replace("&#x27;", "'")
    assert 'value="0.201 0.199 0.200"' in again.content.decode()
    assert Reading.objects.count() == 50


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "This field is required."),
        ("0.15 thin", "thin"),
        ("150", "is no thickness of this part; is the unit right?"),
        ("0.15,0.16", "separate the readings by blanks"),
        ("0.15 " * 201, "At most 200 readings at once."),
    ],
)
def test_what_is_no_reading_is_refused(clerk: Browser, typed: str, said: str) -> None:
    factories.stocked(factories.shim(34, 0.15), 5, lot="L-1")
    again = measure(clerk, typed)
    assert again.status_code == 422
    assert said in text_of(again)
    assert not Reading.objects.exists()


def test_a_sample_sent_twice_is_kept_once(clerk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 5, lot="L-1")
    assert [measure(clerk, "0.15 0.151").status_code for _ in range(2)] == [303, 303]
    assert Reading.objects.count() == 2


def test_the_tuner_looks_and_changes_nothing(client: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 5, lot="L-1")
    tuner = signed_in(client, people.tuner())
    html = tuner.get("/lots/L-1").content.decode()
    assert "Correct this" not in html
    assert "Add readings" not in html
    assert measure(tuner, "0.15").status_code == 403
    assert edit(tuner, read="x").status_code == 403
    assert not Reading.objects.exists()
    assert not Amendment.objects.exists()


# --- the strip of dots


def test_each_reading_is_a_dot_and_equal_ones_are_stacked() -> None:
    found = dot_strip.strip([150, 150, 152], 150)
    assert found is not None
    assert len({(dot.x, dot.y) for dot in found.dots}) == 3
    assert found.dots[0].x == found.dots[1].x == found.nominal_x
    assert (found.low, found.high, found.nominal) == ("0.15", "0.152", "0.15")


def test_dots_lie_in_the_order_of_their_thickness_inside_the_drawing() -> None:
    found = dot_strip.strip([120, 150, 400], 150)
    assert found is not None
    xs = [float(dot.x) for dot in found.dots]
    assert xs == sorted(xs)
    assert xs[0] > 0 and xs[-1] < float(found.width)


def test_many_equal_readings_stay_inside_the_drawing() -> None:
    found = dot_strip.strip([150] * 200, 150)
    assert found is not None
    assert all(0 < float(dot.y) < float(found.base) for dot in found.dots)


def test_no_readings_make_no_strip() -> None:
    assert dot_strip.strip([], 150) is None


# --- withdrawing readings


def withdraw(browser: Browser, *um: int, reason: str = "another bag's") -> Any:
    keys = [str(Reading.every.get(thickness_um=one).pk) for one in um]
    once = "-".join(("k", *keys))
    return browser.post("/lots/L-1", {"deed": "withdraw", "readings": keys, "reason": reason, "once": once})


def test_readings_are_withdrawn_with_a_reason_and_struck_through(clerk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 40, lot="L-1", readings_um=[149, 151, 180])
    assert "Withdraw readings" in text_of(clerk.get("/lots/L-1"))
    assert withdraw(clerk, 180).status_code == 303
    page = clerk.get("/lots/L-1")
    said, html = text_of(page), page.content.decode()
    assert "Measured 0.1500 mm (of 2, spread 0.002 mm)" in said
    assert "0.149 0.151 0.18 0.1500 0.002" in said and ">0.18</s>" in html
    assert html.count("<circle") == 2
    assert re.search(r"withdrawn: the reading 0.18 mm.*another bag&#x27;s", html, re.DOTALL)
    # What was taken stays in the history as it was taken.
    assert "3 readings, mean 0.1600 mm" in said


def test_when_every_reading_is_withdrawn_the_lot_reads_as_not_measured(clerk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 40, lot="L-1", readings_um=[149, 151])
    withdraw(clerk, 149, 151)
    page = clerk.get("/lots/L-1")
    assert "Measured not measured" in text_of(page) and "Withdraw readings" not in text_of(page)
    assert "<circle" not in page.content.decode()


def test_a_withdrawal_without_a_reading_or_a_reason_says_so_and_keeps_the_choice(clerk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 40, lot="L-1", readings_um=[149, 180])
    refused = withdraw(clerk, 180, reason="")
    assert refused.status_code == 422 and "This field is required" in text_of(refused)
    assert refused.content.decode().count(" checked") == 1
    assert "Choose the readings that do not count." in text_of(withdraw(clerk))
    assert Reading.objects.count() == 2


def test_a_reading_that_somebody_else_withdrew_meanwhile_is_named(clerk: Browser) -> None:
    factories.stocked(factories.shim(34, 0.15), 40, lot="L-1", readings_um=[149, 180])
    withdraw(clerk, 180)
    keys = [str(Reading.every.get(thickness_um=180).pk)]
    again = clerk.post("/lots/L-1", {"deed": "withdraw", "readings": keys, "reason": "mixed", "once": "k2"})
    assert again.status_code == 422 and "has withdrawn reading" in text_of(again)


# --- shelf life


@pytest.mark.parametrize(
    ("cured", "compound", "words"),
    [
        ("2015-Q2", "NBR", "over-age: do not fit"),
        ("2021-Q3", "NBR", "inspection due"),
        ("", "NBR", "age unknown"),
        ("2029-Q1", "unknown", "age unknown"),
        ("2029-Q1", "NBR", ""),
    ],
)
def test_the_age_of_a_seal_is_named_on_its_lot_and_its_drawer(
    clerk: Browser, clock: HeldClock, cured: str, compound: str, words: str
) -> None:
    """By ISO 2230 on 2030-03-04: NBR 7 years, and 3 after an inspection (as tabulated openly)."""
    signed_in(clerk, people.clerk())
    factories.stocked(factories.oring(compound=compound), 5, lot="L-1", drawer="R-1", cure_date=cured)
    for address in ("/lots/L-1", "/drawers/R-1"):
        said = text_of(clerk.get(address))
        for known in ("over-age: do not fit", "inspection due", "age unknown"):
            assert (known in said) == (known == words)
    assert ("until 2036-03-31" in text_of(clerk.get("/lots/L-1"))) == (not words)
