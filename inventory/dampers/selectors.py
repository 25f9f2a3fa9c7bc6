"""Reading damper models, saved stacks and calibrations."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, Q

from inventory.common.errors import DomainError
from inventory.dampers.document import DamperDocument
from inventory.dampers.document_calibration import CurveFit, MeasuredCurve
from inventory.dampers.models import Calibration, DamperModel, DamperRevision, SavedStack, StackRevision
from inventory.documents.typed import read


@dataclass(frozen=True, slots=True)
class Damper:
    """A damper model with the document of its latest revision."""

    code: str
    name: str
    revision: int
    document: DamperDocument


def described(revision: DamperRevision) -> Damper:
    """The damper model as a revision describes it; no query where the revision came with its damper."""
    damper = revision.damper
    return Damper(damper.code, damper.name, revision.number, read(DamperDocument, revision.document))


def damper_called(code: str) -> Damper:
    """The damper model of that code; one query. Raises DomainError `not_found`."""
    latest = (
        DamperRevision.objects.select_related("damper")
        .filter(damper__code=code, damper__retired_at=None, number=F("damper__revision"))
        .first()
    )
    if latest is None:
        raise DomainError("not_found", what="damper", which=code)
    return described(latest)


def damper_as_of(code: str, at: datetime) -> Damper:
    """The damper model as it was described at a time, retired or not; one query. Raises DomainError `not_found`."""
    then = (
        DamperRevision.objects.select_related("damper")
        .filter(damper__code=code, at__lte=at)
        .order_by("-number")
        .first()
    )
    if then is None:
        raise DomainError("not_found", what="damper", which=code)
    return described(then)


def damper_row(code: str) -> DamperModel:
    """The damper's own row. Raises DomainError `not_found`."""
    found = DamperModel.objects.filter(code=code, retired_at=None).first()
    if found is None:
        raise DomainError("not_found", what="damper", which=code)
    return found


def latest_stacks(damper: DamperModel) -> list[StackRevision]:
    """The latest revision of every stack saved for the damper, by name; one query."""
    return list(
        StackRevision.objects.select_related("stack")
        .filter(stack__damper=damper, stack__retired_at=None, number=F("stack__revision"))
        .order_by("stack__name")
    )


def stacks_in_use(
    code: str | None = None, *, start: int = 0, most: int | None = None
) -> list[tuple[Damper, StackRevision]]:
    """The latest revision of every saved stack with its damper as it is now, by code and name; of one damper, or of
    all; `most` of them from `start` on. Two queries. Raises DomainError `not_found` for a damper that is not there."""
    dampers = DamperRevision.objects.select_related("damper").filter(
        damper__retired_at=None, number=F("damper__revision")
    )
    if code is not None:
        dampers = dampers.filter(damper__code=code)
    known = {one.damper_id: described(one) for one in dampers}
    if code is not None and not known:
        raise DomainError("not_found", what="damper", which=code)
    stacks = (
        StackRevision.objects.select_related("stack")
        .filter(stack__retired_at=None, number=F("stack__revision"), stack__damper_id__in=list(known))
        .order_by("stack__damper__code", "stack__name", "pk")
    )[start : None if most is None else start + most]
    return [(known[one.stack.damper_id], one) for one in stacks]


def fit_of(calibration: Calibration) -> CurveFit:
    """The numbers that explain a measured curve."""
    return read(CurveFit, calibration.fit)


def measured_of(calibration: Calibration) -> MeasuredCurve:
    """What was measured of a curve."""
    return read(MeasuredCurve, calibration.measured)


def calibrations_of(code: str, number: int | None = None) -> list[Calibration]:
    """Everything that was measured on a damper model's pistons, withdrawn or not, the newest first; or the one of a
    number. One query."""
    rows = Calibration.objects.filter(damper__code=code).select_related(
        "person", "client", "withdrawn_person", "withdrawn_client"
    )
    if number is not None:
        rows = rows.filter(pk=number)
    return list(rows.order_by("-at", "-pk"))


def calibrations_in_use(code: str, at: datetime | None = None) -> list[Calibration]:
    """The calibrations that count for a damper model now, or that counted at a time, the newest first; one query."""
    rows = Calibration.objects.filter(damper__code=code)
    if at is None:
        rows = rows.filter(withdrawn_at=None)
    else:
        rows = rows.filter(Q(withdrawn_at=None) | Q(withdrawn_at__gt=at), at__lte=at)
    return list(rows.order_by("-at", "-pk"))


def saved_stack(code: str, name: str) -> StackRevision:
    """The latest revision of the stack of that name; one query. Raises DomainError `not_found`."""
    found = (
        StackRevision.objects.select_related("stack")
        .filter(stack__damper__code=code, stack__name=name, stack__retired_at=None, number=F("stack__revision"))
        .first()
    )
    if found is None:
        raise DomainError("not_found", what=f"stack of {code[:40]} called", which=name[:80])
    return found


def stack_names() -> list[tuple[str, str, str]]:
    """(damper's code, its name, a saved stack's name) of all in use, by code; a damper without stacks has an empty
    one. Two queries."""
    dampers = DamperModel.objects.filter(retired_at=None).order_by("code")
    stacks: dict[int, list[str]] = {}
    for damper, name in SavedStack.objects.filter(retired_at=None).order_by("name").values_list("damper_id", "name"):
        stacks.setdefault(damper, []).append(name)
    return [(damper.code, damper.name, name) for damper in dampers for name in stacks.get(damper.pk) or [""]]
