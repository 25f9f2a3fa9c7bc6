"""Sizes for a fit question from a damper model or from a part of the catalogue: nominal sizes, not readings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from compat import asks, damper_sealing, damper_values
from compat.asking.blanks import Blank
from compat.asking.rooms import questions
from compat.pages.blanks import initial_of, typed
from compat.pages.document_paths import at
from compat.pages.fit.fit_forms import QUESTIONS, Question
from compat.pages.fit.shim_blanks import STACK_LINES, stack_blanks
from compat.pages.measured import write_length
from inventory.catalogue.kinds.registry import KINDS
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError, invalid
from inventory.dampers.document import DamperDocument, Valve
from inventory.dampers.models import StackRevision
from inventory.dampers.selectors import Damper
from inventory.documents.typed import written
from inventory.stock.selectors import sizes_of

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Taken:
    """What was taken from where: {field name: text}, and the name of the source with what its sizes are."""

    values: dict[str, str]
    source: str
    washer_rows: int = 0
    cited: Mapping[str, str] = field(default_factory=dict)

    def origin(self, name: str) -> str:
        """Where the text of a field comes from: a limit from its maker's instructions, all else from the source."""
        return self.cited.get(name, self.source)


def blanks_of(asked: Question, taken: Iterable[Taken], washer_rows: int = 0) -> tuple[Blank, ...]:
    """The question's blanks, a stack's with as many rows of washers as were taken or sent."""
    if asked.slug != "stack":
        return asked.blanks
    return stack_blanks(max([washer_rows, *(one.washer_rows for one in taken)]))


def from_damper(asked: Question, damper: Damper, *, valve: str, side: str) -> Taken:
    """What a damper model tells of a question. Raises DomainError `invalid` for a valve that it does not have."""
    slug = asked.slug
    document = damper.document
    codes = document.codes
    # The lip rule is the main valve's.
    code = valve or ("main" if slug == "spacer" else codes[0])
    chosen = document.valve(code)
    if chosen is None:
        raise invalid("valve", f"{damper.code} has no valve {code}; it has: {', '.join(codes)}")
    told = MODEL[slug](document, chosen, side or "compression")
    rows = len(chosen.washers or ())
    blanks = blanks_of(asked, (), rows)
    limits = damper_sealing.cited(document, limits_of(slug))
    cited = {blank.name: f"{limits[blank.path]}, as {damper.code} says" for blank in blanks if blank.path in limits}
    return Taken(dict(initial_of(blanks, told)), f"{damper.code}, not measured", rows, cited)


def limits_of(slug: str) -> Mapping[str, str]:
    """{path in the request: the maker's limit of a model that stands there}."""
    room = questions().get(slug)
    return {} if room is None or room.model is None else room.model.limits


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
    sizes = KINDS[part.kind].show(sizes_of([part])[part.pk])
    told = {"part": part.number, **{name: value for name, value in sizes.items() if value not in (None, "unknown")}}
    return Taken(dict(initial_of(asked.blanks, PART[asked.slug](told))), f"{part.number}, not measured")


def from_stack(slug: str, damper: Damper, saved: StackRevision) -> Taken:
    """What a saved stack tells: its lines, or for spacers its height and its clamp shim, by nominal thickness.

    Raises DomainError `invalid` for a stack that the model cannot take any more, or that has no lip to reach.
    """
    valve, source = saved.stack.valve, f"{saved.stack.name} of {damper.code}, nominal"
    if slug == "stack":
        shaft = damper_values.valve_called(damper.document, valve).shaft_mm
        bore = damper_values.usual_bore_um(damper_values.length(shaft))
        usual = None if bore is None else bore / 1000
        told = {"valve": valve, "stacks": saved.stacks}
        return Taken(
            {blank.name: typed(blank, at(told, blank.path), usual_bore_mm=usual) for blank in STACK_LINES}, source
        )
    outer = saved.stacks.get("rebound")
    if valve != "main" or not outer:
        raise invalid("stack", "it has no rebound stack on the main valve, whose base plate lies at the lip")
    answer = asks.ask("stack", {"damper": damper.code, "valve": valve, "stacks": saved.stacks})
    height = answer["values"]["height_mm"]
    return Taken({"stack_height_mm": write_length(height), "clamp_od_mm": write_length(outer[-1]["od_mm"])}, source)


def _stack(document: DamperDocument, valve: Valve, side: str) -> Document:
    return {**written(valve), "valve": valve.code}


def is_band_ring(document: DamperDocument, taken: Taken) -> bool:
    """Whether a ring that was taken from a part is the one under the model's band, and not the seal head's as well."""
    blanks_of_ring = QUESTIONS["oring"].blanks
    blanks = {blank.path: blank.name for blank in blanks_of_ring if blank.path.startswith("ring.")}
    band, head = (
        {name: typed for name, typed in initial_of(blanks_of_ring, {"ring": told}) if typed}
        for told in (damper_sealing.band_ring(document), damper_sealing.seal_head_ring(document))
    )
    ring = {name: taken.values[name] for name in blanks.values() if taken.values.get(name)}
    lengths = [name for path, name in blanks.items() if path != "ring.cure_date"]
    sizes = {name: ring[name] for name in lengths if name in ring}
    return bool(sizes) and sizes == band and sizes != head


MODEL: dict[str, Callable[[DamperDocument, Valve, str], Document]] = {
    **{slug: question.model.told for slug, question in questions().items() if question.model},
    "stack": _stack,
}
PART: dict[str, Callable[[Document], Document]] = {
    **{slug: question.part.told for slug, question in questions().items() if question.part},
}
