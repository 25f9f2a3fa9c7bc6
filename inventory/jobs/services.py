"""Jobs, and holding for them. Callers open the transaction, except where a function says otherwise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from inventory.common import clock
from inventory.common.errors import DomainError
from inventory.common.transactions import require_transaction
from inventory.holds.models import Purpose
from inventory.holds.requests import Wanted
from inventory.holds.services import Locked, confirm_hold, make_hold
from inventory.jobs.models import Job, JobHold, Plan, PlanHold
from inventory.jobs.selectors import live_hold_of_plan
from inventory.people.actors import Actor


def open_job(*, number: str, title: str) -> Job:
    """A new job. Raises DomainError `conflict` for a number in use."""
    require_transaction()
    if Job.objects.filter(number=number).exists():
        raise DomainError("conflict", what="Job", which=number)
    return Job.objects.create(number=number, title=title, created_at=clock.now())


def job_called(number: str) -> Job:
    """The job of that number. Raises DomainError `not_found`."""
    found = Job.objects.filter(number=number).first()
    if found is None:
        raise DomainError("not_found", what="job", which=number)
    return found


def hold_for(*, lines: Sequence[Wanted], job: str | None, minutes: int | None, actor: Actor) -> Locked:
    """A hold for a job, or for a web order when no job is named."""
    found = job_called(job) if job else None
    purpose = Purpose.JOB if found else Purpose.WEB
    locked = make_hold(lines=lines, purpose=purpose, actor=actor, minutes=minutes)
    if found is not None:
        JobHold.objects.create(hold=locked.hold, job=found)
    return locked


def confirm(*, hold: int, actor: Actor) -> Locked:
    """Confirms a hold. Raises what confirm_hold() raises, and `plan_already_held` when its plan has been held anew."""
    locked = confirm_hold(hold=hold, actor=actor)
    of_plan = PlanHold.objects.select_related("plan").filter(hold=hold).first()
    if of_plan is not None:
        _refuse_second_hold(of_plan.plan, but=hold)
    return locked


def record_plan(
    *,
    request: Mapping[str, Any],
    answer: Mapping[str, Any],
    claims: Sequence[tuple[int, int]],
    verdict: str,
    complete: bool,
    engine_version: str,
    job: Job | None,
    actor: Actor,
) -> Plan:
    """Keeps an answer as it was given."""
    return Plan.objects.create(
        job=job,
        request=request,
        answer=answer,
        claims=[list(pair) for pair in claims],
        verdict=verdict,
        complete=complete,
        engine_version=engine_version,
        person=actor.person,
        client=actor.client,
        created_at=clock.now(),
    )


def hold_plan(*, plan: Plan, job: str | None, minutes: int | None, actor: Actor) -> Locked:
    """A hold of exactly the pieces that a plan shows, verified under lock.

    Raises DomainError `plan_already_held`, `plan_empty`, or `out_of_stock` when pieces are no longer free.
    """
    if not plan.claims:
        raise DomainError("plan_empty")
    lines = [Wanted(quantity=quantity, balance=balance) for balance, quantity in plan.claims]
    try:
        locked = hold_for(lines=lines, job=job, minutes=minutes, actor=actor)
    except DomainError as error:
        if error.code == "out_of_stock":
            _refuse_second_hold(plan)
        raise
    # Under the locks of the plan's balances, which every other hold of the same plan takes too.
    _refuse_second_hold(plan)
    PlanHold.objects.create(hold=locked.hold, plan=plan)
    return locked


def _refuse_second_hold(plan: Plan, *, but: int | None = None) -> None:
    other = live_hold_of_plan(plan, but=but)
    if other is not None:
        raise DomainError("plan_already_held", hold=str(other.pk))
