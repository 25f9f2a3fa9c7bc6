"""A plan by its address: look at it, hold its pieces, print it."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from compat.dampers import mounts
from compat.pages.plan import plan_words
from compat.pages.plan.hold_sheet import TYPED, HoldSheet
from compat.pages.plan.job_choices import jobs
from compat.pages.plan.plan_view import view_of
from compat.pages.side_curves import curves_of_plan
from compat.plans import reserve
from compat.plans.answered import answered
from inventory.common.errors import DomainError
from inventory.common.quantities import whole_number
from inventory.counter.commands import carry_out
from inventory.counter.pages import actor_of, is_swap, page
from inventory.dampers.selectors import damper_as_of
from inventory.jobs.models import Job, Plan
from inventory.jobs.selectors import live_hold_of_plan
from inventory.people.roles import BENCH, STAFF


@page(see=STAFF)
def plan(request: HttpRequest, plan: int) -> HttpResponse:
    """The plan as it was given, with its pick list and what holds it."""
    return _show(request, reserve.plan_called(plan), None)


@page(see=STAFF)
def curves(request: HttpRequest, plan: int) -> HttpResponse:
    """Force against lift of every side of the plan: a fragment of its page, or a page of its own."""
    found = reserve.plan_called(plan)
    damper = damper_as_of(found.request["damper"], found.created_at)
    drawn = curves_of_plan(answered(found.answer), damper.document, mounts.fits_of(damper.code, found.created_at))
    known = {"kept": found, "damper": damper, "curves": drawn}
    return render(request, "compat/_curves.html" if is_swap(request) else "compat/plan_curves.html", known)


@page(see=(), send=BENCH)
def hold(request: HttpRequest, plan: int) -> HttpResponse:
    """Holds exactly the pieces that the plan shows; where the shelf has changed, shows what it would be instead."""
    found = reserve.plan_called(plan)
    actor, form = actor_of(request), HoldSheet(request.POST)
    if form.is_valid():

        def work() -> str:
            reserve.hold_for(plan=found, job=form.opened_job(), minutes=None, actor=actor)
            return reverse("plan", kwargs={"plan": found.pk})

        try:
            return carry_out(request, work)
        except DomainError as error:
            if error.code == "out_of_stock":
                return _instead(request, found, form)
            form.refuse(error)
    # What concerns no field is said above the fields, and has the focus there.
    if not form.non_field_errors():
        form.focus()
    return _show(request, found, form)


def _instead(request: HttpRequest, old: Plan, form: HoldSheet) -> HttpResponse:
    """Nothing was held: the same request on the shelf as it is now, recorded once for the form's key.

    What was typed goes along, so that the new plan is held for the same job.
    """
    made, actor = reserve.made_again(old), actor_of(request)
    more = urlencode({"instead_of": old.pk, **{name: form.cleaned_data[name] for name in TYPED}})

    def work() -> str:
        new = reserve.record(made=made, actor=actor)
        return f"{reverse('plan', kwargs={'plan': new.pk})}?{more}"

    response = carry_out(request, work, instead=True)
    messages.warning(request, "The shelf has changed meanwhile, so nothing was held. This is the plan for it as it is.")
    return response


def _show(request: HttpRequest, found: Plan, form: HoldSheet | None) -> HttpResponse:
    damper = damper_as_of(found.request["damper"], found.created_at)
    view = view_of(found.answer, damper.document, found.request.get("readings"))
    held = live_hold_of_plan(found)
    may_hold = actor_of(request).role in BENCH and held is None and found.claims and view.verdict != "does_not_fit"
    in_field = form is not None
    # What was typed on the bench, or for the plan that this one replaces, stands before the plan's own job.
    typed = {name: request.GET[name] for name in TYPED if name in request.GET}
    if form is None and may_hold:
        form = HoldSheet(initial={"job": found.job.number if found.job else ""} | typed)
        job = form.initial["job"]
        in_field = form.focus_usual(known=bool(job) and Job.objects.filter(number=job).exists())
    known = {
        "kept": found,
        "damper": damper,
        "plan": view,
        "answer": view.answer,
        "held": held,
        "form": form if may_hold or (form and form.errors) else None,
        "focus_button": not in_field,
        "typed_job": typed.get("job", ""),
        "jobs": jobs(),
        "changes": _changes(request.GET.get("instead_of", ""), found),
    }
    wrong = form is not None and form.is_bound and bool(form.errors)
    return render(request, "compat/plan.html", known, status=422 if wrong else 200)


def _changes(old: str, new: Plan) -> list[str]:
    """What this plan takes otherwise than an earlier one of the same request."""
    number = whole_number(old)
    before = Plan.objects.filter(pk=number).first() if number is not None else None
    if before is None or before.request != new.request:
        return []
    return plan_words.changes(answered(before.answer), answered(new.answer))
