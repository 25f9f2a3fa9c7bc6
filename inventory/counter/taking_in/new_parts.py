"""Making a part while a delivery is taken in, and coming back with it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.catalogue.kinds.registry import KINDS, Kind, Length
from inventory.catalogue.models import Part, Unit
from inventory.catalogue.services import create_part
from inventory.common.errors import DomainError
from inventory.common.quantities import mm_text, short_mm
from inventory.counter.browsing.part_words import size_line
from inventory.counter.browsing.typed_sizes import shim_size
from inventory.counter.commands import carry_out
from inventory.counter.forms import CommandSheet, Line, mark_optional
from inventory.counter.taking_in.part_choosing import meant
from inventory.receiving.models import Delivery
from inventory.stock.selectors import sizes_of

UNITS = [(Unit.PIECE, "pieces"), (Unit.MILLILITRE, "millilitres"), (Unit.GRAM, "grams")]
OWN = {"make", "part", "once", "csrfmiddlewaretoken"}


class NewPart(CommandSheet):
    """A part of one kind; its sizes are those that the kind registers."""

    number = Line(label="Part number")
    name = Line(label="Name", most=120, help_text="Empty: made from the kind and the sizes.", required=False)

    def __init__(self, *args: Any, kind: Kind, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        for size in kind.sizes:
            self.fields[size.name] = _field(size)
        units = [(unit, words) for unit, words in UNITS if unit in kind.units]
        self.fields["unit"] = forms.ChoiceField(label="Counted in", choices=units, initial=kind.units[0])
        self.order_fields(["number", *(size.name for size in kind.sizes), "name", "unit"])

    def sizes(self) -> dict[str, str]:
        """The sizes as typed, by their outside names."""
        return {size.name: str(self.cleaned_data.get(size.name) or "") for size in self.kind.sizes}


def asked_for(sent: Mapping[str, Any]) -> dict[str, str]:
    """The query that asks for a new part, from a row that was sent: its number, or the sizes that were read.

    `make` in what was sent is empty, or the thickness in millimetres that was measured instead of the part's own.
    """
    text, thickness = str(sent.get("part", "")).strip()[:40], str(sent.get("make", ""))[:10]
    part = meant(text).part if thickness else None
    if part is not None and part.kind == "shim":
        sizes = KINDS["shim"].show(sizes_of([part])[part.pk])
        shown = {name: f"{value:g}" if isinstance(value, float) else str(value) for name, value in sizes.items()}
        return {"make": "shim", **shown, "thickness_mm": thickness}
    size = shim_size(text)
    if not size:
        return {"make": "", "part": text}
    names = ("od_mm", "thickness_mm", "bore_mm")
    texts = (short_mm(size[0]), mm_text(size[1]), *(short_mm(um) for um in size[2:]))
    return {"make": "shim", **dict(zip(names, texts, strict=False))}


def make(request: HttpRequest, delivery: Delivery, *, back: str) -> HttpResponse:
    """The page for a new part: first its kind, then its sizes; afterwards back to the row with it."""
    query = {name: value for name, value in request.GET.items() if name not in OWN}
    number, kind = request.GET.get("part", ""), KINDS.get(request.GET["make"])
    shown = {"delivery": delivery, "number": number, "back": f"{back}?{urlencode({'part': number, **query})}"}
    if kind is None:
        choices = [(one.title, urlencode({"make": one.code, "part": number, **query})) for one in KINDS.values()]
        return render(request, "counter/new_part.html", {"kinds": choices, **shown})
    sizes = {size.name: query.pop(size.name) for size in kind.sizes if size.name in query}
    form = NewPart(request.POST or None, kind=kind, initial={"number": number, **sizes})
    if request.method == "POST" and form.is_valid():
        found = form.cleaned_data

        def work() -> str:
            part = _create(form, found)
            return f"{back}?{urlencode({'part': part.number, **query})}"

        try:
            return carry_out(request, work)
        except DomainError as error:
            _refuse(form, error)
    form.focus()
    return render(
        request, "counter/new_part.html", {"form": form, "kind": kind, **shown}, status=422 if form.errors else 200
    )


def _create(form: NewPart, found: Mapping[str, Any]) -> Part:
    """The part; without a name it is called by its kind and sizes."""
    sizes = form.sizes()
    part = create_part(
        number=found["number"],
        kind=form.kind.code,
        name=found["name"] or form.kind.title,
        sizes=sizes,
        unit=found["unit"],
        comma=True,
    )
    if not found["name"]:
        part.name = f"{form.kind.title} {size_line(sizes_of([part])[part.pk])}"[:120]
        part.save(update_fields=["name"])
    return part


def _refuse(form: NewPart, error: DomainError) -> None:
    if error.code == "conflict":
        form.add_error("number", f"Part {error.data['which']} is there already; use it, or choose another number.")
    else:
        form.refuse(error)


def _field(size: Any) -> forms.Field:
    """The field of a size. What must hold is the registry's to say, so the field takes any text."""
    if isinstance(size, Length):
        shown: forms.Field = Line(label=f"{size.meaning.capitalize()}, mm", required=False)
        shown.widget.attrs.update({"inputmode": "decimal", "class": "number"})
    elif size.choices:
        choices = [(one, one.replace("_", " ")) for one in size.choices]
        shown = forms.ChoiceField(
            label=size.meaning.capitalize(), choices=choices, initial=size.default, required=False
        )
    else:
        shown = Line(
            label=size.name.replace("_", " ").capitalize(), help_text=size.meaning.capitalize() + ".", required=False
        )
        shown.initial = size.default
    if isinstance(size, Length) and not size.required:
        mark_optional(shown)
    return shown
