"""What the pages of damper models read; each function with a fixed number of queries."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Count, F, Q

from compat.engineering.answers import Answer, Verdict
from compat.fitting import answers_for
from compat.rendering import summary
from inventory.catalogue.models import Part
from inventory.common.errors import DomainError
from inventory.common.quantities import whole_number
from inventory.counter.browsing.part_words import size_line
from inventory.dampers.models import DamperModel, DamperRevision
from inventory.dampers.selectors import Damper
from inventory.holds import amounts
from inventory.stock.models import Condition
from inventory.stock.selectors import sizes_of

DAMPERS_A_PAGE = 50
PARTS_A_PAGE = 25
ORDER = {"nut": ("nut__thread", "number"), "shim": ("shim__od_um", "shim__thickness_um", "number")}


@dataclass(frozen=True, slots=True)
class PartFit:
    """A part that fits, or may fit: its sizes in words, the verdict and why, and what is available of it."""

    number: str
    sizes: str
    verdict: str
    why: str
    new: int
    take_off: int


@dataclass(frozen=True, slots=True)
class KindFits:
    """The parts of one kind for a damper model: the first pages of those that fit, and how many do not."""

    kind: str
    page: Page[Any]
    rows: list[PartFit]
    others: int
    trouble: str = ""


def latest_revisions(query: str, page: str) -> Page[Any]:
    """A page of damper models with their latest revisions, by code; a fixed number of queries."""
    rows = DamperRevision.objects.select_related("damper", "person", "client").filter(
        damper__retired_at=None, number=F("damper__revision")
    )
    if query:
        rows = rows.filter(Q(damper__code__icontains=query) | Q(damper__name__icontains=query))
    counted = rows.annotate(stacks=Count("damper__saved_stacks", filter=Q(damper__saved_stacks__retired_at=None)))
    return Paginator(counted.order_by("damper__code"), DAMPERS_A_PAGE).get_page(page)


def revisions_of(damper: DamperModel) -> list[DamperRevision]:
    """Every revision of a damper model with who saved it, the newest first; one query, without the documents."""
    rows = DamperRevision.objects.filter(damper=damper).select_related("person", "client").defer("document")
    return list(rows.order_by("-number"))


def revision_of(damper: DamperModel, number: str) -> DamperRevision:
    """One revision of a damper model. Raises DomainError `not_found`."""
    wanted = whole_number(number, digits=8)
    found = (
        DamperRevision.objects.select_related("damper").filter(damper=damper, number=wanted).first()
        if wanted is not None
        else None
    )
    if found is None:
        raise DomainError("not_found", what=f"revision of {damper.code}", which=number[:40])
    return found


def fits_of(damper: Damper, kind: str, page: str) -> KindFits:
    """The parts of a kind that fit a damper model or may fit it, those that surely fit first; six queries."""
    parts = Part.objects.filter(kind=kind, retired_at=None).order_by(*ORDER[kind])
    fitting: list[tuple[Part, Answer]] = []
    others = 0
    try:
        answers = answers_for(damper, parts)
    except DomainError as error:
        # A model may be saved with sizes that contradict each other; its page must still open.
        return KindFits(
            kind, Paginator([], PARTS_A_PAGE).get_page(1), [], 0, " ".join(one.message for one in error.errors)
        )
    for part, answer in answers:
        if answer.verdict is Verdict.DOES_NOT_FIT:
            others += 1
        else:
            fitting.append((part, answer))
    fitting.sort(key=lambda one: one[1].verdict is not Verdict.FITS)
    shown = Paginator(fitting, PARTS_A_PAGE).get_page(page)
    return KindFits(kind, shown, _rows(shown), others)


def _rows(shown: Iterable[tuple[Part, Answer]]) -> list[PartFit]:
    listed = list(shown)
    parts = [part for part, _ in listed]
    free, sizes = amounts.of_parts(parts), sizes_of(parts)
    found = []
    for part, answer in listed:
        verdict = str(answer.verdict)
        found.append(
            PartFit(
                part.number,
                size_line(sizes[part.pk]),
                verdict,
                summary(verdict, answer.findings),
                free[part.pk, Condition.NEW].available,
                free[part.pk, Condition.TAKE_OFF].available,
            )
        )
    return found
