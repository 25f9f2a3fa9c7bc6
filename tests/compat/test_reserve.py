"""Planning outside the transaction, recording, and claiming exactly what was shown."""

from __future__ import annotations

from typing import Any, cast

import pytest

from compat.plans import reserve
from compat.plans.checked import PlanIn
from compat.plans.document import asked_plan
from compat.plans.sent import SentPlan
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds.requests import Wanted
from inventory.holds.selectors import held_faults
from inventory.jobs.models import Plan
from inventory.stock.models import Balance
from tests import factories, people
from tests.api.conftest import STACKS, job

pytestmark = pytest.mark.django_db


def made(**more: Any) -> Plan:
    """A recorded plan for STACKS."""
    sent = {"damper": "HA-46", "stacks": STACKS, **more}
    checked = PlanIn(data=sent)
    checked.is_valid(raise_exception=True)
    return reserve.plan_and_record(
        asked=asked_plan(checked.validated_data), sent=cast(SentPlan, sent), actor=people.tuner()
    )


def held(plan: Plan, number: str | None = None) -> Any:
    return use_case(lambda: reserve.hold(plan=plan, job=number, minutes=None, actor=people.tuner()))


def refused(work: Any) -> str:
    with pytest.raises(DomainError) as caught:
        work()
    return caught.value.code


def test_a_plan_is_recorded_with_request_answer_claims_engine_and_person(shelf: str) -> None:
    plan = made(job=job())
    kept = reserve.plan_called(plan.pk)
    assert kept.request == {"damper": "HA-46", "stacks": STACKS, "job": "J-1"}
    assert kept.answer["complete"] is True and kept.complete and kept.verdict == "fits"
    assert kept.engine_version and kept.person == people.tuner().person
    assert kept.job is not None and kept.job.number == "J-1"
    shown = [lot for line in [*kept.answer["lines"], kept.answer["nut"]] for lot in line["lots"]]
    assert sum(quantity for _, quantity in kept.claims) == sum(lot["quantity"] for lot in shown) == 14
    assert len({balance for balance, _ in kept.claims}) == len(kept.claims)


def test_planning_writes_nothing_but_the_plan(shelf: str) -> None:
    before = list(Balance.objects.order_by("pk").values())
    made()
    assert list(Balance.objects.order_by("pk").values()) == before


def test_a_hold_claims_what_the_plan_claims(shelf: str) -> None:
    plan = made()
    locked = held(plan)
    assert sorted((line.balance_id, line.quantity) for line in locked.lines) == [tuple(one) for one in plan.claims]
    assert held_faults() == []


def test_a_hold_is_for_the_plans_job_unless_another_is_named(shelf: str) -> None:
    plan = made(job=job())
    assert held(plan).hold.jobhold.job.number == "J-1"
    assert held(made(), job("J-2")).hold.jobhold.job.number == "J-2"


def test_a_hold_for_what_is_named_takes_no_job_from_the_plan(shelf: str) -> None:
    def named(plan: Plan, number: str | None) -> Any:
        return use_case(lambda: reserve.hold_for(plan=plan, job=number, minutes=None, actor=people.tuner())).hold

    alone = named(made(job=job()), None)
    assert alone.purpose == "web" and alone.expires_at is not None and not hasattr(alone, "jobhold")
    assert named(made(job="J-1"), job("J-2")).jobhold.job.number == "J-2"


def test_a_plan_that_is_made_is_not_recorded_until_it_is(shelf: str) -> None:
    first = made()
    again = reserve.made_again(first)
    assert Plan.objects.count() == 1
    second = use_case(lambda: reserve.record(made=again, actor=people.lead()))
    assert (second.request, second.answer, second.claims) == (first.request, first.answer, first.claims)
    assert second.person == people.lead().person and Plan.objects.count() == 2


def test_a_plan_that_does_not_fit_is_not_held(shelf: str) -> None:
    factories.stocked(factories.nut("M12x1.5", number="NUT"), 1)
    plan = made(also=[{"part": "NUT", "quantity": 1}])
    assert refused(lambda: held(plan)) == "plan_does_not_fit"


def test_a_changed_shelf_is_out_of_stock_for_the_caller_to_plan_anew(shelf: str) -> None:
    plan = made()
    balance, quantity = plan.claims[-1]
    factories.held(Wanted(quantity=11 - quantity, balance=balance))
    assert refused(lambda: held(plan)) == "out_of_stock"


def test_a_second_hold_is_told_apart_from_a_changed_shelf(shelf: str) -> None:
    """Also when the first hold has left too few for a second one."""
    plan = made()
    held(plan)
    assert refused(lambda: held(plan)) == "plan_already_held"
    for balance, _ in plan.claims:
        free = Balance.objects.get(pk=balance).free
        factories.held(Wanted(quantity=free, balance=balance))
    assert refused(lambda: held(plan)) == "plan_already_held"


def test_an_unknown_plan_is_not_found(db: None) -> None:
    assert refused(lambda: reserve.plan_called(999)) == "not_found"


@pytest.mark.parametrize("change", [{"damper": "NONE"}, {"job": "J-99"}])
def test_what_is_unknown_is_not_found_and_nothing_is_recorded(shelf: str, change: dict[str, str]) -> None:
    assert refused(lambda: made(**change)) == "not_found"
    assert not Plan.objects.exists()
