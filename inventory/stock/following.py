"""Where a reader of the feed of changes stands, and whether the ledger is still the one that it has read.

A ledger that was put back from a copy lacks what some readers have read, and grows past their places again with other
movements. So a place carries the mark of the movement at it, drawn by chance when that was posted: another ledger has
none or another one there. A reader may also have read parts that moved after the copy and no change of them yet; its
place stands in the copy as well. Therefore whoever puts a copy back says so by two movements that come to nothing
(tell_restored()), and places from before them are refused.
"""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import connection
from django.db.models import Q, QuerySet

from inventory.common.transactions import require_transaction
from inventory.people.actors import Actor
from inventory.stock.ledger import Cause
from inventory.stock.models import Balance, Movement
from inventory.stock.repairing import announce

# The kind of cause of the movements that tell of a restore.
RESTORE = "restore"
MARK_BITS = 62
COLUMNS = ("transaction", "posting", "cause_kind")


@dataclass(frozen=True, slots=True)
class Place:
    """The last movement that was read, by transaction and id; the beginning where both are 0.

    `restored`: the mark of the movement that told of the last restore when the place was given out, 0 where there was
    none. `mark`: that of the movement at the place. Both are None in a place of earlier versions, which knew neither.
    """

    transaction: int = 0
    movement: int = 0
    restored: int | None = None
    mark: int | None = None

    @classmethod
    def of(cls, values: Sequence[int]) -> Place:
        """The place that values() gave; of an earlier version the first two of them."""
        return cls(*values)

    def values(self) -> tuple[int, int, int, int]:
        return self.transaction, self.movement, self.restored or 0, self.mark or 0

    def behind(self, rows: Sequence[Movement]) -> Place:
        """The place behind rows that were read from here."""
        if not rows:
            return self
        transaction, movement, mark = _at(rows[-1])
        return Place(transaction, movement, self.restored, mark)


def beginning() -> Place:
    """Where a new reader begins."""
    return Place(0, 0, _restored(), 0)


def still_there(place: Place) -> Place | None:
    """The place as it is given out now, or None where the ledger is not the one that was read up to there."""
    found = Movement.objects.filter(Q(pk=place.movement) | Q(cause_kind=RESTORE)).only(*COLUMNS).order_by("pk")
    rows = {row.pk: row for row in found}
    restored = _mark([row for row in rows.values() if row.cause_kind == RESTORE])
    if (place.restored or 0) != restored:
        return None
    if not place.movement:
        return None if place.transaction else Place(0, 0, restored, 0)
    if place.movement not in rows:
        return None
    transaction, movement, mark = _at(rows[place.movement])
    if transaction != place.transaction or place.mark not in {None, mark}:
        return None
    return Place(transaction, movement, restored, mark)


def end() -> Place:
    """Behind all that the feed shows now."""
    place = beginning()
    rows = shown(Movement.objects.only(*COLUMNS))
    order = ("-transaction", "-pk") if connection.vendor == "postgresql" else ("-pk",)
    return place.behind(list(rows.order_by(*order)[:1]))


def changes_behind(place: Place, most: int) -> list[Movement]:
    """Movements in the order of the feed behind a place, without gaps.

    On PostgreSQL ids are drawn before they are committed, so only transactions older than every one still running are
    shown, in the order of their transaction; on SQLite writers come one by one and ids are that order.
    """
    rows = shown(Movement.objects.select_related("balance__lot__part", "balance__drawer"))
    if connection.vendor != "postgresql":
        return list(rows.filter(pk__gt=place.movement).order_by("pk")[:most])
    behind = '("inventory_movement"."transaction", "inventory_movement"."id") > (%s, %s)'
    rows = rows.extra(where=[behind], params=[place.transaction, place.movement])
    return list(rows.order_by("transaction", "pk")[:most])


def shown(rows: QuerySet[Movement]) -> QuerySet[Movement]:
    """Those that the feed shows by now."""
    if connection.vendor != "postgresql":
        return rows
    return rows.extra(
        where=['"inventory_movement"."transaction" < pg_snapshot_xmin(pg_current_snapshot())::text::bigint']
    )


def tell_restored(*, reason: str, actor: Actor) -> bool:
    """Refuses from here on every place that was given out before; False on a shelf on which nothing ever lay.

    There is no place to refuse on such a shelf, and nothing to tell it by.
    """
    require_transaction()
    first = Balance.objects.order_by("pk").values_list("pk", flat=True).first()
    if first is None:
        return False
    announce(key=first, reason=reason, cause=Cause(RESTORE, uuid.uuid4().hex), actor=actor)
    return True


def _restored() -> int:
    """The mark of the movement that tells of the last restore; 0 where there was none."""
    return _mark(list(Movement.objects.filter(cause_kind=RESTORE).only(*COLUMNS).order_by("-pk")[:1]))


def _at(row: Movement) -> tuple[int, int, int]:
    """Transaction, id and mark of a movement."""
    return row.transaction, row.pk, _mark([row])


def _mark(rows: Sequence[Movement]) -> int:
    """That of the last of the rows; 0 where there is none."""
    return max(rows, key=lambda row: row.pk).posting.int >> (128 - MARK_BITS) if rows else 0
