"""Sizes for a fit question from a damper model or from a part of the catalogue: nominal sizes, not readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from compat.asking.question import Places, Saved
from compat.asking.requests import blanks_with, open_rows
from compat.dampers import sealing_requests
from compat.pages.blanks import initial_of
from compat.pages.fit.fit_forms import Question
from compat.questions import asks
from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError, invalid
from inventory.dampers.document import DamperDocument
from inventory.dampers.models import StackRevision
from inventory.dampers.selectors import Damper
from inventory.stock.selectors import sizes_of


@dataclass(frozen=True, slots=True)
class Taken:
    """What was taken from where: {field name: text}, and the name of the source with what its sizes are; how many rows
    it has of each list whose rows have fields of their own."""

    values: dict[str, str]
    source: str
    rows: Mapping[str, int] = field(default_factory=dict)
    cited: Mapping[str, str] = field(default_factory=dict)

    def origin(self, name: str) -> str:
        """Where the text of a field comes from: a limit from its maker's instructions, all else from the source."""
        return self.cited.get(name, self.source)


def from_damper(asked: Question, damper: Damper, *, valve: str, side: str) -> Taken:
    """What a damper model tells of a question. Raises DomainError `invalid` for a valve that it does not have."""
    model, document = asked.room.model, damper.document
    assert model is not None
    codes = document.codes
    code = valve or model.valve or codes[0]
    chosen = document.valve(code)
    if chosen is None:
        raise invalid("valve", f"{damper.code} has no valve {code}; it has: {', '.join(codes)}")
    told = model.told(document, chosen, side or "compression")
    rows = {name: len(told.get(name) or ()) for name in open_rows(asked.room.request)}
    blanks = blanks_with(asked.room.request, rows)
    limits = sealing_requests.cited(document, model.limits)
    cited = {blank.name: f"{limits[blank.path]}, as {damper.code} says" for blank in blanks if blank.path in limits}
    return Taken(dict(initial_of(blanks, told)), f"{damper.code}, not measured", rows, cited)


def part_called(number: str, kind: str) -> Part:
    """A part of the kind that a question takes. Raises DomainError `not_found`, or `invalid` for another kind."""
    part = Part.objects.filter(number=number).first()
    if part is None:
        raise DomainError("not_found", what="part", which=number)
    if part.kind != kind:
        raise invalid("part", f"{number} is a {part.kind}; this question takes a {kind or 'damper model'}")
    return part


def from_part(asked: Question, part: Part) -> Taken:
    """What the catalogue tells of a part; two queries with the part's own."""
    assert asked.room.part is not None
    sizes = KINDS[part.kind].show(sizes_of([part])[part.pk])
    told = {"part": part.number, **{name: value for name, value in sizes.items() if value not in (None, "unknown")}}
    return Taken(dict(initial_of(asked.blanks, asked.room.part.told(told))), f"{part.number}, not measured")


def from_stack(asked: Question, damper: Damper, saved: StackRevision) -> Taken:
    """What a saved stack of a model tells, by nominal thickness. Raises DomainError `invalid` for one that the model
    cannot take any more, or that tells nothing of the question."""
    model, valve = asked.room.model, saved.stack.valve
    assert model is not None and model.saved is not None
    told = model.saved(Saved(damper.code, damper.document, valve, saved.stacks, asks.ask))
    return Taken(dict(initial_of(asked.blanks, told)), f"{saved.stack.name} of {damper.code}, nominal")


def lies_elsewhere(asked: Question, places: Places, document: DamperDocument, taken: Taken) -> bool:
    """Whether what was taken from a part is what the model has elsewhere, and not what it has here as well."""
    blanks = [blank for blank in asked.blanks if blank.path in places.by]
    there, here = (
        {name: text for name, text in initial_of(blanks, told(document)) if text}
        for told in (places.elsewhere, places.here)
    )
    sizes = {blank.name: text for blank in blanks if (text := taken.values.get(blank.name))}
    return bool(sizes) and sizes == there and sizes != here
