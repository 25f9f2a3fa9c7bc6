"""Posting movements: the only way that a quantity changes."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, Max

from inventory.common import clock
from inventory.common.errors import DomainError
from inventory.common.transactions import require_transaction
from inventory.people.actors import Actor
from inventory.stock.models import Balance, Movement

# Engines limit the length of a statement.
CHUNK = 500


@dataclass(frozen=True, slots=True)
class Cause:
    """What a movement comes from: a kind such as `delivery` or `hold`, and its id."""

    kind: str
    id: str


@dataclass(frozen=True, slots=True)
class Entry:
    """A change of one balance: by how much on hand and held change."""

    balance: Balance
    on_hand: int = 0
    held: int = 0
    reverses: Movement | None = None
    unit_cost_minor: int | None = None
    currency: str = ""


def post(
    *, entries: Sequence[Entry], actor: Actor, reason: str, cause: Cause, at: datetime | None = None
) -> list[Movement]:
    """Writes one movement for every entry, as one posting; the database applies them to the balances.

    The balances must have been locked in this transaction, or be new in it; they are brought up to date in memory.
    Raises DomainError `ledger_refused` where held would leave 0..on hand; then nothing is written. Raises DomainError
    `not_applied` where a balance did not move as its movement says, which the transaction then undoes.
    """
    require_transaction()
    posting = uuid.uuid4()
    at = at or clock.now()
    movements = []
    for entry in entries:
        balance = entry.balance
        on_hand, held = balance.on_hand + entry.on_hand, balance.held + entry.held
        if not 0 <= held <= on_hand:
            raise DomainError("ledger_refused", balance=str(balance.pk), result=f"{on_hand} on hand, {held} held")
        balance.on_hand, balance.held, balance.version = on_hand, held, balance.version + 1
        movements.append(
            Movement(
                balance=balance,
                version=balance.version,
                on_hand_delta=entry.on_hand,
                held_delta=entry.held,
                on_hand=on_hand,
                held=held,
                person=actor.person,
                client=actor.client,
                reason=reason,
                cause_kind=cause.kind,
                cause_id=cause.id,
                posting=posting,
                reverses=entry.reverses,
                at=at,
                unit_cost_minor=entry.unit_cost_minor,
                currency=entry.currency,
            )
        )
    posted = Movement.objects.bulk_create(movements)
    _refuse_unmoved({entry.balance.pk: entry.balance for entry in entries})
    return posted


def refuse_unapplied(*, posting: uuid.UUID, after: int, count: int) -> None:
    """For postings written past post(): each of their `count` movements must be what its balance says now.

    `after` is newest_movement() from before the posting. Raises DomainError `not_applied`.
    """
    says = {name: F(f"balance__{name}") for name in ("version", "on_hand", "held")}
    if Movement.objects.filter(pk__gt=after, posting=posting, **says).count() != count:
        raise DomainError("not_applied", what="a movement of this posting")


def newest_movement() -> int:
    """The id of the newest movement; 0 where there is none."""
    return Movement.objects.aggregate(newest=Max("pk"))["newest"] or 0


def _refuse_unmoved(balances: Mapping[int, Balance]) -> None:
    """Reads the balances back with their last movements: a guard that is missing or emptied applies nothing."""
    keys = sorted(balances)
    found: set[tuple[int, ...]] = set()
    for start in range(0, len(keys), CHUNK):
        says = {name: F(f"movements__{name}") for name in ("version", "on_hand", "held")}
        rows = Balance.objects.filter(pk__in=keys[start : start + CHUNK], **says)
        found.update(rows.values_list("pk", "version", "on_hand", "held"))
    for key in keys:
        wanted = balances[key]
        if (key, wanted.version, wanted.on_hand, wanted.held) not in found:
            raise DomainError("not_applied", what=f"the movement of balance {key}")
