"""Which damper models a part may serve, and what it looks like."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import F, Model

from compat.dampers.fitting import KINDS, dampers_for
from compat.engineering.answers import Verdict
from compat.engineering.drawing.shapes import NotDrawable
from compat.pages import drawings
from compat.texts import rendering
from inventory.catalogue.kinds.registry import KINDS as PART_KINDS
from inventory.catalogue.models import Part
from inventory.counter.browsing.part_words import size_line
from inventory.dampers.models import DamperRevision
from inventory.dampers.selectors import Damper, described

MOST_MODELS = 50


@dataclass(frozen=True, slots=True)
class Fit:
    """A damper model with the verdict on the part and the sentence that decides it."""

    code: str
    name: str
    verdict: str
    summary: str


@dataclass(frozen=True, slots=True)
class Fits:
    """The damper models that a part fits or may fit, MOST_MODELS of them at most, how many more there are, and how many
    it does not fit."""

    models: list[Fit]
    others: int
    more: int = 0


def fits_of(part: Part) -> Fits | None:
    """Where the part fits, the sure ones first; two queries. None for a kind that the models say nothing about."""
    if part.kind not in KINDS:
        return None
    found, others = [], 0
    for damper, answer in dampers_for(part, _dampers()):
        verdict = str(answer.verdict)
        if verdict == Verdict.DOES_NOT_FIT:
            others += 1
        else:
            found.append(Fit(damper.code, damper.name, verdict, rendering.summary(verdict, answer.findings)))
    found.sort(key=lambda one: (one.verdict != Verdict.FITS, one.code))
    return Fits(found[:MOST_MODELS], others, len(found[MOST_MODELS:]))


def picture_of(part: Part, row: Model) -> tuple[drawings.Shown, list[str]] | None:
    """The part drawn from its sizes, and what the drawing does not show as it is; None where it cannot be drawn."""
    try:
        drawing = drawings.part_drawing(part.kind, PART_KINDS[part.kind].show(row))
    except NotDrawable:
        return None
    if drawing is None:
        return None
    notes = drawings.notes_of(drawing)
    desc = " ".join(["Plan view and cut, drawn from its sizes.", *notes])
    return drawings.shown(drawing, prefix="part", title=size_line(row), desc=desc), notes


def _dampers() -> list[Damper]:
    """Every damper model in use, by code; one query."""
    rows = DamperRevision.objects.select_related("damper").filter(damper__retired_at=None, number=F("damper__revision"))
    return [described(row) for row in rows.order_by("damper__code")]
