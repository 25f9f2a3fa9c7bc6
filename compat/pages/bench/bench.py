"""The bench: type or choose a stack, see at once whether it can be built, keep the plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, TypeVar, cast
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from compat.dampers import mounts
from compat.pages.bench import bench_sheet, stack_rows
from compat.pages.bench.bench_choices import STACK_OF, choices
from compat.pages.bench.bench_sheet import BenchSheet
from compat.pages.plan import plan_words
from compat.pages.plan.plan_view import PlanView, view_of
from compat.pages.shown import has_changed, mark_of
from compat.pages.side_curves import curves_of_plan
from compat.plans import reserve
from compat.plans.answered import answered
from compat.plans.document import AskedPlan
from compat.plans.first_word import FirstWord, first_word
from compat.plans.plan import make_plan
from compat.plans.searched import ALTERNATIVES
from compat.plans.sent import SentPlan
from inventory.common.errors import DomainError, invalid
from inventory.common.quantities import whole_number
from inventory.counter.commands import FIELD, carry_out, new_key
from inventory.counter.pages import actor_of, is_swap, page
from inventory.dampers.document import Line, Stacks
from inventory.dampers.selectors import damper_called, damper_row, saved_stack
from inventory.dampers.services import save_stack
from inventory.dampers.words import SIDES
from inventory.documents.typed import read
from inventory.jobs.models import Job
from inventory.people.roles import BENCH, STAFF

DAY_S = 24 * 60 * 60
Found = TypeVar("Found")
# Asks for the whole answer at once; the page's script sends it after a first word, from under which HALF is sent.
WHOLE, HALF = "whole", "half"
LOOKING = "Nothing was kept: stand-ins were still being looked for. This is the whole answer."
CHANGED = "The bench showed another answer: the rows or the shelf have changed since. This is the new one."


@page(see=STAFF, send=STAFF)
def bench(request: HttpRequest) -> HttpResponse:
    """The page; sending it with `do=plan` keeps the plan and opens it, with `do=save` saves the stacks."""
    if request.method != "POST":
        chosen = _chosen(request.GET)
        found = None if chosen is None else _preview(chosen) if WHOLE in request.GET else _first(chosen)
        if chosen:
            chosen.focus_begin(answered=found is not None)
        return _page(request, chosen, found, more=_refreshed(request) if isinstance(found, FirstWord) else None)
    sheet, do = _typed(request), request.POST.get("do", "")
    deed = {"plan": _keep, "save": _save}.get(do)
    if deed is _keep and HALF in request.POST:
        messages.warning(request, LOOKING)
        return _page(request, sheet, _preview(sheet))
    if deed is None:
        _do(sheet, do)
        return _page(request, sheet, _preview(sheet))
    role = actor_of(request).role
    if deed is _save and role not in BENCH:
        raise DomainError("role_not_allowed", role=role, allowed=", ".join(BENCH))
    try:
        stack_rows.require_whole(sheet.sides)
        return deed(request, sheet)
    except DomainError as error:
        return _refused(request, sheet, error)


@page(see=(), send=STAFF)
def answer(request: HttpRequest) -> HttpResponse:
    """The answer for a bench that changed, for the page that shows the rows; the rows themselves are left to it.

    Where stand-ins have to be looked for it is what is known without them, until it is asked for with WHOLE.
    """
    sheet = _typed(request)
    found = _preview(sheet) if WHOLE in request.POST else _first(sheet)
    return render(request, "compat/_bench_answer.html", _known(sheet, found))


@page(see=(), send=STAFF)
def curves(request: HttpRequest) -> HttpResponse:
    """Force against lift of what is typed, against the saved stack that was put on the bench, or against itself as
    asked; a fragment while one types, else the bench with it."""
    sheet = _typed(request)
    document = _planned(sheet)
    saved = _saved_lines(sheet)
    model = sheet.damper
    fits = mounts.fits_of(model.code) if document else {}
    found = curves_of_plan(answered(document), model.document, fits, saved) if document else []
    known = {"sheet": sheet, "curves": found, "curves_open": True, "compared_with": sheet.stack if saved else ""}
    if is_swap(request):
        return render(request, "compat/_curves.html", known)
    return _page(request, sheet, _view(sheet, document), more=known)


@page(see=(), send=STAFF)
def others(request: HttpRequest) -> HttpResponse:
    """Other ways to build what is typed, which are looked for only where they are asked for; a fragment while one
    types, else the bench with them."""
    sheet = _typed(request)
    document = _planned(sheet, alternatives=ALTERNATIVES)
    ways = plan_words.alternatives(answered(document)) if document else []
    known = {"sheet": sheet, "ways": ways, "others_open": True, "planned": document is not None}
    if is_swap(request):
        return render(request, "compat/_others.html", known)
    return _page(request, sheet, _view(sheet, document), more=known)


def _saved_lines(sheet: BenchSheet) -> dict[tuple[str, str], tuple[Line, ...]]:
    """The lines of the saved stack that the bench began from, by (valve, side)."""
    if not sheet.stack:
        return {}
    try:
        saved = saved_stack(sheet.damper.code, sheet.stack)
    except DomainError:
        return {}
    stacks = read(Stacks, saved.stacks)
    return {(saved.stack.valve, side): stacks.of(side) for side in SIDES if stacks.of(side)}


def _keep(request: HttpRequest, sheet: BenchSheet) -> HttpResponse:
    """Records the plan, once for the form's key, and opens it."""
    sent, asked = sheet.checked()
    job = sent.get("job", "")
    # A job is opened when pieces are held for it: until then its number goes along in the address.
    new = bool(job) and not Job.objects.filter(number=job).exists()
    if new:
        del sent["job"]
        asked = replace(asked, job=None)
    made = reserve.made_plan(asked=asked, sent=sent)

    def work() -> str:
        plan = reserve.record(made=made, actor=actor_of(request))
        return reverse("plan", kwargs={"plan": plan.pk}) + (f"?{urlencode({'job': job})}" if new else "")

    response = _done(request, carry_out(request, work))
    if has_changed(request.POST, made.answer.document):
        messages.warning(request, CHANGED)
    return response


