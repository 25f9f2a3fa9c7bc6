"""A plan by its address: look at it, hold its pieces, print it."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from compat import reserve
from compat.pages.bench.bench_choices import jobs
from compat.pages.plan import plan_words
from compat.pages.plan.plan_view import view_of
from inventory.common.errors import DomainError, invalid
from inventory.counter.commands import carry_out
from inventory.counter.forms import CommandSheet, Line
from inventory.counter.pages import actor_of, page
from inventory.dampers.selectors import damper_as_of
from inventory.jobs.models import Job, Plan
from inventory.jobs.selectors import live_hold_of_plan
from inventory.jobs.services import open_job
from inventory.people.roles import STAFF, Role

HOLDERS = (Role.TUNER, Role.LEAD)
TYPED = ("job", "title")


class HoldSheet(CommandSheet):
    """For which job the pieces are held."""

    job = Line(
        label="For job",
        required=False,
        help_text="Empty: held for a short while only.",
        widget=forms.TextInput(attrs={"list": "jobs"}),
    )
    title = Line(label="Title, if the job is new", most=120, required=False)

    def clean(self) -> dict[str, Any]:
        """Nothing typed is dropped in silence."""
        if self.cleaned_data.get("title") and self.cleaned_data.get("job") == "":
            self.add_error("job", "A title needs a job: type the number of the new job, or empty the title.")
        return dict(self.cleaned_data)


@page(see=STAFF)
def plan(request: HttpRequest, plan: int) -> HttpResponse:
    """The plan as it was given, with its pick list and what holds it."""
    return _show(request, reserve.plan_called(plan), None)


@page(see=(), send=HOLDERS)
def hold(request: HttpRequest, plan: int) -> HttpResponse:
    """Holds exactly the pieces that the plan shows; where the shelf has changed, shows what it would be instead."""
    found = reserve.plan_called(plan)
    actor, form = actor_of(request), HoldSheet(request.POST)
    if form.is_valid():
        job, title = form.cleaned_data["job"], form.cleaned_data["title"]

        def work() -> str:
            if job and not Job.objects.filter(number=job).exists():
                if not title:
                    raise invalid("title", f"there is no job {job} yet; give it a title to open it")
                open_job(number=job, title=title)
            reserve.hold_for(plan=found, job=job or None, minutes=None, actor=actor)
            return reverse("plan", kwargs={"plan": found.pk})

        try:
            return carry_out(request, work)
        except DomainError as error:
            if error.code == "out_of_stock":
                return _instead(request, found, form)
            form.refuse(error)
            form.renew()
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

    response = carry_out(request, work)
    messages.warning(request, "The shelf has changed meanwhile, so nothing was held. This is the plan for it as it is.")
    return response


def _show(request: HttpRequest, found: Plan, form: HoldSheet | None) -> HttpResponse:
    damper = damper_as_of(found.request["damper"], found.created_at)
    view = view_of(found.answer, damper.document)
    held = live_hold_of_plan(found)
    may_hold = actor_of(request).role in HOLDERS and held is None and found.claims and view.verdict != "does_not_fit"
    if form is None and may_hold:
        usual = {"job": found.job.number if found.job else ""}
        form = HoldSheet(initial=usual | {name: request.GET[name] for name in TYPED if name in request.GET})
    known = {
        "kept": found,
        "damper": damper,
        "plan": view,
        "answer": view.answer,
        "held": held,
        "form": form if may_hold or (form and form.errors) else None,
        "jobs": jobs(),
        "changes": _changes(request.GET.get("instead_of", ""), found),
    }
    wrong = form is not None and form.is_bound and bool(form.errors)
    return render(request, "compat/plan.html", known, status=422 if wrong else 200)


def _changes(old: str, new: Plan) -> list[str]:
    """What this plan takes otherwise than an earlier one of the same request."""
    if not (old.isascii() and old.isdigit() and len(old) < 19):
        return []
    before = Plan.objects.filter(pk=int(old)).first()
    if before is None or before.request != new.request:
        return []
    return plan_words.changes(before.answer, new.answer)
