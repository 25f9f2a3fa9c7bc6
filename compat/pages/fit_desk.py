"""Placeholder: the page is being built."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.counter.pages import page


@page()
def fit_desk(request: HttpRequest, **words: Any) -> HttpResponse:
    return render(request, "counter/base.html")


@page()
def question(request: HttpRequest, **words: Any) -> HttpResponse:
    return render(request, "counter/base.html")