def _save(request: HttpRequest, sheet: BenchSheet) -> HttpResponse:
    """Saves the stacks of one valve under a name; under the same name again they are its next revision."""
    actor, code = actor_of(request), sheet.damper.code
    valve, stacks = sheet.to_save()
    name, note = sheet.options.cleaned_data["name"], sheet.options.cleaned_data["note"]
    if not name:
        raise invalid("name", "a name is missing: under which name?")

    def work() -> str:
        save_stack(damper=damper_row(code), valve=valve, name=name, stacks=stacks, note=note, actor=actor)
        return f"{reverse('bench')}?{urlencode({'damper': code, 'stack': name})}"

    return _done(request, carry_out(request, work))


def _done(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """Tells the page's script which form was carried out: its draft is done with (drafts.js)."""
    response.set_cookie("carried-out", request.POST[FIELD], max_age=DAY_S, samesite="Lax", secure=request.is_secure())
    return response


def _refused(request: HttpRequest, sheet: BenchSheet, error: DomainError) -> HttpResponse:
    """The bench with what was refused, a new key, and the focus where correcting begins."""
    # Nothing is wrong with the typing where only the key was used before.
    found = _preview(sheet) if error.code == "idempotency_key_reused" else None
    sheet.refuse(error)
    sheet.focus_wrong()
    return _page(request, sheet, found, status=422)


def _page(
    request: HttpRequest,
    sheet: BenchSheet | None,
    found: PlanView | FirstWord | None,
    *,
    status: int = 200,
    more: Mapping[str, Any] | None = None,
) -> HttpResponse:
    on = {"on": sheet.damper.code, "stack_on": _stack_on(sheet), **_known(sheet, found)} if sheet else {}
    known = {**choices(), **on, "sent": request.method == "POST", **(more or {})}
    return render(request, "compat/bench.html", known, status=status)


def _refreshed(request: HttpRequest) -> dict[str, str]:
    """Where a page without script finds the whole answer."""
    asked = request.GET.copy()
    asked[WHOLE] = "yes"
    return {"whole_at": f"{reverse('bench')}?{asked.urlencode()}"}


def _known(sheet: BenchSheet, found: PlanView | FirstWord | None) -> dict[str, Any]:
    known: dict[str, Any] = {"sheet": sheet, "options": sheet.options, "once": new_key()}
    if isinstance(found, FirstWord):
        sizes = [(one, plan_words.size(one.size)) for one in found.sizes]
        lacking = [f"{one.missing} of {size}" for one, size in sizes if one.missing]
        return known | {"first": found, "sizes": sizes, "lacking": lacking}
    return known | {"plan": found, "answer": found.answer if found else None}


def _stack_on(sheet: BenchSheet) -> str:
    """The saved stack that was put on the bench, as long as its rows stand there."""
    if not sheet.stack:
        return ""
    try:
        saved = saved_stack(sheet.damper.code, sheet.stack)
    except DomainError:
        return ""
    as_saved = bench_sheet.with_stack(sheet.damper, saved.stack.valve, saved.stacks)
    return sheet.stack if sheet.stands_as(as_saved) else ""


def _chosen(data: Mapping[str, str]) -> BenchSheet | None:
    """What an address names: a recorded plan, or a damper with perhaps a saved stack."""
    plan = whole_number(data.get("plan", ""))
    if plan is not None:
        sent = cast(SentPlan, dict(reserve.plan_called(plan).request))
        if data.get("job"):
            sent["job"] = data["job"]
        return bench_sheet.from_request(damper_called(sent["damper"]), sent)
    code, _, stack = data.get("on", "").partition(STACK_OF)
    code, stack = data.get("damper", code), data.get("stack", stack)
    if not code:
        return None
    damper = damper_called(code)
    if not stack:
        return bench_sheet.empty(damper)
    saved = saved_stack(code, stack)
    return bench_sheet.with_stack(damper, saved.stack.valve, saved.stacks, stack)


def _typed(request: HttpRequest) -> BenchSheet:
    """The bench as it was sent. Raises DomainError `not_found` for an unknown damper."""
    return bench_sheet.from_post(damper_called(request.POST.get("damper", "")), request.POST)


def _do(sheet: BenchSheet, do: str) -> None:
    """Carries out a button of the rows: `remove:main-rebound:3`, `insert:...`; or ends a row."""
    verb, _, rest = do.partition(":")
    key, _, place = rest.rpartition(":")
    side, index = sheet.side(key), whole_number(place, digits=3)
    if side is None or index is None:
        return
    if verb == "remove":
        stack_rows.remove(side, index)
    elif verb == "insert":
        stack_rows.insert(side, index)
    elif verb == "end":
        stack_rows.end(side)


def _first(sheet: BenchSheet) -> PlanView | FirstWord | None:
    """What can be built, or what is known of it before stand-ins are looked for; None as with _preview()."""
    asked = _asked(sheet)
    found = None if asked is None else _refusing(sheet, lambda: first_word(asked))
    return found if isinstance(found, FirstWord) else _view(sheet, found.document if found else None)


def _preview(sheet: BenchSheet) -> PlanView | None:
    """What can be built, without keeping it; None while something cannot be read or nothing is typed."""
    return _view(sheet, _planned(sheet))


def _view(sheet: BenchSheet, document: Mapping[str, Any] | None) -> PlanView | None:
    readings = sheet.request().get("readings")
    if document is None:
        return None
    sheet.shown = mark_of(document)
    return view_of(document, sheet.damper.document, readings)


def _planned(sheet: BenchSheet, *, alternatives: int = 0) -> dict[str, Any] | None:
    """The document of a plan that is not kept; None while something cannot be read or nothing is typed."""
    asked = _asked(sheet)
    found = None if asked is None else _refusing(sheet, lambda: make_plan(asked, alternatives=alternatives))
    return found.document if found else None


def _asked(sheet: BenchSheet) -> AskedPlan | None:
    """The request checked; None, with what is wrong marked on the sheet, while there is none to answer."""
    sheet.options.is_valid()
    return _refusing(sheet, lambda: sheet.checked()[1]) if sheet.can_be_asked else None


def _refusing(sheet: BenchSheet, ask: Callable[[], Found]) -> Found | None:
    """What is asked for; None where it is refused, which the sheet then shows."""
    try:
        return ask()
    except DomainError as error:
        sheet.refuse(error)
    return None
