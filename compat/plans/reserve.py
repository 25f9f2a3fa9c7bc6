"""Plans are made outside any transaction, recorded, and held by verifying exactly what they show under lock."""

from __future__ import annotations

from dataclasses import dataclass

from compat.plans.checked import PlanIn
from compat.plans.document import AskedPlan, asked_plan
from compat.plans.plan import PlanAnswer, make_plan
from compat.plans.sent import SentPlan
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds.services import Locked
from inventory.jobs.models import Job, Plan
from inventory.jobs.services import hold_plan, job_called, record_plan
from inventory.people.actors import Actor


@dataclass(frozen=True, slots=True)
class MadePlan:
    """A plan that is not recorded yet: the request as it came, its answer, and the job it is for."""

    sent: SentPlan
    answer: PlanAnswer
    job: Job | None


def made_plan(*, asked: AskedPlan, sent: SentPlan) -> MadePlan:
    """A new plan, made outside any transaction. `asked` is the checked request, `sent` the request as it came.

    Raises DomainError `not_found` for an unknown damper or job, `invalid` for what cannot be planned.
    """
    job = job_called(asked.job) if asked.job else None
    return MadePlan(sent, make_plan(asked), job)


def made_again(plan: Plan) -> MadePlan:
    """A new plan of the same request on the shelf as it is now. Raises as made_plan() does."""
    checked = PlanIn(data=plan.request)
    checked.is_valid(raise_exception=True)
    return made_plan(asked=asked_plan(checked.validated_data), sent=plan.request)


def record(*, made: MadePlan, actor: Actor) -> Plan:
    """Keeps a plan as it was given; runs inside the caller's transaction."""
    found = made.answer
    return record_plan(
        request=made.sent,
        answer=found.document,
        claims=found.claims,
        verdict=found.verdict,
        complete=found.complete,
        engine_version=found.engine_version,
        job=made.job,
        actor=actor,
    )


def plan_and_record(*, asked: AskedPlan, sent: SentPlan, actor: Actor) -> Plan:
    """A new plan, made and then recorded in a transaction of its own. Raises as made_plan() does."""
    made = made_plan(asked=asked, sent=sent)
    return use_case(lambda: record(made=made, actor=actor))


def plan_again(*, plan: Plan, actor: Actor) -> Plan:
    """A new plan of the same request, made and recorded as plan_and_record() does."""
    made = made_again(plan)
    return use_case(lambda: record(made=made, actor=actor))


def plan_called(plan: int) -> Plan:
    """The recorded plan. Raises DomainError `not_found`."""
    found = Plan.objects.select_related("job").filter(pk=plan).first()
    if found is None:
        raise DomainError("not_found", what="plan", which=str(plan))
    return found


def hold(*, plan: Plan, job: str | None, minutes: int | None, actor: Actor) -> Locked:
    """hold_for() the job of the plan, unless another is named."""
    return hold_for(plan=plan, job=job or (plan.job.number if plan.job else None), minutes=minutes, actor=actor)


def hold_for(*, plan: Plan, job: str | None, minutes: int | None, actor: Actor) -> Locked:
    """Claims exactly the pieces that the plan shows, all or none; runs inside the caller's transaction.

    For exactly the job that is named; without one the hold lapses, whatever the plan is for. Raises DomainError
    `plan_does_not_fit`, `plan_already_held`, `plan_empty`, or `out_of_stock` when the shelf has changed.
    """
    if plan.verdict == "does_not_fit":
        raise DomainError("plan_does_not_fit", plan=str(plan.pk))
    return hold_plan(plan=plan, job=job, minutes=minutes, actor=actor)
