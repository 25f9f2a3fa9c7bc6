"""Jobs, and plans held for them: a hold of a plan claims exactly what the plan shows, once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import transaction

from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds.models import Hold, HoldLine, Purpose, State
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.holds.services import Locked, confirm_hold, release_hold
from inventory.jobs.models import Job, JobHold, Plan, PlanHold
from inventory.jobs.services import confirm, hold_for, hold_plan, job_called, open_job, record_plan
from inventory.receiving.services import count_balance
from inventory.stock import replay
from inventory.stock.ledger import Cause, Entry, post
from inventory.stock.models import Balance
from tests import factories, people
from tests.conftest import HeldClock

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def true_shelf() -> Iterator[None]:
    yield
    assert replay.faults() == []
    assert held_faults() == []


def job(number: str = "J-1") -> Job:
    return use_case(lambda: open_job(number=number, title="Fork, both legs"))


def plan(*claims: tuple[Balance, int], **words: Any) -> Plan:
    words = {
        "request": {"damper": "Larch 46"},
        "answer": {"verdict": "fits"},
        "verdict": "fits",
        "complete": True,
        "engine_version": "1",
        "job": None,
        "actor": people.tuner(),
        **words,
    }
    return use_case(lambda: record_plan(claims=[(balance.pk, pieces) for balance, pieces in claims], **words))


def hold(plan: Plan, *, job: str | None = "J-1", minutes: int | None = None) -> Locked:
    return use_case(lambda: hold_plan(plan=plan, job=job, minutes=minutes, actor=people.tuner()))


def refused(code: str, plan: Plan, **words: Any) -> DomainError:
    before = Hold.objects.count(), PlanHold.objects.count(), sum(Balance.objects.values_list("held", flat=True))
    # A failed use case is undone; in these tests it joins the test's own transaction, so that is done here.
    with pytest.raises(DomainError) as raised, transaction.atomic():
        hold(plan, **words)
    assert raised.value.code == code, str(raised.value)
    assert before == (
        Hold.objects.count(),
        PlanHold.objects.count(),
        sum(Balance.objects.values_list("held", flat=True)),
    )
    return raised.value


def shelf() -> tuple[Balance, Balance, Balance]:
    """Two lots of one part, the older one second, and a lot of another part."""
    part = factories.shim(number="S-1")
    young = factories.stocked(part, 10, lot="young")
    old = factories.stocked(part, 10, lot="old", received_on=factories.MONDAY.replace(year=2029))
    return young, old, factories.stocked(factories.shim(number="S-2"), 10, lot="other")


def test_a_job_number_is_used_once() -> None:
    first = job()
    with pytest.raises(DomainError, match="conflict"):
        job()
    assert job_called("J-1") == first
    with pytest.raises(DomainError, match="not_found"):
        job_called("J-2")


def test_a_hold_for_a_job_has_no_end_and_one_for_nobody_is_a_web_hold() -> None:
    shelf()
    found = job()
    lines = [Wanted(2, part="S-1")]
    for_job = use_case(lambda: hold_for(lines=lines, job="J-1", minutes=None, actor=people.tuner()))
    assert (for_job.hold.purpose, for_job.hold.expires_at) == (Purpose.JOB, None)
    assert JobHold.objects.get().job == found
    web = use_case(lambda: hold_for(lines=lines, job=None, minutes=5, actor=people.storefront()))
    assert web.hold.purpose == Purpose.WEB
    assert JobHold.objects.count() == 1
    with pytest.raises(DomainError, match="not_found"):
        use_case(lambda: hold_for(lines=lines, job="J-9", minutes=None, actor=people.tuner()))


def test_a_plan_is_kept_as_it_was_given(clock: HeldClock) -> None:
    young, old, _ = shelf()
    kept = plan((young, 3), (old, 1), job=job())
    kept.refresh_from_db()
    assert kept.claims == [[young.pk, 3], [old.pk, 1]]
    assert (kept.request, kept.answer, kept.verdict) == ({"damper": "Larch 46"}, {"verdict": "fits"}, "fits")
    assert (kept.person, kept.created_at, kept.engine_version) == (people.tuner().person, clock.time, "1")


def test_holding_a_plan_claims_exactly_its_lots_and_not_the_oldest() -> None:
    young, _, other = shelf()
    job()
    kept = plan((young, 3), (other, 10))
    locked = hold(kept)
    lines = HoldLine.objects.filter(hold=locked.hold).order_by("balance_id")
    assert list(lines.values_list("balance__lot__number", "quantity")) == [("young", 3), ("other", 10)]
    assert dict(Balance.objects.values_list("lot__number", "held")) == {"young": 3, "old": 0, "other": 10}
    assert PlanHold.objects.get().hold == locked.hold


def test_a_plan_whose_pieces_are_gone_holds_nothing_at_all() -> None:
    young, _, other = shelf()
    job()
    kept = plan((young, 3), (other, 4))
    factories.held(Wanted(8, lot="young"), actor=people.outsider())
    error = refused("out_of_stock", kept)
    assert error.data["lines"] == [{"line": 0, "asked": 3, "free": 2}]


@pytest.mark.parametrize("left", [10, 4])
def test_a_plan_is_held_once_whether_or_not_there_is_enough_for_twice(left: int) -> None:
    young, _, _ = shelf()
    job()
    kept = plan((young, 3))
    first = hold(kept)
    use_case(lambda: count_balance(lot="young", drawer="A-01", counted=left, actor=people.clerk()))
    assert refused("plan_already_held", kept).data == {"hold": str(first.hold.pk)}


def test_a_confirmed_or_short_hold_still_holds_its_plan() -> None:
    young, _, other = shelf()
    confirmed, short = plan((young, 3)), plan((other, 3))
    first, second = hold(confirmed, job=None), hold(short, job=None)
    use_case(lambda: confirm_hold(hold=first.hold.pk, actor=people.tuner()))
    use_case(lambda: count_balance(lot="other", drawer="A-01", counted=2, actor=people.clerk()))
    assert Hold.objects.get(pk=second.hold.pk).state == State.SHORT
    refused("plan_already_held", confirmed, job=None)
    refused("plan_already_held", short, job=None)


def test_a_plan_may_be_held_again_after_a_release_or_a_lapse(clock: HeldClock) -> None:
    young, _, _ = shelf()
    kept = plan((young, 8))
    first = hold(kept, job=None, minutes=5)
    use_case(lambda: release_hold(hold=first.hold.pk, actor=people.tuner()))
    hold(kept, job=None, minutes=5)
    clock.advance(minutes=5)
    hold(kept, job=None, minutes=5)
    assert Balance.objects.get(pk=young.pk).held == 8
    assert PlanHold.objects.count() == 3


def test_two_plans_for_the_same_pieces_are_two_plans() -> None:
    young, _, _ = shelf()
    first, second = plan((young, 5)), plan((young, 5))
    hold(first, job=None)
    hold(second, job=None)
    assert Balance.objects.get(pk=young.pk).held == 10


def test_a_plan_without_pieces_has_nothing_to_hold() -> None:
    job()
    refused("plan_empty", plan())


def test_a_plan_names_a_job_that_exists_or_nothing_is_held() -> None:
    young, _, _ = shelf()
    refused("not_found", plan((young, 1)), job="J-404")


def test_a_hold_that_a_count_emptied_does_not_block_its_plan_past_its_end(clock: HeldClock) -> None:
    young, _, _ = shelf()
    kept = plan((young, 4))
    hold(kept, job=None, minutes=5)
    use_case(lambda: count_balance(lot="young", drawer="A-01", counted=0, actor=people.clerk()))
    clock.advance(minutes=5)
    use_case(lambda: count_balance(lot="young", drawer="A-01", counted=9, actor=people.clerk()))
    hold(kept, job=None, minutes=5)
    assert Balance.objects.get(pk=young.pk).held == 4


def test_a_lapsed_hold_is_not_confirmed_beside_a_newer_hold_of_its_plan(clock: HeldClock) -> None:
    young, _, _ = shelf()
    kept = plan((young, 4))
    first = hold(kept, job=None, minutes=5)
    clock.advance(minutes=5)
    hold(kept, job=None, minutes=5)
    with pytest.raises(DomainError) as raised, transaction.atomic():
        confirm(hold=first.hold.pk, actor=people.tuner())
    assert raised.value.code == "plan_already_held"
    assert Balance.objects.get(pk=young.pk).held == 4


def test_a_hold_of_which_a_line_was_given_back_meanwhile_takes_all_again_or_gives_back_the_rest() -> None:
    """Another transaction gives a line back after this one has read the time and before it gets the rows."""
    young, old, _ = shelf()
    kept = plan((young, 4), (old, 3))
    first = hold(kept, job=None, minutes=5)
    line = HoldLine.objects.get(hold=first.hold, balance=old)
    balance = Balance.objects.get(pk=old.pk)
    cause = Cause("hold", str(first.hold.pk))
    use_case(lambda: post(entries=[Entry(balance, held=-3)], actor=people.clerk(), reason="hold lapsed", cause=cause))
    HoldLine.objects.filter(pk=line.pk).update(quantity=0)
    done = use_case(lambda: confirm_hold(hold=first.hold.pk, actor=people.tuner()))
    assert done.hold.state == State.CONFIRMED
    assert sorted(HoldLine.objects.filter(hold=first.hold).values_list("quantity", flat=True)) == [3, 4]
