"""Taking in: starting a delivery, its lines one after another, and undoing one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.urls import reverse

from inventory.catalogue.models import Supplier
from inventory.common import clock
from inventory.common.errors import DomainError
from inventory.counter.browsing.part_words import size_line
from inventory.counter.commands import carry_out, go
from inventory.counter.pages import actor_of, is_swap, page
from inventory.counter.taking_in import delivery_lines, new_parts
from inventory.counter.taking_in.delivery_forms import OF_BAG, StartDelivery, TakeLine, UndoLine
from inventory.counter.taking_in.part_choosing import meant
from inventory.people.roles import DESK, STAFF
from inventory.receiving import selectors
from inventory.receiving.models import Delivery
from inventory.receiving.services import start_delivery
from inventory.receiving.undoing import Undone, undo_line

MOST_SHOWN = 20
MOST_LINES = 50
ASKS = ("ask_drawer", "ask_readings")
# What somebody typed of a line, kept while a part is made for it.
TYPED = ("quantity", "drawer", "readings", "lot", "condition", "cure_date", "source", "unit_cost", "filled", *ASKS)


@page(see=DESK, send=DESK)
def take_in(request: HttpRequest) -> HttpResponse:
    """Starts a delivery; below it the last ones."""
    today = clock.today()
    form = StartDelivery(
        request.POST or None, initial={"number": selectors.next_number(today), "received_on": today.isoformat()}
    )
    if request.method == "POST" and form.is_valid():
        asked = {name: form.cleaned_data[name] for name in ("number", "supplier", "note", "received_on")}

        def work() -> str:
            return reverse("delivery", args=[start_delivery(**asked, actor=actor_of(request)).pk])

        try:
            return carry_out(request, work)
        except DomainError as error:
            _refuse_start(form, error)
    form.focus()
    shown = {
        "form": form,
        "suppliers": Supplier.objects.order_by("name").values_list("name", flat=True),
        "arrived": selectors.last_deliveries(MOST_SHOWN),
    }
    return render(request, "counter/take_in.html", shown, status=422 if form.errors else 200)


@page(see=STAFF, send=DESK)
def delivery(request: HttpRequest, delivery: int) -> HttpResponse:
    """A delivery with its lines, and the row that takes the next one in."""
    found = selectors.delivery_with_id(delivery)
    if "make" in request.GET and actor_of(request).role in DESK:
        return new_parts.make(request, found, back=_back(found))
    if request.method == "POST":
        return _take(request, found)
    if is_swap(request):
        return render(request, "counter/_part_known.html", _known(request.GET))
    return _show(request, found, _begun(request.GET), known=request.GET)


@page(see=(), send=DESK)
def undo(request: HttpRequest, delivery: int) -> HttpResponse:
    """Undoes a line of a delivery."""
    found = selectors.delivery_with_id(delivery)
    form = UndoLine(request.POST)
    done: list[Undone] = []
    if form.is_valid():
        asked = {name: form.cleaned_data[name] for name in ("line", "reason")}

        def work() -> str:
            done.append(undo_line(delivery=found.pk, **asked, actor=actor_of(request)))
            return _back(found)

        try:
            gone = carry_out(request, work)
        except DomainError as error:
            form.refuse(error)
        else:
            said = [text for one in done[-1:] for text in _told_undone(one)]
            if is_swap(request):
                return render(request, "counter/_delivery_lines.html", _lines(request, found, said=said))
            for text in said:
                messages.success(request, text)
            return gone
    if is_swap(request):
        return render(request, "counter/_delivery_lines.html", _lines(request, found, undoing=form), status=422)
    return _show(request, found, _begun(QueryDict()), undoing=form, status=422)


def _take(request: HttpRequest, delivery: Delivery) -> HttpResponse:
    """Takes a line in; or goes to make its part; or only puts the part in that was chosen."""
    sent = request.POST.copy()
    chosen = sent.get("choose")
    stale = bool(chosen or sent.get("make")) and not _still_offered(sent)
    if "make" in sent and not stale:
        typed = {name: str(sent[name]) for name in TYPED if sent.get(name)}
        if typed.get("drawer", "").casefold() == typed.pop("filled", "").casefold():
            typed.pop("drawer", None)
        return go(request, f"{_back(delivery)}?{urlencode(new_parts.asked_for(sent) | typed)}")
    if chosen and not stale:
        # The bag is the same; only what it is has been said now.
        if sent.get("typed_for", "").strip().casefold() == sent.get("part", "").strip().casefold():
            sent["typed_for"] = chosen
        sent["part"] = chosen
        if not sent.get("quantity"):
            return _show(request, delivery, _begun(sent), known=sent)
    form = TakeLine(sent)
    other = None
    if stale:
        form.add_error("part", "That was offered for another part than this one. Look, and send it again.")
    elif form.is_valid():
        taken: list[str] = []

        def work() -> str:
            line = delivery_lines.take_line(delivery=delivery, asked=form.cleaned_data, actor=actor_of(request))
            taken.append(delivery_lines.told(line))
            return _back(delivery, **{name: "on" for name in ASKS if form.cleaned_data[name]})

        try:
            gone = carry_out(request, work)
        except DomainError as error:
            other = delivery_lines.refuse(form, error)
        else:
            if is_swap(request) and "goes_on" in sent:
                # The row has been emptied when it was sent, and the next part may stand in it already.
                shown = _lines(request, delivery, said=taken[-1:])
                swap = {"HX-Retarget": "#lines", "HX-Reswap": "outerHTML"}
                return _headed(render(request, "counter/_delivery_lines.html", shown), swap)
            if is_swap(request):
                asks = frozenset(name for name in ASKS if form.cleaned_data[name])
                return _show(request, delivery, _fresh(TakeLine(asks=asks)), said=taken[-1:])
            for text in taken[-1:]:
                messages.success(request, text)
            return gone
    form.remember_part()
    form.focus()
    return _show(request, delivery, form, known=sent, other=other, status=422)


def _still_offered(sent: Mapping[str, Any]) -> bool:
    """Whether the part still stands there for which another size was offered, if it was."""
    offered = str(sent.get("offered_for", ""))
    return not offered or offered.casefold() == str(sent.get("part", "")).strip().casefold()


def _show(
    request: HttpRequest,
    delivery: Delivery,
    form: TakeLine,
    *,
    known: Mapping[str, Any] | None = None,
    other: delivery_lines.OtherSize | None = None,
    undoing: UndoLine | None = None,
    said: list[str] | None = None,
    status: int = 200,
) -> HttpResponse:
    """The row with the lines below it: as a fragment where it is swapped, else as the page."""
    of_part = _known(known or {})
    if of_part["known"]:
        form.fill_drawer(of_part["known"].drawer)
    more = any(form.errors.get(name) for name in ("lot", "condition", "cure_date", "source", "unit_cost"))
    shown = {"form": form, "other": other, "more": more, **of_part}
    shown |= _lines(request, delivery, undoing=undoing, said=said)
    name = "counter/_delivery_desk.html" if is_swap(request) else "counter/delivery.html"
    # The row that asked may be gone: another answer has put a new one in its place.
    return _headed(render(request, name, shown, status=status), {"HX-Retarget": "#desk"} if is_swap(request) else {})


def _headed(response: HttpResponse, headers: Mapping[str, str]) -> HttpResponse:
    for name, value in headers.items():
        response[name] = value
    return response


def _lines(
    request: HttpRequest, delivery: Delivery, *, undoing: UndoLine | None = None, said: list[str] | None = None
) -> dict[str, Any]:
    """The lines with a form to undo each; `undoing` is the form that was refused."""
    may_send = actor_of(request).role in DESK
    wrong = str(undoing["line"].value()) if undoing is not None else ""
    rows = []
    taken, shown = selectors.lines_of(delivery, page=request.GET.get("page", ""), size=MOST_LINES)
    for one in taken:
        key = one.line.pk
        form = UndoLine(initial={"line": key}, auto_id=f"id_undo_{key}_%s") if may_send and not one.undone else None
        refused = undoing if wrong == str(key) else None
        if refused is not None:
            refused.auto_id = f"id_undo_{key}_%s"
            refused.focus()
        rows.append(
            {
                "taken": one,
                "size": size_line(one.sizes) if one.sizes is not None else "",
                "mean": delivery_lines.mean_text(one.measured.mean_um) if one.measured else "",
                "form": form if refused is None or one.undone else refused,
                "refused": refused,
            }
        )
    lost = undoing if undoing is not None and not any(row["refused"] for row in rows) else None
    more = {"lines": shown.paginator.count, "line_page": shown}
    return {"delivery": delivery, "rows": rows, "may_send": may_send, "said": said or [], "lost": lost, **more}


def _known(sent: Mapping[str, Any]) -> dict[str, Any]:
    """What is shown of the part that was typed: the part itself, or those that may be meant."""
    text = str(sent.get("part", "")).strip()[:40]
    found = meant(text)
    shown: dict[str, Any] = {"typed": text, "known": None, "read_as": found.read_as}
    shown |= {"candidates": found.candidates, "more_candidates": found.more}
    if found.part is not None:
        shown["known"] = delivery_lines.known(found.part, str(sent.get("condition", "")))
    return shown


def _begun(sent: Mapping[str, Any]) -> TakeLine:
    """A row that was not sent yet, with what is known of it filled in."""
    initial = {name: str(sent[name]) for name in ("part", *TYPED) if sent.get(name)}
    if any(initial.get(name) for name in OF_BAG):
        initial["typed_for"] = initial.get("part", "")
    asks = frozenset(name for name in ASKS if initial.pop(name, ""))
    return _fresh(TakeLine(initial=initial, asks=asks))


def _fresh(form: TakeLine) -> TakeLine:
    form.focus()
    return form


def _back(delivery: Delivery, **query: str) -> str:
    address = reverse("delivery", args=[delivery.pk])
    return f"{address}?{urlencode(query)}" if query else address


def _refuse_start(form: StartDelivery, error: DomainError) -> None:
    """Shows why a delivery was not started; a number that somebody else took meanwhile gets its successor."""
    if error.code == "conflict":
        free = selectors.next_number(clock.today())
        form.add_error("number", f"Delivery {error.data['which']} is there already; {free} is free.")
    else:
        form.refuse(error)


def _told_undone(done: Undone) -> list[str]:
    """What undoing a line did, and whose pieces it took."""
    line = done.line
    told = [f"Undone: {line.quantity} of lot {line.lot.number} are off the shelf again."]
    if done.left:
        told.append(f"A count had found {done.left} more in the drawer; they stay in lot {line.lot.number}.")
    told += [f"Hold {one.hold.pk} of {one.owner} lost {one.by} and is short; tell them." for one in done.shortened]
    return told
