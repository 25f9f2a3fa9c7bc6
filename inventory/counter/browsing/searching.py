"""Finding by what somebody typed or scanned: numbers and codes by their text, parts by their size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar, cast

from django.db.models import Case, IntegerField, Model, Q, QuerySet, Value, When
from django.db.models.functions import Length, Replace
from django.urls import reverse

from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.counter.browsing.of_size import others_of, shims_of
from inventory.counter.browsing.typed_sizes import Typed
from inventory.dampers.models import DamperModel
from inventory.jobs.models import Job
from inventory.receiving.models import Delivery
from inventory.stock.models import Drawer, Lot

MOST = 20
NEAR = 6
SHORTEST_BARE = 3
# How far a diameter may be off to be shown as near, micrometres.
NEAR_OD_UM = 2000

Row = TypeVar("Row", bound=Model)


@dataclass(slots=True)
class Named:
    """What has the text in its number, code or words; of each at most MOST, and whether there is more."""

    parts: list[Part] = field(default_factory=list)
    lots: list[Lot] = field(default_factory=list)
    drawers: list[Drawer] = field(default_factory=list)
    deliveries: list[Delivery] = field(default_factory=list)
    jobs: list[Job] = field(default_factory=list)
    dampers: list[DamperModel] = field(default_factory=list)
    more: set[str] = field(default_factory=set)

    def groups(self) -> dict[str, Sequence[Model]]:
        names = ("parts", "lots", "drawers", "deliveries", "jobs", "dampers")
        return {name: getattr(self, name) for name in names}


def by_text(text: str) -> Named:
    """What is called so, exact matches first; six queries. Numbers and codes are found without their hyphens too."""
    found = Named()
    words = [word for word in text.split() if word]
    bare = bare_of(text)
    in_name, in_model = Q(), Q()
    for word in words:
        called = Q(number__icontains=word) | Q(name__icontains=word) | Q(nut__thread__icontains=word)
        in_name &= called | Q(oring__size=word.removeprefix("-"))
        in_model &= Q(code__icontains=word) | Q(name__icontains=word)
    parts = _bare(Part.objects.all(), "number").filter(in_name | _in_bare(bare))
    found.parts = _first(found, "parts", parts, "number", text)
    lots = _bare(Lot.objects.select_related("part"), "number")
    lots = lots.filter(Q(number__icontains=text) | Q(source__icontains=text) | _in_bare(bare))
    found.lots = _first(found, "lots", lots, "number", text)
    drawers = _bare(Drawer.objects.all(), "code").filter(Q(code__icontains=text) | _in_bare(bare))
    found.drawers = _first(found, "drawers", drawers, "code", text)
    deliveries = _bare(Delivery.objects.all(), "number")
    deliveries = deliveries.filter(Q(number__icontains=text) | Q(note__icontains=text) | _in_bare(bare))
    found.deliveries = _first(found, "deliveries", deliveries, "number", text)
    jobs = _bare(Job.objects.prefetch_related("holds", "plans"), "number")
    jobs = jobs.filter(Q(number__icontains=text) | Q(title__icontains=text) | _in_bare(bare))
    found.jobs = _first(found, "jobs", jobs, "number", text)
    models = _bare(DamperModel.objects.all(), "code").filter(in_model | _in_bare(bare))
    found.dampers = _first(found, "dampers", models, "code", text)
    return found


def address_of(found: Named, text: str) -> str:
    """The page of the one thing that is called exactly so, in whatever case; empty when it is none or several.

    Where nothing is called exactly so, the hyphens may be left out.
    """
    named = [
        *((one.number, reverse("part", args=[one.number])) for one in found.parts),
        *((one.number, reverse("lot", args=[one.number])) for one in found.lots),
        *((one.code, reverse("drawer", args=[one.code])) for one in found.drawers),
        *((one.number, reverse("delivery", args=[one.pk])) for one in found.deliveries),
        *((one.number, _job_address(one)) for one in found.jobs),
        *((one.code, reverse("damper", args=[one.code])) for one in found.dampers),
    ]
    for same in (str.casefold, bare_of):
        addresses = [address for name, address in named if same(name) == same(text) and same(text)]
        if addresses:
            return addresses[0] if len(addresses) == 1 else ""
    return ""


def bare_of(text: str) -> str:
    """A number or code without case and without what people leave out: `D-10-03` and `d1003` are the same."""
    return "".join(sign for sign in text.casefold() if sign.isalnum() or sign == ".")


def _bare(rows: QuerySet[Row], column: str) -> QuerySet[Row]:
    """The rows with their number as `bare`, without hyphens and blanks."""
    expression: Any = column
    for sign in "- /_":
        expression = Replace(expression, Value(sign), Value(""))
    return cast(QuerySet[Row], rows.annotate(bare=expression))


def _in_bare(bare: str) -> Q:
    """Nothing short is looked for so: it would be found in nearly every number."""
    return Q(bare__icontains=bare) if len(bare) >= SHORTEST_BARE else Q(pk__in=())


def of_size(typed: Typed) -> list[Part]:
    """The parts of exactly that size, shims first; three queries at most."""
    keys = [*shims_of(typed, MOST * 5), *others_of(typed, MOST * 2)]
    by_key = Part.objects.in_bulk(keys)
    return [by_key[key] for key in dict.fromkeys(keys)]


def near(typed: Typed) -> list[tuple[Part, Shim]]:
    """Shims whose size comes near, the nearest first; 0.05 mm of thickness count like 1 mm of diameter. One query."""
    if len(typed.shim) < 2:
        return []
    od, thick, *bore = typed.shim
    rows = Shim.objects.filter(od_um__range=(od - NEAR_OD_UM, od + NEAR_OD_UM), part__retired_at=None)
    rows = rows.filter(bore_um=bore[0]) if bore else rows
    others = rows.exclude(od_um=od, thickness_um=thick).select_related("part")
    ordered = sorted(others, key=lambda one: (abs(one.od_um - od) / 1000 + abs(one.thickness_um - thick) / 50, one.pk))
    return [(one.part, one) for one in ordered]


def _first(found: Named, name: str, rows: QuerySet[Row], column: str, text: str) -> list[Row]:
    exact = Case(When(**{f"{column}__iexact": text}, then=Value(0)), default=Value(1), output_field=IntegerField())
    listed = list(rows.order_by(exact, Length(column), column)[: MOST + 1])
    if len(listed) > MOST:
        found.more.add(name)
    return listed[:MOST]


def _job_address(job: Job) -> str:
    """A job is shown by what is held for it, or by its last plan; else there is only the list."""
    holds, plans = [one.pk for one in job.holds.all()], [one.pk for one in job.plans.all()]
    if holds:
        return reverse("hold", args=[max(holds)])
    return reverse("plan", args=[max(plans)]) if plans else ""
