"""Keeping a correction with who made it and why. Callers open the transaction and write the subject itself."""

from __future__ import annotations

from collections.abc import Mapping

from inventory.amendments.models import Amendment, Subject
from inventory.common import clock
from inventory.common.errors import invalid
from inventory.common.transactions import require_transaction
from inventory.people.actors import Actor

Change = tuple[str, str]


def keep(
    *, subject: Subject, subject_id: int, changes: Mapping[str, Change], reason: str, actor: Actor
) -> list[Amendment]:
    """One row for every field whose text differs, (before, after) each; nothing where nothing differs.

    Raises DomainError `invalid` for a correction without a reason.
    """
    require_transaction()
    real = {field: change for field, change in changes.items() if change[0] != change[1]}
    if real and not reason.strip():
        raise invalid("reason", "is required: say why this is corrected")
    at = clock.now()
    return Amendment.objects.bulk_create(
        Amendment(
            subject=subject,
            subject_id=subject_id,
            field=field,
            before=before,
            after=after,
            reason=reason.strip(),
            person=actor.person,
            client=actor.client,
            at=at,
        )
        for field, (before, after) in real.items()
    )
