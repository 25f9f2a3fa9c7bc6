"""Posting movements: the only way that a quantity changes."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from inventory.common import clock
from inventory.common.errors import DomainError
from inventory.common.transactions import require_transaction
from inventory.people.actors import Actor
from inventory.stock.models import Balance, Movement


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
    Raises DomainError `ledger_refused` where held would leave 0..on hand; then nothing is written.
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
    return Movement.objects.bulk_create(movements)
