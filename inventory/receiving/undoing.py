"""Undoing a line of a delivery: pieces that never came in, or came in as the wrong part. Callers open the transaction.

Nothing is removed: the line's first movement is reversed by another one, so that the ledger tells both.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q

from inventory.common import clock
from inventory.common.errors import DomainError, invalid
from inventory.common.transactions import require_transaction
from inventory.holds.claims import lock_balances
from inventory.holds.shortening import Shortened, shorten_to
from inventory.people.actors import Actor
from inventory.receiving.models import DeliveryLine
from inventory.stock.ledger import Cause, Entry, post
from inventory.stock.models import Balance, Lot, Movement

LONGEST_REASON = 200
# The movement by which a balance begins; a line's lot is new, so this is the one that the line posted.
FIRST = 1


@dataclass(frozen=True, slots=True)
class Undone:
    """A line that was undone, the holds that lost pieces by it, and what a count had found beyond it."""

    line: DeliveryLine
    shortened: list[Shortened]
    left: int


def undo_line(*, delivery: int, line: int, reason: str, actor: Actor) -> Undone:
    """Takes the pieces of a delivery line off the shelf again, once, and retires its lot when nothing is left of it.

    Holds that counted on the pieces are shortened in the same transaction: what is not there cannot be held. Raises
    DomainError `invalid` without a reason, `not_found`, `line_undone` for a line that somebody has undone, and
    `line_not_whole` when fewer pieces lie in its drawer than it brought in.
    """
    require_transaction()
    reason = _reason(reason)
    found = DeliveryLine.objects.select_related("lot", "delivery", "balance").filter(pk=line, delivery=delivery).first()
    if found is None:
        raise DomainError("not_found", what="delivery line", which=str(line))
    balances: list[Balance] = lock_balances(rows=Q(pk=found.balance_id), actor=actor)
    balance = balances[0]
    # Read under the lock: of two people who undo at once the second finds what the first has written.
    first = Movement.objects.get(balance=balance, version=FIRST)
    before = Movement.objects.select_related("person", "client").filter(reverses=first).first()
    if before is not None:
        raise DomainError("line_undone", lot=found.lot.number, who=str(before.person or before.client))
    left = balance.on_hand - found.quantity
    if left < 0:
        raise DomainError(
            "line_not_whole",
            lot=found.lot.number,
            drawer=balance.drawer.code,
            brought=found.quantity,
            there=balance.on_hand,
        )
    shortened = shorten_to(balance=balance, held=min(balance.held, left), actor=actor, reason="delivery line undone")
    entry = Entry(
        balance,
        on_hand=-found.quantity,
        reverses=first,
        unit_cost_minor=first.unit_cost_minor,
        currency=first.currency,
    )
    post(entries=[entry], actor=actor, reason=reason, cause=Cause("delivery", str(found.delivery_id)))
    _retire_when_empty(found.lot)
    return Undone(found, shortened, left)


def _reason(text: str) -> str:
    """The reason as kept. Raises DomainError `invalid` for none, or one that is too long."""
    reason = text.strip()
    if not reason:
        raise invalid("reason", "is required: say why the line is undone")
    if len(reason) > LONGEST_REASON:
        raise invalid("reason", f"may have at most {LONGEST_REASON} characters")
    return reason


def _retire_when_empty(lot: Lot) -> None:
    """An emptied lot is offered no more; its number stays used."""
    if not Balance.objects.filter(lot=lot, on_hand__gt=0).exists():
        Lot.objects.filter(pk=lot.pk, retired_at=None).update(retired_at=clock.now())
