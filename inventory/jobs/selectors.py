"""Reading jobs, and what is held for them and for plans."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Exists, OuterRef

from inventory.common import clock
from inventory.holds.models import HOLDING, Hold, over_at
from inventory.jobs.models import JobHold, Plan, PlanHold
from inventory.people.models import Person


def live_hold_of_plan(plan: Plan, *, but: int | None = None) -> Hold | None:
    """The hold that keeps this plan's pieces, other than `but`; one query."""
    live = Hold.objects.filter(planhold__plan=plan, state__in=HOLDING).exclude(over_at(clock.now()))
    if but is not None:
        live = live.exclude(pk=but)
    return live.select_related("person", "client", "jobhold__job").order_by("pk").first()


def recent_plans(person: Person, most: int) -> list[Plan]:
    """The person's newest plans, each with `is_held`; one query."""
    live = Hold.objects.filter(planhold__plan=OuterRef("pk"), state__in=HOLDING).exclude(over_at(clock.now()))
    rows = Plan.objects.select_related("job").defer("answer", "claims").annotate(is_held=Exists(live))
    return list(rows.filter(person=person).order_by("-pk")[:most])


def holds_of_jobs(most: int) -> list[JobHold]:
    """The newest holds that keep parts for jobs; one query."""
    rows = JobHold.objects.select_related("job", "hold__person", "hold__client").filter(hold__state__in=HOLDING)
    return list(rows.order_by("-hold_id")[:most])


def jobs_of_holds(holds: Iterable[int]) -> dict[int, str]:
    """{hold id: job number}; one query."""
    return dict(JobHold.objects.filter(hold__in=list(holds)).values_list("hold_id", "job__number"))


def plans_of_holds(holds: Iterable[int]) -> dict[int, int]:
    """{hold id: plan id}; one query."""
    return dict(PlanHold.objects.filter(hold__in=list(holds)).values_list("hold_id", "plan_id"))
