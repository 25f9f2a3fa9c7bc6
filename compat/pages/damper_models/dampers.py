"""Damper models: the list, one model with all that is known of it, and the form that saves a new revision."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from compat.pages.damper_models import damper_reads, damper_view, sealing_view
from compat.pages.damper_models.damper_forms import DamperSheet
from compat.questions.curve_calibration import calibrations
from inventory.common.errors import DomainError
from inventory.common.quantities import whole_number
from inventory.counter.commands import carry_out, new_key
from inventory.counter.pages import actor_of, page
from inventory.dampers.document import Told
from inventory.dampers.selectors import Damper, damper_called, damper_row, described, latest_stacks
from inventory.dampers.services import create_damper
from inventory.dampers.services import edit_damper as save_damper
from inventory.people.roles import BENCH, STAFF


@page(see=STAFF)
def dampers(request: HttpRequest) -> HttpResponse:
    """Every damper model with its latest revision."""
    query = request.GET.get("q", "").strip()
    found = damper_reads.latest_revisions(query, request.GET.get("page", ""))
    may_edit = actor_of(request).role in BENCH
    return render(request, "compat/dampers.html", {"page": found, "query": query, "may_edit": may_edit})


@page(see=STAFF)
def damper(request: HttpRequest, code: str) -> HttpResponse:
    """One model: sizes, drawings, saved stacks, what fits it, revisions. An older revision is shown as it was."""
    row = damper_row(code)
    model = _model_at(request.GET.get("revision", ""), code)
    saved = latest_stacks(row)
    drawn = next((one for one in saved if one.stack.name == request.GET.get("stack", "")), None)
    end, lip = damper_view.end_of(model.document)
    known = {
        "model": model,
        "latest": row.revision,
        "valves": damper_view.valves_of(model.document, drawn),
        "end": end,
        "lip": lip,
        "sealing": sealing_view.sealing_of(model.document),
        "limits": sealing_view.limits_of(model.document),
        "stacks": damper_view.stacks_of(model.document, saved, drawn.stack.name if drawn else ""),
        "pictures": damper_view.pictures(),
        "fits": _fits(model, request),
        "calibrations": calibrations.with_states(model) if model.revision == row.revision else [],
        "codes": model.document.codes,
        "once": new_key(),
        "revisions": damper_reads.revisions_of(row),
        "may_edit": actor_of(request).role in BENCH,
    }
    return render(request, "compat/damper.html", known)


@page(see=BENCH, send=BENCH)
def new_damper(request: HttpRequest) -> HttpResponse:
    """A new damper model. Only what is known is typed; the rest stays open, and answers say so."""
    form = DamperSheet(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            model = form.model()

            def work() -> str:
                create_damper(code=model.code, name=model.name, document=model.document, actor=actor_of(request))
                return reverse("damper", kwargs={"code": model.code})

            return carry_out(request, work)
        except DomainError as error:
            _refuse(form, error)
    return _form_page(request, form, {})


@page(see=BENCH, send=BENCH)
def edit_damper(request: HttpRequest, code: str) -> HttpResponse:
    """The whole document in a form. What is saved is a new revision on top of the one that was read."""
    current = damper_called(code)
    shown = Told(current.code, current.name, current.document)
    form = DamperSheet(request.POST or None, model=shown, edited=True)
    sent = whole_number(request.POST.get("on_top_of") or request.POST.get("revision", ""), digits=8)
    read = current.revision if sent is None else sent
    newer = 0
    if request.method == "POST" and form.is_valid():
        try:
            model = form.model()

            def work() -> str:
                save_damper(code=code, name=model.name, document=model.document, revision=read, actor=actor_of(request))
                return reverse("damper", kwargs={"code": code})

            # Work may run twice, so what it did is said after it.
            response = carry_out(request, work)
            messages.success(request, f"Saved as revision {read + 1}.")
            return response
        except DomainError as error:
            newer = current.revision if error.code == "edited_meanwhile" else 0
            _refuse(form, error)
    return _form_page(request, form, {"model": current, "read": read, "newer": newer})


def _form_page(request: HttpRequest, form: DamperSheet, known: dict[str, object]) -> HttpResponse:
    if form.errors or not known:
        form.focus()
    status = 422 if form.errors else 200
    return render(request, "compat/damper_form.html", {"form": form, **known}, status=status)


def _refuse(form: DamperSheet, error: DomainError) -> None:
    """Shows the refusal; a form that was changed after it had been sent gets a new key."""
    if error.code == "idempotency_key_reused":
        form.renew()
        form.add_error(None, "This form was saved before, with other sizes. Look it through and send it again.")
    elif error.code == "conflict":
        form.add_error("code", error.text)
    elif error.code == "edited_meanwhile":
        form.add_error(None, "Somebody saved a newer revision meanwhile. What you typed is below, and not saved yet.")
    else:
        form.refuse_at_paths(error)


def _model_at(revision: str, code: str) -> Damper:
    """The damper model as it is, or as an older revision had it."""
    if not revision:
        return damper_called(code)
    row = damper_row(code)
    return described(damper_reads.revision_of(row, revision))


def _fits(model: Damper, request: HttpRequest) -> list[damper_reads.KindFits]:
    """Nuts and shims; the answer is for the model as it is, so an older revision shows none."""
    if request.GET.get("revision"):
        return []
    return [damper_reads.fits_of(model, kind, request.GET.get(f"{kind}s", "")) for kind in ("nut", "shim")]
