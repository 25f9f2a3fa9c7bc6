"""Withdrawing readings of a lot: by a row that says who, when and why. Nothing computed counts them from then on."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.common import clock, locks
from inventory.common.errors import DomainError, invalid
from inventory.common.transactions import require_transaction
from inventory.people.actors import Actor
from inventory.stock.models import Lot, Reading, ReadingWithdrawal

LONGEST_REASON = 200


def withdraw_readings(*, lot: str, readings: Sequence[int], reason: str, actor: Actor) -> Lot:
    """Withdraws readings of a lot, by their ids: all or none. Returns the lot.

    Raises DomainError `not_found`, `invalid` without a reading or a reason, `reading_withdrawn` for one that is
    withdrawn already.
    """
    require_transaction()
    why = reason.strip()
    if not why:
        raise invalid("reason", "is required: say why the readings do not count")
    if len(why) > LONGEST_REASON:
        raise invalid("reason", f"may have at most {LONGEST_REASON} characters")
    if not readings:
        raise invalid("readings", "names none; choose those that do not count")
    # The lot is locked, so of two who withdraw one reading the second sees the first.
    found = locks.take_one(Lot.objects.filter(number=lot))
    if found is None:
        raise DomainError("not_found", what="lot", which=lot)
    related = Reading.every.select_related("withdrawal__person", "withdrawal__client")
    rows = {row.pk: row for row in related.filter(lot=found, pk__in=list(readings))}
    for key in readings:
        if key not in rows:
            raise DomainError("not_found", what="reading", which=f"{key} of lot {lot}")
        before = getattr(rows[key], "withdrawal", None)
        if before is not None:
            who = str(before.person or before.client)
            raise DomainError("reading_withdrawn", who=who, reading=str(key), lot=lot)
    at = clock.now()
    ReadingWithdrawal.objects.bulk_create(
        ReadingWithdrawal(reading=rows[key], person=actor.person, client=actor.client, reason=why, at=at)
        for key in sorted(rows)
    )
    return found
