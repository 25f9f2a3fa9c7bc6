"""The shelf at a glance: shims as a grid of sizes, other parts as lists."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.db.models import Exists, OuterRef, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.models import Part
from inventory.common import quantities
from inventory.counter.browsing import grids
from inventory.counter.browsing.part_words import size_line
from inventory.counter.pages import page
from inventory.holds import amounts
from inventory.stock import browsing
from inventory.stock.models import Balance, Condition

CONDITIONS: dict[str, tuple[str, tuple[str, ...]]] = {
    "new": ("New", (Condition.NEW,)),
    "take_off": ("Take-offs", (Condition.TAKE_OFF,)),
    "both": ("Both", (Condition.NEW, Condition.TAKE_OFF)),
}
SHIM = "shim"
PARTS_A_PAGE = 200
ROUND = "round"


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the links by which one chooses what to look at."""

    title: str
    query: str
    here: bool


@page()
def shelf(request: HttpRequest) -> HttpResponse:
    """The grid of a bore, or the list of another kind."""
    condition = request.GET.get("condition", "new")
    condition = condition if condition in CONDITIONS else "new"
    kind = request.GET.get("kind", SHIM)
    known = browsing.kinds()
    asked = (
        _list(kind, condition, request.GET.get("page", ""))
        if kind in KINDS and kind != SHIM
        else _grid(request, condition)
    )
    kinds = [
        Choice(
            f"{KINDS[code].title} {known.get(code, 0)}", urlencode({"kind": code, "condition": condition}), code == kind
        )
        for code in KINDS
    ]
    return render(request, "counter/shelf.html", {"kinds": kinds, "empty": not known, "condition": condition, **asked})


def _grid(request: HttpRequest, condition: str) -> dict[str, Any]:
    """What the grid's page shows; four queries."""
    bores = browsing.bores()
    bore = _bore(request.GET.get("bore", ""), bores)
    forms = bores.get(bore, {})
    form = request.GET.get("form", ROUND)
    if form not in forms:
        form = ROUND if ROUND in forms else next(iter(forms), ROUND)
    here = {"bore": quantities.short_mm(bore), "form": form, "condition": condition}
    return {
        "grid": grids.read(bore_um=bore, form=form, conditions=CONDITIONS[condition][1]),
        "bore": quantities.short_mm(bore),
        "unknown_bore": bool(request.GET.get("bore")) and bore not in bores,
        "form": form,
        "bores": [_choice(f"{quantities.short_mm(one)} mm", here, bore=quantities.short_mm(one)) for one in bores],
        "forms": [_choice(one, here, form=one) for one in sorted(forms, key=lambda one: (one != ROUND, one))]
        if len(forms) > 1
        else [],
        "conditions": [_choice(title, here, condition=one) for one, (title, _) in CONDITIONS.items()],
    }


def _list(kind: str, condition: str, page: str) -> dict[str, Any]:
    """What a page of the list of a kind shows; five queries however many parts there are."""
    here = {"kind": kind, "condition": condition}
    there = Balance.objects.filter(
        lot__part=OuterRef("pk"), lot__condition__in=CONDITIONS[condition][1], lot__retired_at=None, on_hand__gt=0
    )
    parts = list(Part.objects.filter(Q(retired_at=None) | Exists(there), kind=kind).order_by("number"))
    # Sizes are words in columns of their kind, so their order is made here, of all.
    sizes = {row.pk: size_line(row) for row in KINDS[kind].table._default_manager.all()}
    shown = Paginator(sorted(parts, key=lambda part: _by_size(sizes[part.pk])), PARTS_A_PAGE).get_page(page)
    known = amounts.of_parts(list(shown))
    rows = []
    for part in shown:
        its = [known[part.pk, one] for one in CONDITIONS[condition][1]]
        on_hand, available = sum(one.on_hand for one in its), sum(one.available for one in its)
        rows.append({"part": part, "size": sizes[part.pk], "available": available, "on_hand": on_hand})
    return {
        "rows": rows,
        "page": shown,
        "query": urlencode(here),
        "kind": KINDS[kind].title,
        "conditions": [_choice(title, here, condition=one) for one, (title, _) in CONDITIONS.items()],
    }


def _bore(typed: str, bores: Mapping[int, Mapping[str, int]]) -> int:
    """The bore that was asked for in micrometres, else the one with the most parts, else nothing."""
    try:
        return quantities.um_from_mm(typed, comma=True)
    except ValueError:
        return max(bores, key=lambda bore: sum(bores[bore].values()), default=0)


def _choice(title: str, here: Mapping[str, str], **changed: str) -> Choice:
    return Choice(title, urlencode({**here, **changed}), {**here, **changed} == here)


def _by_size(text: str) -> list[tuple[bool, float, str]]:
    """Sorts `M8x1` before `M10x1.25`: numbers by their value, before words."""
    words = re.findall(r"\d++(?:\.\d++)?|[^\d\s]++", text)
    return [(not word[0].isdecimal(), float(word) if word[0].isdecimal() else 0.0, word) for word in words]
