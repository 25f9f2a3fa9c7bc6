"""Taking in while somebody retires, resizes, or takes in beside: first without locks, to see that the race is there."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.common.transactions import use_case
from inventory.receiving.models import DeliveryLine
from inventory.receiving.services import count_balance, start_delivery
from inventory.stock import replay
from inventory.stock.models import Balance, Drawer, Lot, Movement
from tests import factories, people
from tests.concurrency import crowd
from tests.concurrency.crowd import Told

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

# What the one does in a transaction that takes a while, and the other beside it.
RACES = ["retire_part", "resize_part", "retire_drawer"]


def shelf() -> None:
    people.clerk()
    factories.shim(number="S-1", od_mm=34)
    factories.drawer("A-01")


def both(url: str, edit: str, file: bool, *, locking: bool = True) -> list[Told]:
    """One takes in slowly, by hand or from a file; the other edits as soon as the first has looked."""
    members: list[dict[str, Any]] = [{"edit": "", "file": file}, {"edit": edit}]
    return crowd.run(url, "take_in_against", *members, locking=locking)


def contradictions() -> list[str]:
    """What no order of the two could have left behind."""
    part, drawer = Part.objects.get(number="S-1"), Drawer.objects.get(code="A-01")
    came_in = Lot.objects.filter(part=part).exists()
    wrong = []
    if part.retired_at and Movement.objects.filter(balance__lot__part=part, at__gte=part.retired_at).exists():
        wrong.append("a lot came in of a part that was retired")
    if came_in and Shim.objects.get(pk=part.pk).od_um != 34_000:
        wrong.append("a lot of other sizes than it came in with")
    if drawer.retired_at is not None and Balance.objects.filter(drawer=drawer, on_hand__gt=0).exists():
        wrong.append("pieces in a drawer out of use")
    return wrong + replay.faults()


@pytest.mark.parametrize("file", [False, True], ids=["by hand", "from a file"])
@pytest.mark.parametrize("edit", RACES)
def test_without_locks_a_part_or_drawer_changes_under_who_takes_in(database_url: str, edit: str, file: bool) -> None:
    shelf()
    told = both(database_url, edit, file, locking=False)
    assert [text for one in told for text in [*one.busy, *one.errors]] + contradictions()


@pytest.mark.parametrize("file", [False, True], ids=["by hand", "from a file"])
@pytest.mark.parametrize("edit", RACES)
def test_with_locks_one_of_the_two_comes_first(database_url: str, edit: str, file: bool) -> None:
    shelf()
    told = both(database_url, edit, file)
    assert [text for one in told for text in one.errors] == []
    assert contradictions() == []
    # The one who looked first takes in. Sizes freeze and a drawer with pieces stays; a part may be retired afterwards.
    assert told[0].done["ended"] == "taken in"
    if edit != "retire_part":
        assert told[1].done["ended"] == {"resize_part": "sizes_frozen", "retire_drawer": "drawer_not_empty"}[edit]


def a_delivery() -> int:
    shelf()
    factories.stocked(Part.objects.get(), 1, lot="L-0")
    actor = people.clerk()
    made = use_case(lambda: start_delivery(number="D-1", supplier="", note="", received_on=None, actor=actor))
    return int(made.pk)


def test_without_locks_two_at_one_delivery_give_a_lot_the_same_number(database_url: str) -> None:
    delivery = a_delivery()
    members = [{"delivery": delivery, "lines": 6, "me": me, "other": 1 - me} for me in (0, 1)]
    told = crowd.run(database_url, "take_lines", *members, locking=False)
    assert [text for one in told for text in [*one.busy, *one.errors, *one.done.get("refused", [])]]


def test_two_at_one_delivery_are_refused_nothing_and_number_one_after_the_other(database_url: str) -> None:
    delivery = a_delivery()
    members = [{"delivery": delivery, "lines": 6, "me": me, "other": 1 - me} for me in (0, 1)]
    told = crowd.run(database_url, "take_lines", *members)
    assert [text for one in told for text in [*one.busy, *one.errors]] == []
    assert [one.done for one in told] == [{"refused": []}] * 2
    numbers = DeliveryLine.objects.values_list("lot__number", flat=True)
    assert sorted(numbers) == sorted(f"D-1-{place}" for place in range(1, 13))


def test_without_locks_a_counted_drawer_is_taken_out_of_use(database_url: str) -> None:
    shelf()
    emptied()
    told = crowd.run(database_url, "count_against", {"deed": "count"}, {"deed": "retire"}, locking=False)
    assert [text for one in told for text in [*one.busy, *one.errors]] + contradictions()


def test_a_drawer_in_which_pieces_are_counted_stays_in_use(database_url: str) -> None:
    shelf()
    emptied()
    told = crowd.run(database_url, "count_against", {"deed": "count"}, {"deed": "retire"})
    assert [text for one in told for text in one.errors] == []
    assert contradictions() == []
    assert Balance.objects.get().on_hand == 3


def emptied() -> None:
    factories.stocked(Part.objects.get(), 5, lot="L-1")
    use_case(lambda: count_balance(lot="L-1", drawer="A-01", counted=0, actor=people.clerk()))
