"""What several tests begin with is laid in once, and each of them finds it untouched."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from inventory.stock.models import Balance, Lot, Site
from tests import factories, laid
from tests.conftest import HeldClock

laying: list[str] = []


def lay_lot() -> str:
    laying.append("lot")
    return factories.stocked(factories.shim(), 5, lot="L-LAID").lot.number


@pytest.fixture
@laid.before(lay_lot)
def lot(db: None) -> str:
    return laid.once(lay_lot)


@pytest.mark.parametrize("attempt", [1, 2, 3])
def test_each_test_finds_what_was_laid_in_and_nothing_of_the_others(lot: str, attempt: int) -> None:
    assert Lot.objects.get(number=lot).number == "L-LAID"
    assert Balance.objects.get().on_hand == 5
    assert not Site.objects.filter(code="left-behind").exists()
    Site.objects.create(code="left-behind", name=f"attempt {attempt}")
    Lot.objects.update(source="changed")


def test_it_is_laid_in_for_all_of_them_and_not_for_each(lot: str) -> None:
    before = len(laying)
    assert before
    assert laid.once(lay_lot) == lot
    assert len(laying) == before
    assert Lot.objects.get(number=lot).source == ""


def test_whoever_holds_the_clock_has_it_laid_in_under_that_clock(clock: HeldClock, lot: str) -> None:
    assert Balance.objects.get().movements.get().at == clock.time


@pytest.mark.django_db
def test_whoever_begins_with_nothing_finds_nothing() -> None:
    assert not Lot.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_whoever_commits_finds_nothing_either() -> None:
    assert not Lot.objects.exists()


def test_the_most_that_is_asked_for_is_laid_in_and_a_nearer_fixture_counts() -> None:
    def item(**fixtures: Any) -> Any:
        known = {name: [SimpleNamespace(func=one) for one in found] for name, found in fixtures.items()}
        return SimpleNamespace(
            fixturenames=list(fixtures),
            get_closest_marker=lambda name: None,
            _fixtureinfo=SimpleNamespace(name2fixturedefs=known),
        )

    one, two = (lambda: 1), (lambda: 2)
    small, large, own = laid.before(one)(lambda: None), laid.before(one, two)(lambda: None), lambda: None
    assert laid.wanted(item(damper=[small], shelf=[large])) == (one, two)
    assert laid.wanted(item(damper=[own, small])) == (one,)
    assert laid.wanted(item(damper=[own])) == ()
    assert laid.wanted(item(damper=[small, own], shelf=[large])) == ()
    assert laid.wanted(item(shelf=[large], clock=[own])) == ()
