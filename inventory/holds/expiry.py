"""The sweeper: gives back what lapsed holds keep, so that the feed of changes does not wait for the next customer."""

from __future__ import annotations

from functools import partial

from django.db.models import Q

from inventory.common import clock
from inventory.common.transactions import use_case
from inventory.holds.claims import lapsed_lines, lock_balances
from inventory.holds.models import Hold, HoldLine, State, over_at
from inventory.people.actors import Actor

BATCH = 200


def sweep(*, actor: Actor) -> int:
    """Expires every lapsed hold, a few in each short transaction; returns how many lines gave pieces back."""
    total = 0
    while True:
        lapsed = Hold.objects.filter(over_at(clock.now()))
        holds = list(lapsed.order_by("pk").values_list("pk", flat=True)[:BATCH])
        if not holds:
            return total
        total += use_case(partial(_sweep, holds, actor))


def _sweep(holds: list[int], actor: Actor) -> int:
    # A subquery, not a list: some hundred holds of many lines would be more values than a statement takes.
    balances = HoldLine.objects.filter(hold__in=holds, quantity__gt=0).values("balance_id")
    before = lapsed_lines(clock.now()).filter(balance__in=balances, quantity__gt=0).count()
    lock_balances(rows=Q(pk__in=balances), actor=actor)
    # Holds whose lines all gave back in other transactions still stand as open.
    empty = Hold.objects.filter(over_at(clock.now()), pk__in=holds).exclude(lines__quantity__gt=0)
    empty.update(state=State.LAPSED)
    return before
