"""The page of saved stacks that can be built from the shelf as it is now."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from compat.pages.plan import plan_words
from compat.plans import today
from compat.plans.drawn import size_of
from compat.plans.today import Made
from inventory.common.quantities import whole_number
from inventory.counter.pages import page as a_page
from inventory.dampers.selectors import stack_names
from inventory.people.roles import STAFF

MOST_PAGES = 10_000
WORDS = {
    today.AS_WRITTEN: "As written",
    today.WITH_STAND_INS: "With stand-ins",
    today.SHORT: "Short",
    today.UNREADABLE: "Cannot be read on this damper",
}


@dataclass(frozen=True, slots=True)
class Row:
    """One saved stack in words."""

    made: Made
    bench: str

    @property
    def state(self) -> str:
        return WORDS[self.made.state]

    @property
    def lacks(self) -> str:
        """What is short, and whether anything stands in for it."""
        said = [f"{number} of {plan_words.size(size_of(size))}" for size, number in self.made.short]
        if self.made.no_spacer:
            said.append(f"no spacer: {self.made.no_spacer.replace('_', ' ')}")
        if self.made.no_nut:
            said.append(f"no nut {self.made.no_nut}")
        return ", ".join(said)


@a_page(see=STAFF)
def buildable(request: HttpRequest) -> HttpResponse:
    """Every saved stack of one damper model, or of all, and of which sizes one more piece would help most."""
    damper = request.GET.get("damper") or None
    page = min(max(whole_number(request.GET.get("page", ""), digits=6) or 1, 1), MOST_PAGES)
    start = (page - 1) * today.MOST_STACKS
    found = today.today(damper, start=start, most=today.MOST_STACKS + 1)
    made = found[: today.MOST_STACKS]
    rows = [Row(one, f"{reverse('bench')}?{urlencode({'damper': one.damper, 'stack': one.name})}") for one in made]
    counts = [(word, sum(one.state == state for one in made)) for state, word in WORDS.items()]
    known: dict[str, Any] = {
        "rows": rows,
        "counts": [(word, count) for word, count in counts if count],
        "one_more": [{**one, "size": plan_words.size(one)} for one in today.one_more(made)],
        "dampers": list(dict.fromkeys((code, name) for code, name, _ in stack_names())),
        "damper": damper or "",
        "newer": page - 1,
        "older": page + 1 if len(found) > len(made) else 0,
        "first": start + 1,
        "last": start + len(made),
    }
    return render(request, "compat/buildable.html", known)
