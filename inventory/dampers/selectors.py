"""Reading damper models and saved stacks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import F

from inventory.common.errors import DomainError
from inventory.dampers.models import DamperModel, DamperRevision, StackRevision


@dataclass(frozen=True, slots=True)
class Damper:
    """A damper model with the document of its latest revision."""

    code: str
    name: str
    revision: int
    document: dict[str, Any]


def damper_called(code: str) -> Damper:
    """The damper model of that code; one query. Raises DomainError `not_found`."""
    latest = (
        DamperRevision.objects.select_related("damper")
        .filter(damper__code=code, damper__retired_at=None, number=F("damper__revision"))
        .first()
    )
    if latest is None:
        raise DomainError("not_found", what="damper", which=code)
    return Damper(latest.damper.code, latest.damper.name, latest.number, latest.document)


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
