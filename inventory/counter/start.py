"""The start page: each role's next things."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.counter.pages import page


@page()
def start(request: HttpRequest) -> HttpResponse:
    """What waits for whoever is signed in."""
    return render(request, "counter/start.html", {})
