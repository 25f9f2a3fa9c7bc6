"""Saving damper models, stacks and calibrations: each save with who and when. Callers open the transaction."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inventory.common import clock, locks
from inventory.common.errors import DomainError
from inventory.common.transactions import require_transaction
from inventory.dampers.document import DamperDocument
from inventory.dampers.document_calibration import CurveFit, MeasuredCurve
from inventory.dampers.models import Calibration, DamperModel, DamperRevision, SavedStack, StackRevision
from inventory.documents.typed import written
from inventory.people.actors import Actor


def create_damper(*, code: str, name: str, document: DamperDocument, actor: Actor) -> DamperModel:
    """A new damper model with its first revision. Raises DomainError `conflict` for a code in use."""
    require_transaction()
    if DamperModel.objects.filter(code=code).exists():
        raise DomainError("conflict", what="Damper", which=code)
    damper = DamperModel.objects.create(code=code, name=name)
    _save_revision(damper, document, actor)
    return damper


def edit_damper(*, code: str, name: str, document: DamperDocument, revision: int, actor: Actor) -> DamperModel:
    """A new revision of a damper model, on top of the revision that the editor read.

    Raises DomainError `not_found`, or `edited_meanwhile` when a newer revision exists.
    """
    require_transaction()
    damper = locks.take_one(DamperModel.objects.filter(code=code, retired_at=None))
    if damper is None:
        raise DomainError("not_found", what="damper", which=code)
    if damper.revision != revision:
        raise DomainError("edited_meanwhile", revision=damper.revision)
    damper.name = name
    _save_revision(damper, document, actor)
    return damper


def save_stack(
    *, damper: DamperModel, valve: str, name: str, stacks: Mapping[str, Any], note: str, actor: Actor
) -> StackRevision:
    """Saves stacks under a name; under the same name again it is the next revision.

    Raises DomainError `conflict` when the name belongs to another valve of this damper.
    """
    require_transaction()
    SavedStack.objects.get_or_create(damper=damper, name=name, defaults={"valve": valve})
    saved = locks.take_one(SavedStack.objects.filter(damper=damper, name=name))
    if saved is None or saved.valve != valve:
        raise DomainError("conflict", what="A stack for another valve", which=name)
    saved.revision += 1
    saved.save(update_fields=["revision"])
    return StackRevision.objects.create(
        stack=saved,
        number=saved.revision,
        stacks=stacks,
        note=note,
        person=actor.person,
        client=actor.client,
        at=clock.now(),
    )


def keep_calibration(
    *,
    damper: DamperModel,
    valve: str,
    side: str,
    measured: MeasuredCurve,
    fit: CurveFit,
    note: str,
    actor: Actor,
) -> Calibration:
    """Keeps what a measured curve told of a valve's piston; from then on it counts before older ones."""
    require_transaction()
    return Calibration.objects.create(
        damper=damper,
        valve=valve,
        side=side,
        measured=written(measured),
        fit=written(fit),
        note=note,
        person=actor.person,
        client=actor.client,
        at=clock.now(),
    )


def withdraw_calibration(*, code: str, number: int, actor: Actor) -> Calibration:
    """Takes a calibration out of use; it stays readable. Once withdrawn it stays so, with whoever was first.

    Raises DomainError `not_found`.
    """
    require_transaction()
    found = locks.take_one(Calibration.objects.filter(damper__code=code, pk=number))
    if found is None:
        raise DomainError("not_found", what=f"calibration of {code[:40]}", which=str(number))
    if found.withdrawn_at is None:
        found.withdrawn_at = clock.now()
        found.withdrawn_person, found.withdrawn_client = actor.person, actor.client
        found.save(update_fields=["withdrawn_at", "withdrawn_person", "withdrawn_client"])
    return found


def _save_revision(damper: DamperModel, document: DamperDocument, actor: Actor) -> None:
    damper.revision += 1
    damper.save(update_fields=["revision", "name"])
    DamperRevision.objects.create(
        damper=damper,
        number=damper.revision,
        document=written(document),
        person=actor.person,
        client=actor.client,
        at=clock.now(),
    )
