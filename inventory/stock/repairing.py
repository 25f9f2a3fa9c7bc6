"""Bringing balances back to their ledger. History is never edited: what is wrong is the row that derives from it.

A balance that says something else than its last movement (a guard was missing when the movement came, or somebody
wrote past the guards) is made to say it, the one change that the guards let through; a correction of its lot says who
did it and why. What lies in the drawer only a count can tell.
"""

from __future__ import annotations

from inventory.amendments.models import Subject
from inventory.amendments.services import keep
from inventory.common import locks
from inventory.common.transactions import require_transaction
from inventory.people.actors import Actor
from inventory.stock.ledger import Cause, Entry, post
from inventory.stock.models import Balance, Movement

UNSEEN = """
    SELECT DISTINCT movement.balance_id FROM inventory_movement AS movement
    WHERE movement.transaction = 0 AND NOT EXISTS (
        SELECT 1 FROM inventory_movement AS later
        WHERE later.balance_id = movement.balance_id AND later.version > movement.version AND later.transaction > 0
    ) ORDER BY 1
"""


def should_say(balance: Balance) -> tuple[int, int, int]:
    """(on hand, held, version) after its last movement; all 0 where it has none."""
    last = Movement.objects.filter(balance=balance).order_by("-version").first()
    return (0, 0, 0) if last is None else (last.on_hand, last.held, last.version)


def mend_balance(*, key: int, reason: str, actor: Actor) -> None:
    """Makes a balance say what its last movement says, and keeps who did it and why with its lot."""
    require_transaction()
    (balance,) = locks.take(Balance.objects.filter(pk=key).select_related("drawer"))
    before, after = (balance.on_hand, balance.held, balance.version), should_say(balance)
    if before == after:
        return
    changes = {f"balance in drawer {balance.drawer.code}": (_words(before), _words(after))}
    keep(subject=Subject.LOT, subject_id=balance.lot_id, changes=changes, reason=reason, actor=actor)
    Balance.objects.filter(pk=key).update(on_hand=after[0], held=after[1], version=after[2])


def announce(*, key: int, reason: str, cause: Cause, actor: Actor) -> None:
    """Two movements that come to nothing, so that whoever follows the feed reads this balance again."""
    require_transaction()
    (balance,) = locks.take(Balance.objects.filter(pk=key))
    if balance.free:
        there, back = Entry(balance, held=1), Entry(balance, held=-1)
    elif balance.held:
        there, back = Entry(balance, held=-1), Entry(balance, held=1)
    else:
        there, back = Entry(balance, on_hand=1), Entry(balance, on_hand=-1)
    post(entries=[there, back], actor=actor, reason=reason, cause=cause)


def _words(state: tuple[int, int, int]) -> str:
    on_hand, held, version = state
    return f"{on_hand} on hand, {held} held, version {version}"
