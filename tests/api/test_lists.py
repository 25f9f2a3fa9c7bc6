"""Lists: every row exactly once, page by page, in a fixed number of queries however many rows there are."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import pytest

from inventory.api import receiving, showing
from inventory.holds.requests import Wanted
from tests import factories, people
from tests.api.conftest import (
    STACKS,
    Caller,
    caller,
    damper_document,
    fed,
    fields,
    ok,
    problem,
    saved_damper,
    statements,
)

pytestmark = pytest.mark.django_db


def shelve(numbers: Iterable[int]) -> None:
    """A part of another kind for each number, each with a measured lot in a drawer of its own."""
    makers = (factories.shim, factories.nut, factories.washer, factories.piston)
    for number in numbers:
        made = makers[number % len(makers)](number=f"P-{number:03}")
        readings = [150, 151] if made.kind == "shim" else []
        factories.stocked(made, 20, drawer=f"D-{number:03}", lot=f"L-{number:03}", readings_um=readings)


def set_aside(numbers: Iterable[int]) -> None:
    shelve(numbers)
    for number in numbers:
        factories.held(Wanted(quantity=1, part=f"P-{number:03}"))


def model(numbers: Iterable[int]) -> None:
    for number in numbers:
        saved_damper(damper_document(f"M-{number:03}"))


def deliver(numbers: Iterable[int]) -> None:
    shelve(numbers)
    clerk = caller(people.clerk())
    for number in numbers:
        delivery = ok(clerk.post("/deliveries", {"number": f"DL-{number}", "supplier": f"S{number}"}), 201)["id"]
        for lot in ("a", "b"):
            line = {"part": f"P-{number:03}", "lot": f"X-{number}{lot}", "drawer": f"D-{number:03}", "quantity": 1}
            ok(clerk.post(f"/deliveries/{delivery}/lines", line), 201)


def jobs(numbers: Iterable[int]) -> None:
    lead = caller(people.lead())
    for number in numbers:
        ok(lead.post("/jobs", {"number": f"J-{number}", "title": "t"}), 201)


# Address, what fills it, and how many statements one page takes, the key's included.
LISTS: list[tuple[str, Callable[[Iterable[int]], None], int]] = [
    ("/parts", shelve, 8),
    ("/lots", shelve, 7),
    ("/drawers", shelve, 5),
    ("/movements", shelve, 2),
    ("/holds", set_aside, 4),
    ("/dampers", model, 3),
    ("/deliveries", deliver, 3),
    ("/jobs", jobs, 2),
    ("/changes", set_aside, 4),  # one of them asks when the shelf was last put back from a copy
]
COMMITTED = pytest.mark.django_db(transaction=True)  # PostgreSQL's feed shows what is committed
CASES = [
    pytest.param(path, fill, count, id=path, marks=[COMMITTED] if path == "/changes" else [])
    for path, fill, count in LISTS
]


@pytest.mark.parametrize(("path", "fill", "count"), CASES)
def test_a_page_takes_as_many_statements_for_sixty_rows_as_for_four(
    lead: Caller, path: str, fill: Callable[[Iterable[int]], None], count: int
) -> None:
    taken = []
    for numbers in (range(4), range(4, 64)):
        fill(numbers)
        if path == "/changes":
            fed(lead)
        with statements() as sent:
            found = ok(lead.get(f"{path}?page_size=200"))["results"]
        taken.append(len(sent))
        assert len(found) >= numbers.stop
    assert taken == [count, count], "\n".join(sent)


def test_one_row_takes_a_fixed_number_of_statements(lead: Caller) -> None:
    set_aside(range(3))
    for path, most in (("/parts/P-000", 5), ("/dampers/HA-46", 2), ("/jobs/J-1", 2)):
        if path.startswith("/dampers"):
            saved_damper()
        if path.startswith("/jobs"):
            jobs([1])
        with statements() as sent:
            ok(lead.get(path))
        assert len(sent) <= most, "\n".join(sent)


@pytest.mark.parametrize("size", [1, 2, 3, 7, 50])
def test_walking_a_list_gives_every_row_exactly_once(lead: Caller, size: int) -> None:
    shelve(range(7))
    found = [row["number"] for row in lead.walk(f"/parts?page_size={size}")]
    assert found == [f"P-{number:03}" for number in range(7)]


@pytest.mark.parametrize(
    ("path", "name"), [("/parts", "number"), ("/lots", "number"), ("/drawers", "code"), ("/movements", "id")]
)
def test_rows_that_are_added_meanwhile_make_nothing_appear_twice_or_vanish(lead: Caller, path: str, name: str) -> None:
    shelve(range(5))
    before = [row[name] for row in ok(lead.get(path))["results"]]
    coming = iter(range(5, 9))

    def add() -> None:
        for number in coming:
            shelve([number])
            return

    found = [row[name] for row in lead.walk(f"{path}?page_size=2", between=add)]
    after = [row[name] for row in ok(lead.get(path))["results"]]
    assert len(found) == len(set(found))
    assert found[: len(before)] == before
    assert set(before) < set(found) <= set(after)


def test_the_last_page_says_so_even_when_it_is_full(lead: Caller) -> None:
    shelve(range(4))
    first = ok(lead.get("/parts?page_size=2"))
    second = ok(lead.get(f"/parts?page_size=2&cursor={first['next']}"))
    assert len(second["results"]) == 2
    assert second["next"] is None


def test_an_empty_list_is_a_list(lead: Caller) -> None:
    for path in ("/parts", "/lots", "/drawers", "/movements", "/deliveries", "/dampers", "/holds", "/jobs"):
        assert ok(lead.get(path)) == {"results": [], "next": None}


def test_a_list_without_page_size_gives_fifty(lead: Caller) -> None:
    shelve(range(51))
    page = ok(lead.get("/parts"))
    assert len(page["results"]) == 50
    assert page["next"]


# --- what stands inside a row


def test_a_delivery_tells_its_last_lines_and_all_of_them_page_by_page(
    lead: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(receiving, "MOST_LINES", 3)
    shelve([1])
    small, large = (ok(lead.post("/deliveries", {"number": number}), 201)["id"] for number in ("small", "large"))
    for delivery, count in ((large, 7), (small, 2)):
        for number in range(count):
            line = {"part": "P-001", "lot": f"{delivery}-{number}", "drawer": "D-001", "quantity": 1}
            told = ok(lead.post(f"/deliveries/{delivery}/lines", line), 201)
    every = [f"{large}-{number}" for number in range(7)]
    for one in (told, ok(lead.get(f"/deliveries/{small}"))):
        assert ([line["lot"] for line in one["lines"]], one["lines_in_all"]) == ([f"{small}-0", f"{small}-1"], 2)
    assert {row["id"]: len(row["lines"]) for row in lead.walk("/deliveries")} == {small: 2, large: 3}
    one = ok(lead.get(f"/deliveries/{large}"))
    assert ([line["lot"] for line in one["lines"]], one["lines_in_all"]) == (every[-3:], 7)
    assert [line["lot"] for line in lead.walk(f"/deliveries/{large}/lines?page_size=2")] == every
    empty = ok(lead.post("/deliveries", {"number": "empty"}), 201)
    assert (empty["lines"], empty["lines_in_all"]) == ([], 0)
    assert ok(lead.get(f"/deliveries/{empty['id']}/lines")) == {"results": [], "next": None}
    problem(lead.get("/deliveries/999999/lines"), 404, "not_found")


def test_a_drawer_tells_so_many_lots_and_how_many_there_are(lead: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(showing, "MOST_LOTS", 3)
    part = factories.shim(number="A")
    for number in range(7):
        factories.stocked(part, 1, drawer="full", lot=f"L-{number}")
    factories.stocked(part, 1, drawer="other", lot="L-9")
    factories.drawer("empty")
    rows = {row["code"]: row for row in lead.walk("/drawers")}
    shown = {code: ([lot["lot"] for lot in row["lots"]], row["lots_in_all"]) for code, row in rows.items()}
    assert shown == {"full": (["L-0", "L-1", "L-2"], 7), "other": (["L-9"], 1), "empty": ([], 0)}
    assert len(list(lead.walk("/lots?drawer=full&page_size=2"))) == 7


# --- filters


def test_parts_are_found_by_kind_and_by_ranges_of_sizes(lead: Caller) -> None:
    for od, thickness in ((30, 0.15), (34, 0.15), (34, 0.2), (40, 0.15)):
        factories.shim(od, thickness, number=f"S-{od}-{thickness}")
    factories.nut(number="N")
    factories.shim(34, 0.15, number="S-notched", form="notched")

    def numbers(query: str) -> set[str]:
        return {row["number"] for row in lead.walk(f"/parts?{query}&page_size=2")}

    assert numbers("kind=nut") == {"N"}
    assert numbers("kind=shim&od_mm_min=31&od_mm_max=34&form=round") == {"S-34-0.15", "S-34-0.2"}
    assert numbers("thickness_mm_min=0.15&thickness_mm_max=0.15&form=round") == {"S-30-0.15", "S-34-0.15", "S-40-0.15"}
    assert numbers("form=notched") == {"S-notched"}
    assert numbers("thread=M12x1.25") == {"N"}
    assert numbers("number=N") == {"N"}
    assert numbers("od_mm_min=100") == set()


def test_a_filter_that_names_an_unknown_word_is_refused(lead: Caller) -> None:
    assert fields(problem(lead.get("/parts?kind=spring"), 400, "invalid")) == {"kind"}
    assert fields(problem(lead.get("/lots?condition=old"), 400, "invalid")) == {"condition"}
    assert fields(problem(lead.get("/holds?state=gone"), 400, "invalid")) == {"state"}
    assert fields(problem(lead.get("/parts?retired=perhaps"), 400, "invalid")) == {"retired"}


def test_retired_parts_are_told_apart(lead: Caller) -> None:
    from inventory.catalogue.services import retire_part
    from inventory.common.transactions import use_case

    gone = factories.shim(number="gone")
    factories.shim(number="kept")
    use_case(lambda: retire_part(part=gone))
    for word, number in (("true", "gone"), ("false", "kept")):
        rows = ok(lead.get(f"/parts?retired={word}"))["results"]
        assert [(row["number"], row["retired"]) for row in rows] == [(number, word == "true")]


def test_lots_and_drawers_and_movements_are_found_by_what_they_touch(lead: Caller) -> None:
    shelve(range(4))
    assert [row["number"] for row in lead.walk("/lots?part=P-002")] == ["L-002"]
    assert [row["number"] for row in lead.walk("/lots?drawer=D-001")] == ["L-001"]
    assert [row["number"] for row in lead.walk("/lots?number=L-003&condition=new")] == ["L-003"]
    drawer = next(lead.walk("/drawers?code=D-002"))
    amounts = {"on_hand": 20, "held": 0, "available": 20, "over_age": 0, "age_to_check": 0}
    assert drawer["lots"] == [{"lot": "L-002", "part": "P-002", **amounts}]
    assert drawer["lots_in_all"] == 1
    for query in ("lot=L-001", "part=P-001", "drawer=D-001"):
        rows = list(lead.walk(f"/movements?{query}"))
        assert [(row["lot"], row["on_hand_delta"], row["on_hand"], row["version"]) for row in rows] == [
            ("L-001", 20, 20, 1)
        ]


def test_the_ledger_over_http_says_who_why_and_what_it_came_to(lead: Caller, storefront: Caller) -> None:
    shelve([1])
    hold = ok(storefront.post("/holds", {"lines": [{"part": "P-001", "quantity": 3}]}), 201)["id"]
    row = next(lead.walk(f"/movements?cause_kind=hold&cause_id={hold}"))
    assert (row["who"], row["reason"], row["held_delta"], row["held"]) == ("web shop", "held", 3, 3)
    assert row["cause"] == {"kind": "hold", "id": hold}
    assert row["at"].endswith("Z")


def test_saved_stacks_are_listed_by_name_with_their_latest_revision(lead: Caller) -> None:
    code = saved_damper()
    for name in ("Trail", "Road", "Trail"):
        ok(lead.post(f"/dampers/{code}/stacks", {"name": name, "stacks": STACKS}), 201)
    rows = ok(lead.get(f"/dampers/{code}/stacks"))["results"]
    assert [(row["name"], row["revision"]) for row in rows] == [("Road", 1), ("Trail", 2)]
    assert rows[0]["stacks"]["compression"][0]["od_mm"] == 36
