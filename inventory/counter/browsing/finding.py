"""The search: a scan goes straight to its page, anything else gives a list."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from inventory.catalogue.models import Part
from inventory.common.sizes.echo import heard
from inventory.common.sizes.table import UNDERSTOOD
from inventory.counter.browsing import searching, typed_sizes
from inventory.counter.browsing.part_words import size_line
from inventory.counter.browsing.searching import Named
from inventory.counter.browsing.typed_sizes import Typed
from inventory.counter.pages import page
from inventory.holds import amounts
from inventory.stock.models import Balance, Condition
from inventory.stock.selectors import sizes_of

LONGEST = 100
MOST_DRAWERS = 5


@page()
def find(request: HttpRequest) -> HttpResponse:
    """What is called so or has this size, with what is available and where."""
    typed = request.GET.get("q", "")
    text = " ".join("".join(sign if sign.isprintable() else " " for sign in typed[:LONGEST]).split())
    if not text:
        return render(request, "counter/find.html", {"q": "", "understood": UNDERSTOOD})
    named = searching.by_text(text)
    if address := searching.address_of(named, text):
        return HttpResponseRedirect(address)
    size = typed_sizes.read(text)
    shown = {"q": text, "long": len(typed) > LONGEST, "understood": UNDERSTOOD}
    shown |= {"read_as": heard(text), "not_a_size": typed_sizes.refused(text)}
    return render(request, "counter/find.html", {**shown, **_found(named, size)})


def _found(named: Named, size: Typed | None) -> dict[str, Any]:
    of_size = searching.of_size(size) if size else []
    nearby = searching.near(size) if size else []
    # A number alone is a diameter; then texts that merely contain it say little.
    listed = [part for part in named.parts if part not in of_size]
    shown = {part.pk: part for part in [*of_size, *listed, *(part for part, _ in nearby)]}
    known = amounts.of_parts(list(shown.values()))
    free = {key for key, part in shown.items() if any(known[key, one].available for one in Condition)}
    if any(part.pk in free for part in of_size):
        nearby = []
    near = [part for part, _ in nearby if part.pk in free][: searching.NEAR]
    rows = _rows([*of_size, *listed, *near], known)
    return {
        "of_size": [rows[part.pk] for part in of_size],
        "parts": [rows[part.pk] for part in listed],
        "near": [rows[part.pk] for part in near],
        "size": size,
        "named": named,
        "nothing": not (of_size or near or any(named.groups().values())),
    }


def _rows(parts: list[Part], known: dict[tuple[int, str], amounts.Amounts]) -> dict[int, dict[str, Any]]:
    """{part id: what a line of the list shows}; two queries and one for each kind."""
    sizes, drawers = sizes_of({part.pk: part for part in parts}.values()), _drawers(parts)
    return {
        part.pk: {
            "part": part,
            "size": size_line(sizes[part.pk]),
            "new": known[part.pk, Condition.NEW],
            "take_off": known[part.pk, Condition.TAKE_OFF],
            "drawers": drawers.get(part.pk, [])[:MOST_DRAWERS],
            "more_drawers": max(0, len(drawers.get(part.pk, [])) - MOST_DRAWERS),
        }
        for part in parts
    }


def _drawers(parts: list[Part]) -> dict[int, list[str]]:
    """{part id: the drawers it lies in}; one query."""
    rows = Balance.objects.filter(lot__part__in=parts, lot__retired_at=None, on_hand__gt=0)
    found: dict[int, list[str]] = {}
    for part, code in rows.values_list("lot__part_id", "drawer__code").order_by("drawer__code").distinct():
        found.setdefault(part, []).append(code)
    return found
