"""Physical truth wins: when less is there than is held, holds lose pieces in a written order.

First open web holds, then confirmed web holds, then holds of jobs; among equals the newest first, since whoever came
first has waited longest. Each is marked short, and the answer to the count names them.
"""

from __future__ import annotations

from dataclasses import dataclass

from inventory.common.transactions import require_transaction
from inventory.holds.claims import holding_lines
from inventory.holds.models import Hold, HoldLine, Purpose, State
from inventory.people.actors import Actor
from inventory.stock.ledger import Cause, Entry, post
from inventory.stock.models import Balance


@dataclass(frozen=True, slots=True)
class Shortened:
    """What a hold lost, and whose it is."""

    hold: Hold
    by: int
    owner: str


def shorten_to(*, balance: Balance, held: int, actor: Actor, reason: str) -> list[Shortened]:
    """Lowers what is held of a locked balance to `held`. Returns what each hold lost; nothing when it fits already."""
    require_transaction()
    found = []
    for line, taken in _losing(balance, balance.held - held):
        post(
            entries=[Entry(balance, held=-taken)],
            actor=actor,
            reason=reason,
            cause=Cause("hold", str(line.hold_id)),
        )
        found.append(_shorten(line, taken))
    return found


def shorten_lines(*, balance: Balance, by: int) -> list[Shortened]:
    """Takes pieces from the holds of a locked balance that its `held` does not count: lines beyond the ledger."""
    require_transaction()
    return [_shorten(line, taken) for line, taken in _losing(balance, by)]


def _losing(balance: Balance, excess: int) -> list[tuple[HoldLine, int]]:
    """Which lines lose how many of `excess` pieces, in the written order."""
    if excess <= 0:
        return []
    lines = holding_lines([balance.pk]).select_related("hold__client", "hold__person")
    found = []
    for line in sorted(lines, key=_first_to_lose):
        taken = min(excess, line.quantity)
        if not taken:
            break
        found.append((line, taken))
        excess -= taken
    return found


def _shorten(line: HoldLine, taken: int) -> Shortened:
    HoldLine.objects.filter(pk=line.pk).update(quantity=line.quantity - taken)
    # An unpaid web hold still lapses at its time.
    line.hold.state = State.SHORT
    line.hold.save(update_fields=["state"])
    return Shortened(line.hold, taken, str(line.hold.person or line.hold.client))


def _first_to_lose(line: HoldLine) -> tuple[int, int]:
    hold = line.hold
    if hold.purpose == Purpose.JOB:
        rank = 2
    else:
        rank = 0 if hold.expires_at is not None else 1
    return rank, -hold.pk
