"""One lot: what it is, where it lies, whom it is held for, what happened to it; correcting it and measuring it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from inventory.amendments.models import Subject
from inventory.amendments.selectors import amendments_of
from inventory.common.errors import DomainError
from inventory.common.quantities import mm_text
from inventory.counter.browsing import dot_strip, ledger_rows, owners, places
from inventory.counter.browsing.part_words import size_line
from inventory.counter.browsing.sheets import LotSheet, SampleSheet, WithdrawSheet, mend
from inventory.counter.commands import carry_out
from inventory.counter.pages import actor_of, page
from inventory.people.roles import DESK, STAFF
from inventory.stock import amending, browsing, sizes
from inventory.stock.amending import LotEdit
from inventory.stock.browsing import Sample
from inventory.stock.models import Lot
from inventory.stock.selectors import sizes_of
from inventory.stock.withdrawing import withdraw_readings

SEVERAL = 3  # readings, from which on answers take how far a lot scatters from them


@page(see=STAFF, send=DESK)
def lot(request: HttpRequest, number: str) -> HttpResponse:
    """Looks at a lot, corrects it, or adds readings."""
    found = browsing.lot_called(number)
    if request.method != "POST":
        return _page(request, found)
    deed = {"measure": _measure, "withdraw": _withdraw}.get(request.POST.get("deed", ""), _edit)
    return deed(request, found)


def _edit(request: HttpRequest, found: Lot) -> HttpResponse:
    form = LotSheet(request.POST)
    if form.is_valid():
        said = form.cleaned_data
        edit = LotEdit(said["supplier"], said["source"], said["received_on"], said["cure_date"])

        def work() -> str:
            amending.edit_lot(
                number=found.number, edit=edit, read=said["read"], reason=said["reason"], actor=actor_of(request)
            )
            return reverse("lot", args=[found.number])

        try:
            return _done(request, carry_out(request, work), "The lot is corrected.")
        except DomainError as error:
            mend(form, error, _read(browsing.lot_called(found.number)), {})
    return _page(request, found, edit=form)


def _measure(request: HttpRequest, found: Lot) -> HttpResponse:
    form = SampleSheet(request.POST, auto_id="sample-%s")
    if form.is_valid():
        readings = form.cleaned_data["readings"]

        def work() -> str:
            amending.add_sample(number=found.number, readings_um=readings, actor=actor_of(request))
            return reverse("lot", args=[found.number])

        try:
            return _done(request, carry_out(request, work), "The readings are kept.")
        except DomainError as error:
            if error.code in {"other_nominal_size", "mixed_sizes"}:
                form.add_error("readings", error.text)
            else:
                form.refuse(error, readings_um="readings")
    return _page(request, found, sample=form)


def _withdraw(request: HttpRequest, found: Lot) -> HttpResponse:
    form = WithdrawSheet(request.POST, auto_id="withdraw-%s")
    if form.is_valid():
        said = form.cleaned_data

        def work() -> str:
            withdraw_readings(
                lot=found.number, readings=said["readings"], reason=said["reason"], actor=actor_of(request)
            )
            return reverse("lot", args=[found.number])

        try:
            return _done(request, carry_out(request, work), "The readings are withdrawn; they count no more.")
        except DomainError as error:
            form.refuse(error)
    return _page(request, found, withdraw=form)


def _page(
    request: HttpRequest,
    found: Lot,
    *,
    edit: LotSheet | None = None,
    sample: SampleSheet | None = None,
    withdraw: WithdrawSheet | None = None,
) -> HttpResponse:
    samples = browsing.samples_of(found)
    nominal = sizes.thickness_um(found.part)
    reads = amending.lot_reads(found)
    its = places.of_lots([found])[0]
    movements, amendments = browsing.movements_of_lots([found.pk]), amendments_of(Subject.LOT, found.pk)
    known: dict[str, Any] = {
        "lot": found,
        "size": size_line(sizes_of([found.part])[found.part_id]),
        "condition": its.condition,
        "measured": its.measured,
        "life": its.life,
        "places": its.places,
        "held": owners.held_of(Q(balance__lot=found)),
        "samples": [_sample(one, withdraw) for one in samples],
        "withdraw": withdraw or WithdrawSheet(auto_id="withdraw-%s"),
        "few": sum(len(one.readings_um) for one in samples) < SEVERAL,
        "may_withdraw": any(one.readings_um for one in samples),
        "strip": dot_strip.strip([um for one in samples for um in one.readings_um], nominal) if nominal else None,
        "history": ledger_rows.history(
            movements, page=request.GET.get("page", ""), amendments=amendments, samples=samples
        ),
        "edit": edit or LotSheet(initial={**reads, "read": amending.seen(reads)}),
        "sample": sample or SampleSheet(auto_id="sample-%s"),
        "measurable": nominal is not None,
        "may_write": actor_of(request).role in DESK,
    }
    wrong = edit or sample or withdraw
    if wrong is not None:
        wrong.focus()
    return render(request, "counter/lot.html", known, status=422 if wrong is not None else 200)


def _sample(one: Sample, withdraw: WithdrawSheet | None) -> dict[str, Any]:
    counted = one.readings_um
    chosen = {str(key) for key in withdraw["readings"].value() or ()} if withdraw is not None else set()
    return {
        "at": one.at,
        "who": one.who,
        "readings": [
            {"key": taken.key, "mm": mm_text(taken.um), "withdrawn": taken.withdrawn, "on": str(taken.key) in chosen}
            for taken in one.taken
        ],
        "mean": f"{one.mean_um / 1000:.4f}" if counted else "",
        # One reading says nothing of scatter.
        "spread": mm_text(max(counted) - min(counted)) if len(counted) > 1 else "",
    }


def _read(found: Lot) -> str:
    return amending.seen(amending.lot_reads(found))


def _done(request: HttpRequest, response: HttpResponse, words: str) -> HttpResponse:
    messages.success(request, words)
    return response
