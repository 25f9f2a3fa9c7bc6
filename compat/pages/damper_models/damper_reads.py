"""What the pages of damper models read; each function with a fixed number of queries."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Case, Count, F, Q, When

from compat.dampers.fitting import answers_for, shims_for
from compat.engineering.answers import Answer, Verdict
from compat.texts.rendering import summary
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
    """The parts of a kind that fit a damper model or may fit it, those that surely fit first; seven queries at most.

    Of shims every bore with its diameter is judged once and only the page that is shown is read: a catalogue has
    thousands of them.
    """
    try:
        shown, others = _shims(damper, page) if kind == "shim" else _listed(damper, kind, page)
    except DomainError as error:
        # A model may be saved with sizes that contradict each other; its page must still open.
        return KindFits(
            kind, Paginator([], PARTS_A_PAGE).get_page(1), [], 0, " ".join(one.message for one in error.errors)
        )
    return KindFits(kind, shown, _rows(shown), others)


def _listed(damper: Damper, kind: str, page: str) -> tuple[Page[Any], int]:
    """(a page of parts with their answers, how many do not fit), every part judged."""
    parts = Part.objects.filter(kind=kind, retired_at=None).order_by(*ORDER[kind])
    answers = answers_for(damper, parts)
    fitting = [one for one in answers if one[1].verdict is not Verdict.DOES_NOT_FIT]
    fitting.sort(key=lambda one: one[1].verdict is not Verdict.FITS)
    return Paginator(fitting, PARTS_A_PAGE).get_page(page), len(answers) - len(fitting)


def _shims(damper: Damper, page: str) -> tuple[Page[Any], int]:
    """The same of shims, by bore and diameter."""
    of_part = Part.objects.filter(kind="shim", retired_at=None)
    counted = of_part.values_list("shim__bore_um", "shim__od_um").annotate(Count("pk")).order_by()
    number = {(bore, od): count for bore, od, count in counted}
    answers = shims_for(damper, number)
    by_verdict: dict[Verdict, dict[int, list[int]]] = {}
    for (bore, od), answer in answers.items():
        by_verdict.setdefault(answer.verdict, {}).setdefault(bore, []).append(od)
    sure, open_ = (_either(by_verdict.get(verdict, {})) for verdict in (Verdict.FITS, Verdict.CANNOT_TELL))
    after = Case(When(sure, then=0), default=1)
    fitting = of_part.filter(sure | open_).order_by(after, *ORDER["shim"]).select_related("shim")
    shown: Page[Any] = Paginator(fitting, PARTS_A_PAGE).get_page(page)
    shown.object_list = [(part, answers[part.shim.bore_um, part.shim.od_um]) for part in shown]
    return shown, sum(count for one, count in number.items() if answers[one].verdict is Verdict.DOES_NOT_FIT)


def _either(outlines: dict[int, list[int]]) -> Q:
    """The condition that a shim has one of these bores with one of its diameters."""
    found = Q(pk__in=[])
    for bore, diameters in outlines.items():
        found |= Q(shim__bore_um=bore, shim__od_um__in=diameters)
    return found


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
