"""A hold by its address: what it keeps, for whom, and releasing it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from inventory.common import clock
from inventory.common.errors import DomainError
from inventory.counter.browsing.part_words import size_line
from inventory.counter.commands import carry_out, new_key
from inventory.counter.pages import actor_of, page
from inventory.holds.models import HOLDING, State
from inventory.holds.selectors import lines_of, visible_holds
from inventory.holds.services import release_hold
from inventory.jobs.selectors import jobs_of_holds, plans_of_holds
from inventory.people.roles import STAFF
from inventory.stock.selectors import sizes_of

# What stands above the lines of a hold that keeps nothing any more.
KEPT_UNTIL = {
    State.RELEASED: "Kept until released",
    State.LAPSED: "Kept until it lapsed",
    State.USED: "Kept until used",
}


@page(see=STAFF)
def hold(request: HttpRequest, hold: int) -> HttpResponse:
    """What the hold keeps."""
    rows = visible_holds(actor_of(request)).select_related("person", "client")
    found = rows.filter(pk=hold).first()
    if found is None:
        raise DomainError("not_found", what="hold", which=str(hold))
    over = found.is_over(clock.now())
    state = State.LAPSED if over else State(found.state)
    lines = lines_of([hold])
    sizes = sizes_of(line.balance.lot.part for line in lines)
    known = {
        "hold": found,
        "state": state,
        "keeps": found.state in HOLDING and not over,
        "kept_until": KEPT_UNTIL.get(state, ""),
        "lines": [(line, size_line(sizes[line.balance.lot.part_id])) for line in lines],
        "job": jobs_of_holds([hold]).get(hold),
        "of_plan": plans_of_holds([hold]).get(hold),
        "once": new_key(),
    }
    return render(request, "compat/hold.html", known)


@page(see=(), send=STAFF)
def release(request: HttpRequest, hold: int) -> HttpResponse:
    """Gives everything back."""
    actor, paid = actor_of(request), request.POST.get("paid") == "yes"

    def work() -> str:
        release_hold(hold=hold, actor=actor, paid=paid)
        return reverse("hold", kwargs={"hold": hold})

    response = carry_out(request, work)
    messages.success(request, f"Hold {hold} is released: its pieces are free again.")
    return response
