"""The start page: each role's next things."""

from __future__ import annotations

from datetime import timedelta
from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.common import clock
from inventory.counter.pages import actor_of, page
from inventory.holds.selectors import short_holds
from inventory.jobs.selectors import holds_of_jobs, recent_plans
from inventory.people.models import Person
from inventory.people.roles import Role
from inventory.receiving.checking import counts_that_differed, drawers_to_count, lots_to_measure
from inventory.receiving.models import Delivery

MOST = 8
LATELY = timedelta(days=14)


@page()
def start(request: HttpRequest) -> HttpResponse:
    """What waits for whoever is signed in."""
    role = actor_of(request).role
    known: dict[str, Any] = {"short": short_holds(MOST)}
    if role != Role.CLERK:
        person = cast(Person, request.user)
        known |= {"bench": True, "plans": recent_plans(person, MOST), "kept": holds_of_jobs(MOST)}
    if role != Role.TUNER:
        deliveries = Delivery.objects.select_related("supplier", "person").order_by("-pk")
        known |= {"desk": True, "deliveries": list(deliveries[:MOST]), "to_count": drawers_to_count(MOST)}
        known |= {"to_measure": lots_to_measure(MOST)}
    if role == Role.LEAD:
        known |= {"lead": True, "differed": counts_that_differed(clock.now() - LATELY, MOST)}
    return render(request, "counter/start.html", known)
