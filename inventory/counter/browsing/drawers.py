"""One drawer: what lies in it, its history, counting it, and taking it out of use."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from inventory.amendments.models import Subject
from inventory.amendments.selectors import amendments_of
from inventory.common.errors import DomainError
from inventory.common.quantities import whole_number
from inventory.counter.browsing import count_sheet, ledger_rows, places
from inventory.counter.browsing.count_sheet import CountSheet
from inventory.counter.commands import carry_out
from inventory.counter.forms import CommandSheet, Line
from inventory.counter.pages import actor_of, page
from inventory.people.roles import DESK, STAFF
from inventory.receiving.services import count_drawer
from inventory.stock import browsing
from inventory.stock.amending import set_drawer_state
from inventory.stock.models import Drawer


class StateSheet(CommandSheet):
    """Why a drawer is taken out of use, or used again."""

    reason = Line(most=200, label="Why", help_text="It stays in the drawer's history.")


@page(see=STAFF, send=DESK)
def drawer(request: HttpRequest, code: str) -> HttpResponse:
    """Looks at a drawer, counts it, or changes whether it is in use."""
    found = browsing.drawer_at(code)
    if request.method != "POST":
        if "count" in request.GET and actor_of(request).role in DESK:
            return _count_page(request, found)
        return _page(request, found, StateSheet())
    deed = request.POST.get("deed")
    return _count(request, found) if deed == "count" else _set_state(request, found)


def _count(request: HttpRequest, found: Drawer) -> HttpResponse:
    form = _sheet(request, found)
    if form.is_valid():

        def work() -> str:
            asked = {"counted": form.counted(), "read": form.read(), "sure": form.sure()}
            done = count_drawer(drawer=found.code, **asked, actor=actor_of(request))
            return f"{_address(found)}?counted={count_sheet.address_words(one.count for one in done)}"

        try:
            return carry_out(request, work)
        except DomainError as error:
            if error.code == "count_again":
                # Read anew, so that what is sent again has been seen as it is.
                form = _sheet(request, found)
                form.is_valid()
                form.ask_again(error)
            else:
                form.refuse(error, **form.names())
    return _count_page(request, found, form)


def _sheet(request: HttpRequest, found: Drawer) -> CountSheet:
    """The fields that were sent, and those of what has come into the drawer since."""
    sent = count_sheet.sent_keys(request.POST)
    lots = [one for one in browsing.inside(found, named=sent) if one.on_hand or one.pk in sent]
    if len(lots) > count_sheet.MOST_LOTS:  # the drawer takes several sheets: what is new stands on another
        lots = [one for one in lots if one.pk in sent][: count_sheet.MOST_LOTS]
    return CountSheet(request.POST, lots=places.lying(lots))


def _set_state(request: HttpRequest, found: Drawer) -> HttpResponse:
    form = StateSheet(request.POST)
    retired = request.POST.get("deed") == "retire"
    if form.is_valid():
        reason = form.cleaned_data["reason"]

        def work() -> str:
            set_drawer_state(code=found.code, retired=retired, reason=reason, actor=actor_of(request))
            return _address(found)

        try:
            response = carry_out(request, work)
            messages.success(request, f"Drawer {found.code} is {'out of use' if retired else 'in use'}.")
            return response
        except DomainError as error:
            form.refuse(error)
    return _page(request, found, form)


def _count_page(request: HttpRequest, found: Drawer, form: CountSheet | None = None) -> HttpResponse:
    """The fields of a count, without what the ledger expects unless that was asked for."""
    inside, most = browsing.inside(found), count_sheet.MOST_LOTS
    sheets = max(1, -(-len(inside) // most))
    sheet = min(sheets, max(1, whole_number(request.GET.get("sheet", ""), digits=6) or 1))
    form = form or CountSheet(lots=places.lying(inside[(sheet - 1) * most : sheet * most]))
    form.focus()
    lines = form.lines()
    # Those at the end that are empty: no lot changes its place because something happened to it meanwhile.
    emptied = max((place for place, line in enumerate(lines, 1) if line[0].amounts.on_hand), default=0)
    known: dict[str, Any] = {
        "drawer": found,
        "form": form,
        "there": lines[:emptied],
        "emptied": lines[emptied:],
        "expected": "expected" in request.GET,
        "sheet": sheet,
        "sheets": range(1, sheets + 1) if sheets > 1 else (),
    }
    return render(request, "counter/count.html", known, status=422 if form.errors else 200)


def _page(request: HttpRequest, found: Drawer, form: forms.Form) -> HttpResponse:
    inside = [one for one in browsing.inside(found) if one.on_hand]
    lots = places.lying(inside[: places.MOST_SHOWN])
    amendments = amendments_of(Subject.DRAWER, found.pk)
    movements = browsing.movements_of_drawer(found)
    known: dict[str, Any] = {
        "drawer": found,
        "lots": lots,
        "more_lots": len(inside) - len(lots),
        "form": form,
        "results": count_sheet.results(found, request.GET.get("counted", "")),
        "history": ledger_rows.history(movements, page=request.GET.get("page", ""), amendments=amendments),
        "may_write": actor_of(request).role in DESK,
    }
    return render(request, "counter/drawer.html", known, status=422 if form.errors else 200)


def _address(found: Drawer) -> str:
    return reverse("drawer", args=[found.code])
