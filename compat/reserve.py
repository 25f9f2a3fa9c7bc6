"""Plans are made outside any transaction, recorded, and held by verifying exactly what they show under lock."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from compat.asked.plans import PlanIn
from compat.planning.plan import PlanAnswer, make_plan
from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.holds.services import Locked
from inventory.jobs.models import Job, Plan
from inventory.jobs.services import hold_plan, job_called, record_plan
from inventory.people.actors import Actor


def plan_and_record(*, asked: Mapping[str, Any], sent: Mapping[str, Any], actor: Actor) -> Plan:
    """A new plan, kept as it was given. `asked` is the checked request, `sent` the request as it came.

    Raises DomainError `not_found` for an unknown damper or job, `invalid` for what cannot be planned.
    """
    job = job_called(asked["job"]) if asked.get("job") else None
    found = make_plan(asked)
    return use_case(lambda: _record(found, sent, job, actor))


def plan_again(*, plan: Plan, actor: Actor) -> Plan:
    """A new plan of the same request on the shelf as it is now."""
    checked = PlanIn(data=plan.request)
    checked.is_valid(raise_exception=True)
    return plan_and_record(asked=checked.validated_data, sent=plan.request, actor=actor)


def plan_called(plan: int) -> Plan:
    """The recorded plan. Raises DomainError `not_found`."""
    found = Plan.objects.select_related("job").filter(pk=plan).first()
    if found is None:
        raise DomainError("not_found", what="plan", which=str(plan))
    return found


def hold(*, plan: Plan, job: str | None, minutes: int | None, actor: Actor) -> Locked:
    """Claims exactly the pieces that the plan shows, all or none; runs inside the caller's transaction.

    The job of the plan is taken unless another is named. Raises DomainError `plan_does_not_fit`, `plan_already_held`,
    `plan_empty`, or `out_of_stock` when the shelf has changed.
    """
    if plan.verdict == "does_not_fit":
        raise DomainError("plan_does_not_fit", plan=str(plan.pk))
    for_job = job or (plan.job.number if plan.job else None)
    return hold_plan(plan=plan, job=for_job, minutes=minutes, actor=actor)


def _record(found: PlanAnswer, sent: Mapping[str, Any], job: Job | None, actor: Actor) -> Plan:
    return record_plan(
        request=sent,
        answer=found.document,
        claims=found.claims,
        verdict=found.verdict,
        complete=found.complete,
        engine_version=found.engine_version,
        job=job,
        actor=actor,
    )
