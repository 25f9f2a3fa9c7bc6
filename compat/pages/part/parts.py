"""One part: its sizes and drawing, what is on the shelf, whom it is held for, what it fits, what happened to it."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import Model, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from compat.pages.part.part_fits import fits_of, picture_of
from compat.pages.part.part_sheet import PartSheet, initial
from inventory.amendments.models import Subject
from inventory.amendments.selectors import amendments_of
from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError
from inventory.counter.browsing import ledger_rows, owners, places
from inventory.counter.browsing.part_words import size_facts, size_line
from inventory.counter.browsing.sheets import mend
from inventory.counter.commands import carry_out
from inventory.counter.pages import actor_of, page
from inventory.holds import amounts
from inventory.people.roles import DESK, STAFF
from inventory.stock import amending, browsing
from inventory.stock.models import Condition
from inventory.stock.selectors import part_called, sizes_of


@page(see=STAFF, send=DESK)
def part(request: HttpRequest, number: str) -> HttpResponse:
    """Looks at a part, or corrects it."""
    found = part_called(number)
    return _edit(request, found) if request.method == "POST" else _page(request, found)


def _edit(request: HttpRequest, found: Part) -> HttpResponse:
    # A form that was opened before the first lot came in still sends sizes; they are refused, not passed over.
    sent = {size.name for size in KINDS[found.kind].sizes if size.name in request.POST}
    form = PartSheet(request.POST, kind=KINDS[found.kind], sizes=sent)
    if form.is_valid():
        said = form.cleaned_data

        def work() -> str:
            amending.edit_part(
                number=found.number, edit=form.edit(), read=said["read"], reason=said["reason"], actor=actor_of(request)
            )
            return reverse("part", args=[found.number])

        try:
            response = carry_out(request, work)
            messages.success(request, "The part is corrected.")
            return response
        except DomainError as error:
            mend(form, error, amending.seen(_reads(part_called(found.number))), {amending.STATE: "retired"})
    return _page(request, part_called(found.number), form, status=422)


def _page(request: HttpRequest, found: Part, form: PartSheet | None = None, *, status: int = 200) -> HttpResponse:
    row = sizes_of([found])[found.pk]
    reads = amending.part_reads(found, row)
    full, empty = browsing.lots_of(found, most=places.MOST_SHOWN)
    has_lots = bool(full.lots or empty.lots)
    known = amounts.of_parts([found])
    kind = KINDS[found.kind]
    still_open = amending.open_with_lots(kind, reads) if has_lots else {size.name for size in kind.sizes}
    if form is None:
        form = PartSheet(initial=initial(reads, amending.seen(reads)), kind=kind, sizes=still_open)
    else:
        form.focus()
    movements, amendments = browsing.movements_of_part(found), amendments_of(Subject.PART, found.pk)
    shown: dict[str, object] = {
        "part": found,
        "size": size_line(row),
        "kind": kind.title,
        "facts": size_facts(kind, row),
        "new": known[found.pk, Condition.NEW],
        "take_off": known[found.pk, Condition.TAKE_OFF],
        "lots": places.of_lots(full.lots),
        "more_lots": full.in_all - len(full.lots),
        "spent": empty.lots,
        "all_spent": empty.in_all,
        "held": owners.held_of(Q(balance__lot__part=found)),
        "fits": fits_of(found),
        "history": ledger_rows.history(movements, page=request.GET.get("page", ""), amendments=amendments),
        "form": form,
        "fixed": has_lots,
        "may_tell_compound": bool(has_lots and still_open),
        "may_write": actor_of(request).role in DESK,
    }
    return render(request, "compat/part.html", {**shown, **_picture(found, row)}, status=status)


def _picture(found: Part, row: Model) -> dict[str, object]:
    picture = picture_of(found, row)
    return {} if picture is None else {"drawing": picture[0], "notes": picture[1]}


def _reads(found: Part) -> dict[str, str]:
    return amending.part_reads(found, sizes_of([found])[found.pk])
