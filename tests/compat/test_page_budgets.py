"""Every page keeps its budget, whoever opens or sends it with whatever typed: no error of the program, no page that
swells with what was sent or with what lies on the shelf."""

from __future__ import annotations

import random
import re
import time
from typing import Any

import pytest
from django.test import Client

from compat.questions.asks import QUESTIONS
from inventory.people.roles import Role
from tests import full_shop, people
from tests.api.conftest import REBOUND
from tests.api.test_budgets import LONG, shop
from tests.budgets import LARGEST_KB, PAGES, STALLED_S
from tests.counter.test_access import pages
from tests.visiting import signed_in

__all__ = ["shop"]  # the fixture of a full shelf

STAFF = {Role.CLERK: people.clerk, Role.TUNER: people.tuner, Role.LEAD: people.lead}
TYPED = (
    *("", "12", "12,5", "11.97..12.00 (11.99)", "34x0.15 x3", "30 0.15", "M12x1.25", "HA-46", "222", "yes", "on", "-1"),
    *("0", "9" * 30, "Ø34", "x" * 60, "20: 46.01 46.02", "0.05 42.5\n0.1 80\n0.15 120", "main", "rebound", "<b>&\"'"),
    *LONG,
)
ADDRESSES = [address for _, address, _ in pages()]
NAME = re.compile(r'name="([^"]{1,80})"')
BENCH = {"damper": "HA-46", "stand_ins": "on", "spacer": "on", "nut": "on"}


def test_every_page_has_a_budget_and_no_other() -> None:
    assert set(ADDRESSES) == set(PAGES)
    assert all(budget.kilobytes <= LARGEST_KB and budget.seconds < STALLED_S for budget in PAGES.values())


def _known(address: str, shop: dict[str, list[str]]) -> str:
    own = {**shop, "drawers": [full_shop.SHIM_DRAWER], "fit": sorted(QUESTIONS)}
    return re.sub(r"(\w+)/\{\}", lambda found: f"{found[1]}/{own[found[1]][0]}", address)


@pytest.mark.parametrize("role", sorted(STAFF))
def test_whatever_is_typed_is_answered_within_the_budget(role: Role, shop: dict[str, list[str]]) -> None:
    draw, wrong, slowest = random.Random(role), list[str](), list[tuple[float, str]]()
    browser = signed_in(Client(raise_request_exception=False), STAFF[role]())

    def held_to(address: str, reply: Any, started: float, sent: Any) -> None:
        seconds = time.perf_counter() - started
        slowest.append((seconds, address))
        long = len(reply.content) > PAGES[address].kilobytes * 1000
        if reply.status_code >= 500 or long or seconds > STALLED_S:
            told = str(sent)[:500]
            wrong.append(f"{address}: {reply.status_code}, {len(reply.content)} bytes, {seconds:.1f} s for {told}")

    opened = 0
    for address in ADDRESSES:
        if address in ("/sign-out", "/lock"):  # they end the visit; what they take is a key
            continue
        paths = [_known(address, shop)]
        if address == "/fit/{}":
            paths = [f"/fit/{question}" for question in sorted(QUESTIONS) if question not in ("parts-by-size",)]
        if address == "/drawers/{}":
            paths += [f"{paths[0]}?count", f"/drawers/{full_shop.RING_DRAWER}"]
        for path in paths:
            started = time.perf_counter()
            reply = browser.get(path)
            held_to(address, reply, started, "GET")
            opened += reply.status_code == 200
            names = sorted(set(NAME.findall(reply.content.decode())) - {"viewport", "csrfmiddlewaretoken"})[:200]
            for query in ({"q": draw.choice(TYPED)[:2_000], "page": "9" * 20, "bore": "12", "kind": "oring"},):
                started = time.perf_counter()
                held_to(address, browser.get(path, query), started, query)
            for _ in range(2):
                data = {name: draw.choice(TYPED) for name in names if draw.random() < 0.5} | {"also_sent": "x"}
                if address.startswith("/bench"):
                    data |= BENCH | {"main-rebound-text": draw.choice(TYPED), "do": draw.choice(("", "plan", "save"))}
                # as many of the fields as one body may have
                while sum(map(len, data.values())) * 3 > 200_000:
                    data.popitem()
                started = time.perf_counter()
                held_to(address, browser.post(path, data), started, {name: text[:40] for name, text in data.items()})
    print(*(f"{seconds:.2f} s {address}" for seconds, address in sorted(slowest, reverse=True)[:5]), sep="\n")
    assert wrong == []
    assert opened > 20


def test_lines_of_the_bench_that_cannot_be_read_are_told_up_to_a_number(shop: dict[str, list[str]]) -> None:
    browser = signed_in(Client(raise_request_exception=False), people.tuner())
    few = browser.post("/bench", {**BENCH, "main-rebound-text": "bad\n" * 900})
    assert few.status_code in (200, 422) and few.content.count(b"Line ") <= 30
    assert b"from here on nothing was read" in few.content.lower()
    many = browser.post("/bench", {**BENCH, "main-rebound-text": "x\n" * 40_000})
    assert many.status_code in (200, 422) and b"longer than 4000 signs" in many.content
    assert len(many.content) < PAGES["/bench"].kilobytes * 1000
    quotes = browser.post("/bench", {**BENCH, "main-rebound-text": '"' * 250_000})
    assert quotes.status_code == 200 and 1_400_000 < len(quotes.content) < PAGES["/bench"].kilobytes * 1000
    good = "\n".join(f"{one['od_mm']}x{one['thickness_mm']} x{one['quantity']}" for one in REBOUND)
    assert b"nothing was read" not in browser.post("/bench", {**BENCH, "main-rebound-text": good}).content


def test_a_form_that_is_too_large_is_told_how_large_it_may_be(shop: dict[str, list[str]]) -> None:
    browser = signed_in(Client(raise_request_exception=False), people.tuner())
    large = browser.post("/bench", {**BENCH, "main-rebound-text": "x" * 300_000}, content_type="text/plain")
    assert large.status_code < 500
    reply = browser.generic("POST", "/bench", "text=" + "x" * 300_000, content_type="application/x-www-form-urlencoded")
    assert reply.status_code == 413 and b"262144 bytes" in reply.content
    fields = "&".join(f"a{number}=1" for number in range(1_200))
    reply = browser.generic("POST", "/bench", fields, content_type="application/x-www-form-urlencoded")
    assert reply.status_code == 413 and b"1000 values" in reply.content


def test_a_drawer_with_more_lots_than_a_sheet_takes_is_counted_on_several(shop: dict[str, list[str]]) -> None:
    browser = signed_in(Client(raise_request_exception=False), people.clerk())
    address = f"/drawers/{full_shop.SHIM_DRAWER}"
    assert b"And 100 lots more" in browser.get(address).content
    first, second = (browser.get(f"{address}?count&sheet={number}").content.decode() for number in (1, 2))
    lots = [set(re.findall(r'name="lot-(\d+)"', sheet)) for sheet in (first, second)]
    assert [len(one) for one in lots] == [250, 50] and not lots[0] & lots[1]
    key = re.search(r'name="once" value="([^"]+)"', second)
    assert key is not None
    balance = min(lots[1])
    read = re.search(rf'name="read-{balance}" value="(\d+)"', second)
    assert read is not None
    sent = {"deed": "count", "once": key[1], f"lot-{balance}": "3", f"read-{balance}": read[1]}
    assert browser.post(address, sent).status_code == 303
